//! Random scenarios: realistic circuits, keys, switching patterns and recorders, and what each fault does to them.

mod draw;
mod faults;
mod half_duplex;
mod healthy;
mod key;
mod pattern;
mod recorder;

use super::{Fault, KeyChoice, Scenario};
use crate::SimulateError;
use draw::Draw;

/// How often a scenario is drawn anew when it came out wrong for its fault; one draw in a few succeeds.
const ATTEMPTS: u64 = 400;
/// How many locks are drawn until one lets a chosen key be read and shows the fault.
const LOCKS: u64 = 4000;

/// Returns a scenario with the fault. Draws that miss what the fault stands for are drawn anew from the same seed.
pub(super) fn scenario(fault: Fault, seed: u64) -> Scenario {
    let mut draw = Draw::new(seed, fault);
    let mut attempt = 0;
    loop {
        let healthy = healthy::setup(&mut draw);
        let any = KeyChoice::default();
        if let Some(scenario) = faults::apply(fault, seed, &healthy, &any, &mut draw) {
            return scenario;
        }
        attempt += 1;
        if attempt == ATTEMPTS {
            // Never reached with the ranges drawn from; a healthy setup under its true name is the honest way out.
            let setup = healthy::setup(&mut draw);
            return Scenario {
                fault: Fault::None,
                seed,
                setup,
                reference: None,
            };
        }
    }
}

/// As [`scenario`], with what the key is to be; the same where nothing is chosen.
pub(super) fn scenario_with_key(
    fault: Fault,
    seed: u64,
    choice: &KeyChoice,
) -> Result<Scenario, SimulateError> {
    let mut draw = Draw::new(seed, fault);
    for _ in 0..LOCKS {
        let scenario = healthy::attempt(&mut draw, choice)
            .and_then(|healthy| faults::apply(fault, seed, &healthy, choice, &mut draw));
        if let Some(scenario) = scenario {
            // What makes no sense is told now and not when it is simulated.
            scenario.setup.schedule()?;
            return Ok(scenario);
        }
    }
    Err(SimulateError::NeverReadable { attempts: LOCKS })
}
