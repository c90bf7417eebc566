use std::f64::consts::TAU;

use super::super::{draw::Draw, recorder};
use crate::impair::Line;
use crate::scenario::Setup;

/// The field never comes on; what is left is noise, hum and perhaps a converter.
pub(super) fn never_on(setup: &mut Setup, draw: &mut Draw) {
    let noise_volt = setup.recorder.noise_rms_volt;
    setup.drive.field_on_s.clear();
    setup.recorder.lines = match draw.whole(0, 2) {
        0 => Vec::new(),
        lines => (0..lines)
            .map(|_| converter_line(draw, setup.drive.frequency_hz, noise_volt))
            .collect(),
    };
}

/// A harmonic of a switch-mode converter: anywhere, but often close to the carrier.
fn converter_line(draw: &mut Draw, carrier_hz: f64, noise_volt: f64) -> Line {
    let frequency_hz = if draw.chance(0.4) {
        carrier_hz + draw.sign() * draw.uniform(300.0, 6_000.0)
    } else {
        draw.uniform(40e3, 190e3)
    };
    Line {
        frequency_hz,
        amplitude_volt: noise_volt * draw.log_uniform(0.05, 10.0),
        phase_rad: draw.uniform(0.0, TAU),
        swing_hz: draw.log_uniform(1.0, 500.0),
        swing_rate_hz: draw.uniform(20.0, 200.0),
    }
}

/// The supply has sunk, or the output stage has gained resistance; 0.15 to 0.6 of the level is left.
pub(super) fn weaken(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    if draw.chance(0.6) {
        setup.drive.waveform = setup.drive.waveform.scaled(draw.log_uniform(0.15, 0.6));
        return Some(());
    }
    let before_volt = setup.carrier_volt().ok()?;
    let more = draw.log_uniform(1.5, 8.0);
    setup.circuit.driver.resistance_on_ohm *= more;
    setup.circuit.driver.resistance_off_ohm *= more;
    let left = setup.carrier_volt().ok()? / before_volt;
    (0.15..=0.6).contains(&left).then_some(())
}

/// The drive is 3 to 10 % away from its nominal frequency.
pub(super) fn move_off(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let before_hz = setup.drive.frequency_hz;
    let after_hz = before_hz * (1.0 + draw.sign() * draw.uniform(0.03, 0.10));
    setup.drive.frequency_hz = after_hz;
    for (on_s, off_s) in &mut setup.drive.field_on_s {
        *on_s = (*on_s * after_hz).round() / after_hz;
        *off_s = (*off_s * after_hz).round() / after_hz;
    }
    if draw.chance(0.7) {
        recorder::set_gain(draw, setup)?;
    }
    Some(())
}
