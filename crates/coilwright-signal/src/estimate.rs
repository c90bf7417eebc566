use serde::{Deserialize, Serialize};

/// A measured number and its standard deviation, in the same unit.
///
/// ```
/// use coilwright_signal::Estimate;
/// let carrier = Estimate::new(125_003.7, 0.2);
/// assert_eq!(carrier.map_linear(1e-3).value, 125.003_7);
/// ```
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

    /// The estimate scaled by `factor`, as for a change of unit.
    #[must_use]
    pub fn map_linear(self, factor: f64) -> Self {
        Self::new(self.value * factor, self.std_dev * factor.abs())
    }
}
