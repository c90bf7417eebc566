//! Tuning capacitor, and the voltage and current of a driven tank.

use crate::ModelError;
use crate::model_error::{finite, positive};
use std::f64::consts::TAU;

/// Total capacitance that tunes an inductance to a resonance, farad: C = 1/(4π² f₀² L).
///
/// # Errors
///
/// If a value is not positive.
///
/// ```
/// let farad = coilwright_coil::antenna::tuning_farad(1.62e-3, 125.044e3)?;
/// assert!((farad - 1e-9).abs() < 1e-14);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn tuning_farad(inductance_henry: f64, resonance_hz: f64) -> Result<f64, ModelError> {
    let l = positive("inductance", inductance_henry, "H")?;
    let f = positive("resonance", resonance_hz, "Hz")?;
    Ok(((TAU * f).powi(2) * l).recip())
}

/// How the capacitor of a reader's ring lies to its driver.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Tank {
    /// Coil and capacitor in series at a voltage source.
    Series {
        /// Resistance of the driver and what is put in series, ohm.
        driver_ohm: f64,
    },
    /// Coil and capacitor in parallel at a source with a resistance.
    Parallel {
        /// Resistance between source and tank, ohm.
        driver_ohm: f64,
    },
}

/// A driven ring.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct DrivenRing {
    /// Inductance of the coil, henry.
    pub inductance_henry: f64,
    /// Series resistance of the coil at the carrier, ohm.
    pub coil_ohm: f64,
    /// Tuning capacitance in all, farad.
    pub capacitance_farad: f64,
    /// Series or parallel.
    pub tank: Tank,
    /// Peak voltage of the driver's fundamental, volts; 2/π of the supply for a square wave against ground, 4/π for a bridge.
    pub drive_peak_volt: f64,
    /// Carrier, hertz.
    pub carrier_hz: f64,
}

/// State of a driven ring; voltages and currents are peak values at the carrier.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct DrivenState {
    /// Undamped resonance, hertz.
    pub resonance_hz: f64,
    /// Q of the coil alone.
    pub unloaded_q: f64,
    /// Q with the driver's resistance.
    pub loaded_q: f64,
    /// 3 dB bandwidth of the ring at its loaded Q, hertz.
    pub bandwidth_hz: f64,
    /// Current in the coil, ampere.
    pub coil_peak_ampere: f64,
    /// Voltage across the capacitor, volts.
    pub capacitor_peak_volt: f64,
    /// Current from the driver, ampere.
    pub driver_peak_ampere: f64,
    /// Power that the coil turns into heat, watt.
    pub coil_watt: f64,
}

impl DrivenRing {
    /// The steady state at the carrier, by circuit theory with a sinusoidal drive.
    ///
    /// Series: I = V/(R + jωL + 1/jωC), loaded Q = `ω₀L/(R_coil + R_driver)`. Parallel: a source V behind its resistance feeds C and the coil beside
    /// it; `1/Q = R_coil/(ω₀L) + ω₀L/R_driver`. Bandwidth f₀/Q.
    ///
    /// # Errors
    ///
    /// If a value is not positive (a series driver's resistance may be zero).
    ///
    /// ```
    /// use coilwright_coil::antenna::{DrivenRing, Tank};
    /// let ring = DrivenRing {
    ///     inductance_henry: 1.62e-3, coil_ohm: 40.0, capacitance_farad: 1.0007e-9,
    ///     tank: Tank::Series { driver_ohm: 0.0 }, drive_peak_volt: 4.0, carrier_hz: 125e3,
    /// };
    /// let state = ring.state()?;
    /// assert!((state.loaded_q - 31.8087).abs() < 1e-4);
    /// assert!((state.capacitor_peak_volt - 4.0 * 31.8087).abs() < 0.01);
    /// # Ok::<(), coilwright_coil::ModelError>(())
    /// ```
    pub fn state(&self) -> Result<DrivenState, ModelError> {
        use num_complex::Complex64;
        let l = positive("inductance of the coil", self.inductance_henry, "H")?;
        let r = positive("resistance of the coil", self.coil_ohm, "Ω")?;
        let c = positive("capacitance", self.capacitance_farad, "F")?;
        let drive = positive("voltage of the driver", self.drive_peak_volt, "V")?;
        let omega = TAU * positive("carrier", self.carrier_hz, "Hz")?;
        let omega_0 = (l * c).sqrt().recip();
        let coil = Complex64::new(r, omega * l);
        let capacitor = Complex64::new(0.0, -1.0 / (omega * c));
        let (loaded_q, coil_current, driver_current, voltage) = match self.tank {
            Tank::Series { driver_ohm } => {
                let source = finite("resistance of the driver", driver_ohm, "Ω")?.max(0.0);
                let current = drive / (coil + capacitor + source);
                let voltage = current * capacitor;
                (omega_0 * l / (r + source), current, current, voltage)
            }
            Tank::Parallel { driver_ohm } => {
                let source = positive("resistance of the driver", driver_ohm, "Ω")?;
                let tank = (coil.inv() + capacitor.inv()).inv();
                let current = drive / (tank + source);
                let voltage = current * tank;
                let inverse_q = r / (omega_0 * l) + omega_0 * l / source;
                (inverse_q.recip(), voltage / coil, current, voltage)
            }
        };
        Ok(DrivenState {
            resonance_hz: omega_0 / TAU,
            unloaded_q: omega_0 * l / r,
            loaded_q,
            bandwidth_hz: omega_0 / TAU / loaded_q,
            coil_peak_ampere: coil_current.norm(),
            capacitor_peak_volt: voltage.norm(),
            driver_peak_ampere: driver_current.norm(),
            coil_watt: 0.5 * coil_current.norm_sqr() * r,
        })
    }
}
