//! Resistivity of the wire's metal with temperature.

use crate::ModelError;
use crate::model_error::{finite, positive, within};

/// A metal as a conductor.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Metal {
    /// Resistivity at 20 °C, ohm metres.
    pub resistivity_20c_ohm_m: f64,
    /// Temperature coefficient at 20 °C, per kelvin.
    pub temperature_coefficient_per_k: f64,
}

/// Annealed copper of 100 % IACS: 0.017241 Ω mm²/m (NBS Handbook 100, second hand), 0.00393 per kelvin (from memory).
pub const COPPER: Metal = Metal {
    resistivity_20c_ohm_m: 1.7241e-8,
    temperature_coefficient_per_k: 0.003_93,
};
/// Aluminium for conductors, 61 % IACS: 0.028264 Ω mm²/m, 0.00403 per kelvin (from memory).
pub const ALUMINIUM: Metal = Metal {
    resistivity_20c_ohm_m: 2.8264e-8,
    temperature_coefficient_per_k: 0.004_03,
};

impl Metal {
    /// Resistivity at a temperature, ohm metres: ρ₂₀ [1 + α (T − 20 °C)], linear, good to 1 % of the change from −55 to 155 °C and to 2 % of the
    /// resistivity at the ends of the range (copper against tables of pure metals, from memory).
    ///
    /// # Errors
    ///
    /// If the temperature lies outside −60 to 200 °C, or a constant makes no sense.
    ///
    /// ```
    /// let warm = coilwright_coil::loss::COPPER.resistivity_ohm_m(80.0)?;
    /// assert!((warm / 1.7241e-8 - 1.2358).abs() < 1e-10);
    /// # Ok::<(), coilwright_coil::ModelError>(())
    /// ```
    pub fn resistivity_ohm_m(&self, temperature_c: f64) -> Result<f64, ModelError> {
        let rho = positive("resistivity", self.resistivity_20c_ohm_m, "Ω m")?;
        let slope = finite(
            "temperature coefficient",
            self.temperature_coefficient_per_k,
            "1/K",
        )?;
        let t = within(
            "linear resistivity",
            "temperature in °C",
            temperature_c,
            -60.0,
            200.0,
        )?;
        positive("resistivity", rho * (1.0 + slope * (t - 20.0)), "Ω m")
    }
}
