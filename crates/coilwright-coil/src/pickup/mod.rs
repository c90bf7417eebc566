//! Pickup coil planner: from wire and former at hand to turns, inductance, resonance, expected volts, cautions.

mod caution;
mod plan;

pub use caution::Caution;
pub use plan::{
    LEAST_RESONANCE_RATIO, MOST_OF_FULL_SCALE, Materials, PickupPlan, RecorderInput, RingNearby,
    pickup_of_turns, plan_pickup,
};
