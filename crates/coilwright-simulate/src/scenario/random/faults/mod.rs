//! What each fault does to a healthy setup.

mod drive;
mod joint;
mod keys;
mod masking;
mod ring;

use super::draw::Draw;
use super::recorder;
use crate::scenario::{Fault, KeyChoice, Scenario, Setup};

/// Share of ring faults that come with a reference.
const WITH_REFERENCE: f64 = 0.5;
/// Share of ring faults with a key in the field.
const WITH_KEY: f64 = 0.7;

/// Returns the scenario that a fault makes of a healthy setup; `None` when this draw cannot show the fault.
pub(super) fn apply(
    fault: Fault,
    seed: u64,
    healthy: &Setup,
    choice: &KeyChoice,
    draw: &mut Draw,
) -> Option<Scenario> {
    let mut setup = healthy.clone();
    break_it(fault, &mut setup, choice, draw)?;
    let mut reference_setup = None;
    if touches_ring(fault) {
        if !draw.chance(WITH_KEY) {
            keys::remove(&mut setup);
        }
        if fault == Fault::DriveWeak || draw.chance(WITH_REFERENCE) {
            reference_setup = Some(reference(healthy, draw));
        } else if draw.chance(0.7) {
            recorder::set_gain(draw, &mut setup)?;
        }
    }
    Some(Scenario {
        fault,
        seed,
        setup,
        reference: reference_setup,
    })
}

/// Changes the setup as the fault does; `None` when what was drawn does not show it.
fn break_it(fault: Fault, setup: &mut Setup, choice: &KeyChoice, draw: &mut Draw) -> Option<()> {
    match fault {
        Fault::None => {}
        Fault::RingOpen => ring::open(setup),
        Fault::RingShorted => ring::short(setup, draw),
        Fault::TurnsShorted => ring::short_turns(setup, draw),
        Fault::MetalNear => ring::put_metal_near(setup, draw)?,
        Fault::TuningDrifted => ring::drift(setup, draw),
        Fault::NotDriven => drive::never_on(setup, draw),
        Fault::DriveWeak => drive::weaken(setup, draw)?,
        Fault::CarrierOff => drive::move_off(setup, draw)?,
        Fault::JointIntermittent => joint::interrupt(setup, draw)?,
        Fault::KeySilent => keys::silence(setup, draw),
        Fault::KeyWeak => keys::weaken(setup, draw)?,
        Fault::KeysCollide => keys::collide(setup, choice, draw)?,
        Fault::Interference => masking::interfere(setup, draw)?,
        Fault::CannotTell => masking::hide(setup, draw)?,
    }
    Some(())
}

/// Whether a known-good capture of the same ring helps.
const fn touches_ring(fault: Fault) -> bool {
    matches!(
        fault,
        Fault::RingOpen
            | Fault::RingShorted
            | Fault::TurnsShorted
            | Fault::MetalNear
            | Fault::TuningDrifted
            | Fault::NotDriven
            | Fault::DriveWeak
            | Fault::JointIntermittent
    )
}

/// The healthy setup on another day: the pickup is not quite where it was.
fn reference(healthy: &Setup, draw: &mut Draw) -> Setup {
    let mut setup = healthy.clone();
    let moved = 1.0 + draw.uniform(-0.1, 0.1);
    setup.circuit.pickup.coupling_ring *= moved;
    setup.circuit.pickup.coupling_lead *= moved;
    setup
}
