//! Random scenarios: realistic circuits, keys, switching patterns and recorders, and what each fault does to them.

mod draw;
mod faults;
mod healthy;
mod key;
mod pattern;
mod recorder;

use super::{Fault, Scenario};
use draw::Draw;

/// How often a scenario is drawn anew when it came out wrong for its fault; one draw in a few succeeds.
const ATTEMPTS: u64 = 400;

/// Returns a scenario with the fault. Draws that miss what the fault stands for are drawn anew from the same seed.
pub(super) fn scenario(fault: Fault, seed: u64) -> Scenario {
    let mut draw = Draw::new(seed, fault);
    let mut attempt = 0;
    loop {
        let healthy = healthy::setup(&mut draw);
        if let Some(scenario) = faults::apply(fault, seed, &healthy, &mut draw) {
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
