use nalgebra::DMatrix;
use std::f64::consts::TAU;

/// A damped sinusoid whose resonance, Q, amplitude and phase are all unknown.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct BoundMode {
    /// Undamped resonance, hertz.
    pub resonance_hz: f64,
    /// `ω₀/2α`, above one half.
    pub q: f64,
    /// Amplitude at the first sample.
    pub amplitude: f64,
    /// Phase of the cosine at the first sample, radians.
    pub phase_rad: f64,
}

/// One record: modes and steady lines of known frequency over an unknown DC, in white noise.
#[derive(Clone, Debug, PartialEq, serde::Deserialize)]
pub struct BoundScene {
    /// The damped sinusoids.
    pub modes: Vec<BoundMode>,
    /// Steady lines of known frequency and unknown amplitude and phase, hertz.
    pub lines_hz: Vec<f64>,
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Length of the record.
    pub samples: usize,
    /// Standard deviation of each sample's noise, in the unit of the amplitudes.
    pub noise_rms: f64,
}

/// The least standard deviations of an unbiased estimator.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct ModeBound {
    /// Of the undamped resonance, hertz.
    pub resonance_hz: f64,
    /// Of Q.
    pub q: f64,
}

/// Returns the Cramér–Rao bounds of resonance and Q of each mode, from the exact Fisher matrix.
///
/// The derivatives are summed sample by sample; nothing is shared with the estimators. K records that share the modes
/// divide the variances by K if each is like this one. `None` if the parameters cannot be told apart in the record.
///
/// ```
/// use coilwright_coil::{BoundMode, BoundScene, mode_bounds};
/// let ring = BoundMode { resonance_hz: 125e3, q: 20.0, amplitude: 1.0, phase_rad: 0.3 };
/// let scene =
///     BoundScene { modes: vec![ring], lines_hz: vec![], sample_rate_hz: 1e6, samples: 300, noise_rms: 0.01 };
/// let bound = mode_bounds(&scene).unwrap()[0];
/// assert!((bound.q / 20.0 - 0.0056).abs() < 2e-4);
/// ```
pub fn mode_bounds(scene: &BoundScene) -> Option<Vec<ModeBound>> {
    let parameters = 4 * scene.modes.len() + 2 * scene.lines_hz.len() + 1;
    let mut fisher = DMatrix::<f64>::zeros(parameters, parameters);
    for n in 0..scene.samples {
        let row = nalgebra::DVector::from_vec(derivatives(scene, n as f64 / scene.sample_rate_hz));
        fisher.ger(scene.noise_rms.powi(2).recip(), &row, &row, 1.0);
    }
    let scale: Vec<f64> = fisher.diagonal().iter().map(|d| d.sqrt().recip()).collect();
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let scaled = DMatrix::from_fn(parameters, parameters, |i, j| {
        fisher[(i, j)] * scale[i] * scale[j]
    });
    let inverse = scaled.cholesky()?.inverse();
    let deviation = |i: usize| inverse[(i, i)].sqrt() * scale[i];
    Some(
        (0..scene.modes.len())
            .map(|m| ModeBound {
                resonance_hz: deviation(4 * m),
                q: deviation(4 * m + 1),
            })
            .collect(),
    )
}

/// Derivatives of the noiseless record at `t` in (f₀, Q, A, φ) of each mode, the lines' quadratures and DC.
fn derivatives(scene: &BoundScene, t: f64) -> Vec<f64> {
    let mut row = Vec::with_capacity(4 * scene.modes.len() + 2 * scene.lines_hz.len() + 1);
    for mode in &scene.modes {
        let (omega, q) = (TAU * mode.resonance_hz, mode.q);
        let (alpha, damped) = (omega / (2.0 * q), omega * (1.0 - 0.25 / (q * q)).sqrt());
        let decay = (-alpha * t).exp();
        let (cosine, sine) = (
            decay * (damped * t + mode.phase_rad).cos(),
            decay * (damped * t + mode.phase_rad).sin(),
        );
        let (by_damped, by_alpha) = (-mode.amplitude * t * sine, -mode.amplitude * t * cosine);
        row.push((by_damped * damped + by_alpha * alpha) / mode.resonance_hz);
        // ∂ω_d/∂Q = ω₀²/(4Q³ω_d), ∂α/∂Q = −α/Q
        row.push(by_damped * omega * omega / (4.0 * q.powi(3) * damped) - by_alpha * alpha / q);
        row.extend([cosine, -mode.amplitude * sine]);
    }
    for line in &scene.lines_hz {
        let (sine, cosine) = (TAU * line * t).sin_cos();
        row.extend([cosine, sine]);
    }
    row.push(1.0);
    row
}
