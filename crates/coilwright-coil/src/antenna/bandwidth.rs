//! What a ring's bandwidth does to a bit rate.

use crate::ModelError;
use crate::model_error::positive;
use std::f64::consts::PI;

/// How a ring passes amplitude modulation at its resonance.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct BitRateFit {
    /// Time constant of the envelope, seconds: τ = Q/(πf₀).
    pub time_constant_s: f64,
    /// 3 dB bandwidth, hertz: f₀/Q.
    pub bandwidth_hz: f64,
    /// Time constants in half a bit: below about 2 the ring smears half-bits of Manchester and biphase into each other.
    pub time_constants_per_half_bit: f64,
    /// Loss of the sidebands at ± the bit rate (Manchester's fundamental for a run of equal bits), decibels, negative.
    pub full_rate_sideband_db: f64,
    /// Loss of the sidebands at ± half the bit rate (alternating bits), decibels, negative.
    pub half_rate_sideband_db: f64,
    /// Largest Q that leaves two time constants in half a bit.
    pub most_q: f64,
}

/// Time constants in half a bit that keep smearing small: e⁻² = 14 % is left of the step before; common practice, no source.
const TIME_CONSTANTS: f64 = 2.0;

/// How a ring of a resonance and Q passes a bit rate, with the carrier at its resonance.
///
/// The ring's response at f is 1/(1 + jQ(f/f₀ − f₀/f)), exactly that of a series ring's current.
///
/// # Errors
///
/// If a value is not positive, or the bit rate reaches the resonance.
///
/// ```
/// let fit = coilwright_coil::antenna::bit_rate_fit(125e3, 20.0, 125e3 / 64.0)?;
/// assert!((fit.time_constant_s - 50.929_58e-6).abs() < 1e-11);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn bit_rate_fit(
    resonance_hz: f64,
    q: f64,
    bits_per_second: f64,
) -> Result<BitRateFit, ModelError> {
    let f = positive("resonance", resonance_hz, "Hz")?;
    let q = positive("Q", q, "")?;
    let rate = positive("bit rate", bits_per_second, "bit/s")?;
    crate::model_error::within(
        "modulated carrier",
        "bit rate over resonance",
        rate / f,
        0.0,
        0.5,
    )?;
    let time_constant_s = q / (PI * f);
    let half_bit = 0.5 / rate;
    // Mean power of the two sidebands.
    let sidebands = |offset: f64| {
        let gain = |side: f64| {
            let detuning = q * (side / f - f / side);
            (1.0 + detuning * detuning).recip()
        };
        10.0 * (0.5 * (gain(f + offset) + gain(f - offset))).log10()
    };
    Ok(BitRateFit {
        time_constant_s,
        bandwidth_hz: f / q,
        time_constants_per_half_bit: half_bit / time_constant_s,
        full_rate_sideband_db: sidebands(rate),
        half_rate_sideband_db: sidebands(0.5 * rate),
        most_q: half_bit / TIME_CONSTANTS * PI * f,
    })
}
