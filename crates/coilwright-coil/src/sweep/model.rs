use crate::Quantity;
use crate::least_squares::Problem;
use nalgebra::{DMatrix, DVector};

/// Least amplitude whose slope is taken, as part of the largest: the root of a power has no slope at zero.
const LEAST_AMPLITUDE: f64 = 1e-6;

/// Which terms the power has besides the resonance `u^2k/(1 + Q²t²)`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Terms {
    /// A constant.
    pub(crate) level: bool,
    /// `u^k Qt/(1 + Q²t²)`: interference with a direct path.
    pub(crate) interference: bool,
    /// A slope over frequency.
    pub(crate) slope: bool,
}

impl Terms {
    /// From simple to rich.
    pub(crate) const ALL: [Self; 5] = [
        Self::NONE,
        Self::LEVEL,
        Self {
            interference: true,
            ..Self::LEVEL
        },
        Self {
            slope: true,
            ..Self::LEVEL
        },
        Self {
            level: true,
            interference: true,
            slope: true,
        },
    ];
    const NONE: Self = Self {
        level: false,
        interference: false,
        slope: false,
    };
    const LEVEL: Self = Self {
        level: true,
        ..Self::NONE
    };

    /// Number of coefficients.
    pub(crate) fn columns(self) -> usize {
        1 + usize::from(self.level) + usize::from(self.interference) + usize::from(self.slope)
    }
}

/// Amplitudes as the root of a power that is linear in its terms.
///
/// A resonance over a direct path is `|b + a/(1 + jQt)|² = |b|² + (|a|² + 2 Re ab* + 2 Im(ab*) Qt)/(1 + Q²t²)`, so level, resonance
/// and interference hold it exactly. Parameters are `ln f₀, ln Q`, then the coefficients.
#[derive(Clone, Debug)]
pub(crate) struct AmplitudeModel<'a> {
    pub(crate) frequencies_hz: &'a [f64],
    pub(crate) amplitudes: &'a [f64],
    pub(crate) terms: Terms,
    exponent: i32,
    centre_hz: f64,
    half_band_hz: f64,
    largest: f64,
}

impl<'a> AmplitudeModel<'a> {
    pub(crate) fn new(
        frequencies_hz: &'a [f64],
        amplitudes: &'a [f64],
        terms: Terms,
        quantity: Quantity,
    ) -> Self {
        let low = frequencies_hz.first().copied().unwrap_or(1.0);
        let high = frequencies_hz.last().copied().unwrap_or(1.0);
        Self {
            frequencies_hz,
            amplitudes,
            terms,
            exponent: quantity.exponent(),
            centre_hz: 0.5 * (low + high),
            half_band_hz: (0.5 * (high - low)).max(f64::MIN_POSITIVE),
            largest: amplitudes.iter().fold(0.0, |m, a| a.abs().max(m)),
        }
    }

    /// Number of parameters.
    pub(crate) fn free(&self) -> usize {
        2 + self.terms.columns()
    }

    /// The terms at a frequency, and their derivatives in `ln f₀` and `ln Q`.
    fn terms_at(&self, frequency_hz: f64, resonance_hz: f64, q: f64) -> [Vec<f64>; 3] {
        let detuning = frequency_hz / resonance_hz - resonance_hz / frequency_hz;
        let x = q * detuning;
        // x moves by x with ln Q, and by −Q(f/f₀ + f₀/f) with ln f₀.
        let by_resonance = -q * (frequency_hz / resonance_hz + resonance_hz / frequency_hz);
        let lorentz = (1.0 + x * x).recip();
        let relative = (frequency_hz / self.centre_hz).powi(self.exponent);
        let power = relative * relative;
        let (by_x, skew_by_x) = (
            -2.0 * x * lorentz * lorentz,
            lorentz * lorentz * (1.0 - x * x),
        );
        let mut each = [
            vec![power * lorentz],
            vec![power * by_x * by_resonance],
            vec![power * by_x * x],
        ];
        if self.terms.level {
            each[0].push(1.0);
            each[1].push(0.0);
            each[2].push(0.0);
        }
        if self.terms.interference {
            each[0].push(relative * x * lorentz);
            each[1].push(relative * skew_by_x * by_resonance);
            each[2].push(relative * skew_by_x * x);
        }
        if self.terms.slope {
            each[0].push((frequency_hz - self.centre_hz) / self.half_band_hz);
            each[1].push(0.0);
            each[2].push(0.0);
        }
        each
    }

