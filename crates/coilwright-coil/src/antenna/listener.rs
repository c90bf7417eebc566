//! A pickup coil at a recorder's input: its sensitivity and its own resonance.

use crate::ModelError;
use crate::model_error::{finite, positive};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// A pickup coil with what hangs on it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Listener {
    /// Sum of the areas of all turns, square metres.
    pub turns_area_m2: f64,
    /// Inductance, henry.
    pub inductance_henry: f64,
    /// Series resistance, ohm.
    pub resistance_ohm: f64,
    /// Self-capacitance, cable and input together, farad.
    pub capacitance_farad: f64,
    /// Resistance of the input, ohm.
    pub input_ohm: f64,
}

/// What a pickup coil gives at a frequency.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct ListenerState {
    /// Its own undamped resonance with the capacitance, hertz.
    pub resonance_hz: f64,
    /// Q of that resonance with the input's resistance.
    pub q: f64,
    /// Voltage at the input over the induced voltage at the frequency.
    pub gain: f64,
    /// Phase of that gain, radians.
    pub phase_rad: f64,
    /// Voltage at the input for a flux density along the axis, volts per tesla.
    pub volt_per_tesla: f64,
}

impl Listener {
    /// What the coil gives at a frequency: the induced ω N A B through L and R into C and the input's resistance,
    /// `H = 1/[1 + (R + jωL)(1/R_in + jωC)]`.
    ///
    /// # Errors
    ///
    /// If a value is not positive (the capacitance may be zero: then the resonance is infinite).
    ///
    /// ```
    /// use coilwright_coil::antenna::Listener;
    /// let coil = Listener { turns_area_m2: 0.02, inductance_henry: 100e-6, resistance_ohm: 2.0,
    ///     capacitance_farad: 150e-12, input_ohm: 1e6 };
    /// let state = coil.at(125e3)?;
    /// assert!(state.resonance_hz > 1.29e6 && state.gain > 1.0 && state.gain < 1.01);
    /// # Ok::<(), coilwright_coil::ModelError>(())
    /// ```
    pub fn at(&self, frequency_hz: f64) -> Result<ListenerState, ModelError> {
        let area = positive("area of the turns", self.turns_area_m2, "m²")?;
        let l = positive("inductance", self.inductance_henry, "H")?;
        let r = positive("resistance", self.resistance_ohm, "Ω")?;
        let input = positive("resistance of the input", self.input_ohm, "Ω")?;
        let c = finite("capacitance", self.capacitance_farad, "F")?.max(0.0);
        let omega = TAU * positive("frequency", frequency_hz, "Hz")?;
        let series = Complex64::new(r, omega * l);
        let load = Complex64::new(input.recip(), omega * c);
        let gain = (Complex64::new(1.0, 0.0) + series * load).inv();
        // s² LC + s (RC + L/R_in) + 1 + R/R_in, with the resonance where the constant over the square stands.
        let constant = 1.0 + r / input;
        let omega_0 = (constant / (l * c)).sqrt();
        let q = omega_0 * l * c / (r * c + l / input);
        Ok(ListenerState {
            resonance_hz: omega_0 / TAU,
            q: if c > 0.0 { q } else { 0.0 },
            gain: gain.norm(),
            phase_rad: gain.arg(),
            volt_per_tesla: omega * area * gain.norm(),
        })
    }
}
