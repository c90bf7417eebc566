use super::super::{draw::Draw, key};
use crate::scenario::{KeyChoice, Setup};

/// Depth of a weak key: below that of every healthy one.
const WEAK_DEPTH: (f64, f64) = (0.0008, 0.005);
/// A weak key still shows: signal a bit over noise density, with what repeats of the frame add.
const VISIBLE_DB: f64 = 4.0;

/// Takes every key out of the field.
pub(super) fn remove(setup: &mut Setup) {
    setup.circuit.keys.clear();
    setup.signals.clear();
}

/// No key, or one that does not modulate.
pub(super) fn silence(setup: &mut Setup, draw: &mut Draw) {
    if draw.chance(0.5) {
        remove(setup);
    } else {
        setup.signals.fill(None);
    }
}

/// A key that is detuned by 8 to 15 %, or so far away that little comes back.
pub(super) fn weaken(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let detuning = if draw.chance(0.5) {
        1.0 + draw.sign() * draw.uniform(0.08, 0.15)
    } else {
        1.0 + draw.uniform(-0.03, 0.03)
    };
    let coupling = draw.log_uniform(0.001, 0.05);
    setup.circuit.keys.clear();
    let weak = key::fitting_with(
        draw,
        &setup.circuit,
        setup.drive.frequency_hz,
        (detuning, coupling),
        WEAK_DEPTH,
    )?;
    setup.circuit.keys.push(weak);
    (key::bit_energy_db(setup, 0)? >= VISIBLE_DB).then_some(())
}

/// A second key of the same kind answers at the same time, at least half as deep as the first and at most twice.
pub(super) fn collide(setup: &mut Setup, choice: &KeyChoice, draw: &mut Draw) -> Option<()> {
    let first = (*setup.signals.first()?)?;
    let second = key::signal(draw, key::Kind::of(&first), choice);
    let coil = key::fitting(
        draw,
        &setup.circuit,
        setup.drive.frequency_hz,
        key::HEALTHY_DEPTH,
    )?;
    setup.circuit.keys.push(coil);
    setup.circuit.coupling_between_keys = draw.log_uniform(0.001, 0.1);
    setup.signals.push(Some(second));
    let ratio = setup.depth(0).ok()?.total / setup.depth(1).ok()?.total;
    (key::is_readable(setup) && (0.5..=2.0).contains(&ratio)).then_some(())
}
