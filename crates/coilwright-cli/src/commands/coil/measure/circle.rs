use coilwright_coil::ResponseFit;
use num_complex::Complex64;

use crate::plot::{Drawn, Form};

/// Points of a fitted circle: one in half a degree.
const POINTS: i32 = 720;

/// A response with its fit: magnitude over frequency, and the circle in its plane.
pub(super) fn drawn(
    frequencies_hz: &[f64],
    measured: &[Complex64],
    fit: &ResponseFit,
    form: Form,
) -> Vec<Drawn> {
    let curve = curve(frequencies_hz, fit);
    let resonance = (fit.resonance_hz.value, fit.detuned + fit.resonant);
    vec![
        magnitude(frequencies_hz, measured, &curve, resonance),
        Drawn {
            form,
            title: "Resonance circle",
            x: "real part",
            y: "imaginary part".to_owned(),
            measured: measured.iter().map(|s| (s.re, s.im)).collect(),
            fitted: curve.iter().map(|(_, s)| (s.re, s.im)).collect(),
            resonance: Some((resonance.1.re, resonance.1.im)),
        },
    ]
}

/// Magnitudes over frequency.
pub(super) fn magnitude(
    frequencies_hz: &[f64],
    measured: &[Complex64],
    fitted: &[(f64, Complex64)],
    (resonance_hz, there): (f64, Complex64),
) -> Drawn {
    let point = |f: f64, z: &Complex64| (1e-3 * f, z.norm());
    let measured = frequencies_hz.iter().zip(measured);
    Drawn {
        form: Form::Plane,
        title: "Magnitude over frequency",
        x: "frequency, kHz",
        y: "magnitude".to_owned(),
        measured: measured.map(|(f, z)| point(*f, z)).collect(),
        fitted: fitted.iter().map(|(f, z)| point(*f, z)).collect(),
        resonance: Some(point(resonance_hz, &there)),
    }
}

/// The fitted circle over the band, evenly in its angle: with `x = Q(f/f₀ − f₀/f)`, `d + a/(1 + jx) = d + a(1 + e^{jφ})/2` where `φ = −2 atan x`.
fn curve(frequencies_hz: &[f64], fit: &ResponseFit) -> Vec<(f64, Complex64)> {
    let (f0, q) = (fit.resonance_hz.value, fit.q.value);
    let angle = |f: &f64| -2.0 * (q * (f / f0 - f0 / f)).atan();
    let ends = frequencies_hz.first().zip(frequencies_hz.last());
    let Some((from, to)) = ends.map(|(low, high)| (angle(low), angle(high))) else {
        return Vec::new();
    };
    let at = |n: i32| {
        let angle = from + (to - from) * f64::from(n) / f64::from(POINTS);
        let half = -0.5 * (0.5 * angle).tan() / q;
        let value = fit.detuned + 0.5 * fit.resonant * (1.0 + Complex64::cis(angle));
        (f0 * (half + half.hypot(1.0)), value)
    };
    (0..=POINTS).map(at).collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
mod tests {
    use super::*;
    use coilwright_coil::{ResponseOptions, fit_response};

    /// The fitter's own curve, at the points of the table, lies on the smooth one.
    #[test]
    fn the_smooth_curve_passes_through_the_fitted_points() {
        let frequencies_hz: Vec<f64> = (0..101).map(|n| 105e3 + 400.0 * f64::from(n)).collect();
        let response: Vec<Complex64> = frequencies_hz
            .iter()
            .map(|f| {
                let x = 14.0 * (f / 125e3 - 125e3 / f);
                Complex64::new(0.95, 0.1) - Complex64::new(1.1, -0.2) / Complex64::new(1.0, x)
            })
            .collect();
        let fit = fit_response(&frequencies_hz, &response, &ResponseOptions::default()).unwrap();
        let smooth = curve(&frequencies_hz, &fit);
        for (f, wanted) in frequencies_hz.iter().zip(&fit.curve) {
            let after = smooth
                .partition_point(|(g, _)| g < f)
                .clamp(1, smooth.len() - 1);
            let ((f0, low), (f1, high)) = (smooth[after - 1], smooth[after]);
            let found = low + (high - low) * ((f - f0) / (f1 - f0));
            assert!((found - wanted).norm() < 1e-4, "{f}: {found} {wanted}");
        }
    }
}
