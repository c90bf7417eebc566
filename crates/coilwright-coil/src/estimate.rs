use serde::{Deserialize, Serialize};

/// A measured number and its standard deviation, in the same unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The estimate itself.
    pub value: f64,
    /// One standard deviation of the estimate.
    pub std_dev: f64,
}

impl Estimate {
    /// An estimate from its value and standard deviation.
    #[must_use]
    pub const fn new(value: f64, std_dev: f64) -> Self {
        Self { value, std_dev }
    }
}