    /// Columns of the power for this resonance, each row over twice the amplitude there: nearly white if the amplitudes are.
    pub(crate) fn columns(&self, resonance_hz: f64, q: f64) -> DMatrix<f64> {
        let mut columns = DMatrix::zeros(self.frequencies_hz.len(), self.terms.columns());
        for (n, &f) in self.frequencies_hz.iter().enumerate() {
            let scale = self.row_scale(n);
            for (k, value) in self.terms_at(f, resonance_hz, q)[0].iter().enumerate() {
                columns[(n, k)] = value * scale;
            }
        }
        columns
    }

    /// The powers with the same scale.
    pub(crate) fn powers(&self) -> DVector<f64> {
        DVector::from_fn(self.amplitudes.len(), |n, _| {
            self.amplitudes[n].powi(2) * self.row_scale(n)
        })
    }

    /// Half the reciprocal of the amplitude, held where it is small: it only serves to start.
    pub(crate) fn row_scale(&self, point: usize) -> f64 {
        let amplitude = self.amplitudes.get(point).map_or(0.0, |a| a.abs());
        0.5 / amplitude.max(0.05 * self.largest).max(f64::MIN_POSITIVE)
    }

    /// The fitted amplitude.
    pub(crate) fn at(&self, parameters: &DVector<f64>, frequency_hz: f64) -> f64 {
        let [terms, ..] = self.terms_at(frequency_hz, parameters[0].exp(), parameters[1].exp());
        along(&terms, parameters).max(0.0).sqrt()
    }
}

impl Problem for AmplitudeModel<'_> {
    fn rows(&self) -> usize {
        self.amplitudes.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        let (resonance_hz, q) = resonance(parameters)?;
        for (n, (&f, amplitude)) in self.frequencies_hz.iter().zip(self.amplitudes).enumerate() {
            let terms = self.terms_at(f, resonance_hz, q);
            let model = along(&terms[0], parameters).max(0.0).sqrt();
            // ∂√P = ∂P/2√P
            let least = (LEAST_AMPLITUDE * self.largest).max(f64::MIN_POSITIVE);
            write_slopes(slopes, n, &terms, parameters, 0.5 / model.max(least));
            residuals[n] = amplitude - model;
        }
        Some(())
    }
}

/// The same curve with the powers for data, each row over twice the measured amplitude: smooth wherever the parameters lie, while the
/// root of a power has no slope where a trial takes it below zero, as it does at the bottom of a dip. The noise is nearly white.
pub(crate) struct PowerModel<'a, 'b>(pub(crate) &'b AmplitudeModel<'a>);

impl Problem for PowerModel<'_, '_> {
    fn rows(&self) -> usize {
        self.0.amplitudes.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        let model = self.0;
        let (resonance_hz, q) = resonance(parameters)?;
        let data = model.frequencies_hz.iter().zip(model.amplitudes);
        for (n, (&f, amplitude)) in data.enumerate() {
            let terms = model.terms_at(f, resonance_hz, q);
            let scale = model.row_scale(n);
            write_slopes(slopes, n, &terms, parameters, scale);
            residuals[n] = scale * (amplitude * amplitude - along(&terms[0], parameters));
        }
        Some(())
    }
}

/// Resonance and Q, if the parameters are any.
fn resonance(parameters: &DVector<f64>) -> Option<(f64, f64)> {
    let (resonance_hz, q) = (parameters[0].exp(), parameters[1].exp());
    let positive = |v: f64| v.is_finite() && v > 0.0;
    (positive(resonance_hz) && positive(q)).then_some((resonance_hz, q))
}

/// Terms times their coefficients.
fn along(terms: &[f64], parameters: &DVector<f64>) -> f64 {
    let coefficients = parameters.iter().skip(2);
    terms.iter().zip(coefficients).map(|(t, c)| t * c).sum()
}

/// One row of derivatives of the power, scaled.
fn write_slopes(
    slopes: &mut DMatrix<f64>,
    row: usize,
    [plain, by_resonance, by_q]: &[Vec<f64>; 3],
    parameters: &DVector<f64>,
    scale: f64,
) {
    slopes[(row, 0)] = scale * along(by_resonance, parameters);
    slopes[(row, 1)] = scale * along(by_q, parameters);
    for (k, value) in plain.iter().enumerate() {
        slopes[(row, 2 + k)] = scale * value;
    }
}
