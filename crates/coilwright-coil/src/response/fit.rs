use super::model::ResponseModel;
use super::{
    Background, PointKnowledge, ResponseFit, ResponseOptions, Weighting, check_frequencies,
    check_values, require_real, search_grid,
};
use crate::least_squares::{ResidualTest, Solution, covariance, linear, propagate, solve};
use crate::{Estimate, FitError};
use nalgebra::DVector;
use num_complex::Complex64;

/// Parameters that the resonance adds to the background.
const ADDED: f64 = 4.0;
/// Points beyond the fewest that determine the parameters.
const SPARE_POINTS: usize = 3;
/// Angular weights are taken anew from the fit this many times; more change nothing.
const WEIGHTINGS: usize = 3;

/// Returns resonance and Q of a complex response: transmission, reflection, impedance or a transfer function.
///
/// `frequencies_hz` rise; `response` has one value for each, in any unit. The resonance is sought over the whole band, so
/// the band should hold one. The undamped resonance and the loaded Q are reported, with standard deviations from the residuals.
///
/// # Errors
///
/// [`FitError`]: lengths that differ, frequencies that do not rise, too few points, values that are no number, no
/// resonance above the noise, or one that lies outside the band.
///
/// # Example
///
/// ```
/// use coilwright_coil::{ResponseOptions, fit_response};
/// use num_complex::Complex64;
/// let frequencies_hz: Vec<f64> = (0..201).map(|n| 115e3 + 100.0 * f64::from(n)).collect();
/// let response: Vec<Complex64> = frequencies_hz
///     .iter()
///     .map(|f| 0.1 + Complex64::new(1.0, 14.0 * (f / 125e3 - 125e3 / f)).inv())
///     .collect();
/// let fit = fit_response(&frequencies_hz, &response, &ResponseOptions::default())?;
/// assert!((fit.resonance_hz.value - 125e3).abs() < 1e-3);
/// assert!((fit.q.value - 14.0).abs() < 1e-6);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
///
/// # Source
///
/// The model is that of NPL Report MAT 58 (Gregory 2021), eqs. 21, 26 and 43, as described by scikit-rf's `qfactor` module, with the
/// exact detuning `t = f/f₀ − f₀/f` in place of `2(f − f₀)/f₀`, which at a Q of 14 is 0.06 % off in `f₀`.
pub fn fit_response(
    frequencies_hz: &[f64],
    response: &[Complex64],
    options: &ResponseOptions,
) -> Result<ResponseFit, FitError> {
    let fitted = fit_known(
        frequencies_hz,
        response,
        PointKnowledge::default(),
        *options,
    )?;
    Ok(fitted.report())
}

/// A fitted response with its parameters.
#[derive(Clone, Debug)]
pub(crate) struct Fitted<'a> {
    pub(crate) model: ResponseModel<'a>,
    pub(crate) solution: Solution,
    background: Background,
    frequencies_hz: &'a [f64],
    response: &'a [Complex64],
}

/// Probability by chance below which a slope is seen.
const CHANCE: f64 = 1e-3;

/// The fit with what is known of each point.
pub(crate) fn fit_known<'a>(
    frequencies_hz: &'a [f64],
    response: &'a [Complex64],
    known: PointKnowledge<'a>,
    options: ResponseOptions,
) -> Result<Fitted<'a>, FitError> {
    if options.background == Background::SlopeIfSeen {
        let fit = |background| {
            let options = ResponseOptions {
                background,
                ..options
            };
            fit_known(frequencies_hz, response, known, options)
        };
        return slope_if_seen(fit(Background::Constant), fit(Background::Sloped));
    }
    let model = ResponseModel::new(frequencies_hz, response, known, options);
    check_frequencies(frequencies_hz, model.free().div_ceil(2) + SPARE_POINTS)?;
    check_values(frequencies_hz.len(), response)?;
    if response.iter().all(|value| value.im == 0.0) {
        return Err(FitError::PhaseMissing {
            points: response.len(),
        });
    }
    let data = model.data();
    let points = response.len();
    let scaled: Vec<Complex64> = (0..points)
        .map(|n| Complex64::new(data[n], data[n + points]))
        .collect();
    let background = background_columns(frequencies_hz, known, options);
    let trial = |n: usize, resonance_hz: f64, q: f64| {
        let frequency_hz = frequencies_hz.get(n).copied().unwrap_or(resonance_hz);
        let relative = (frequency_hz / resonance_hz).powi(options.quantity.exponent());
        let detuning = frequency_hz / resonance_hz - resonance_hz / frequency_hz;
        known.scale(n) * relative / Complex64::new(1.0, q * detuning)
    };
    let (resonance_hz, q, _, tried) =
        search_grid(frequencies_hz, &scaled, &background, trial).ok_or(FitError::NotSeparable)?;
    let (coefficients, _) =
        linear(&model.columns(resonance_hz, q), &data).ok_or(FitError::NotSeparable)?;
    let mut start = DVector::zeros(model.free());
    (start[0], start[1]) = (resonance_hz.ln(), q.ln());
    start
        .rows_mut(2, coefficients.len())
        .copy_from(&coefficients);
    let solution = refine(&model, start, options)?;
    let fitted = Fitted {
        model,
        solution,
        background: options.background,
        frequencies_hz,
        response,
    };
    let without = squares_without(&background, &scaled);
    require_real(frequencies_hz, &fitted.solution, without, ADDED, tried)?;
    Ok(fitted)
}

/// The constant background unless the slope's two real coefficients lower the squares beyond chance.
///
/// `F = ½(S₀ − S₁)/(S₁/ν)` follows Fisher's distribution with 2 and ν degrees of freedom in white noise, whose tail is `(1 + 2F/ν)^(−ν/2) = (S₁/S₀)^(ν/2)`.
fn slope_if_seen<'a>(
    constant: Result<Fitted<'a>, FitError>,
    sloped: Result<Fitted<'a>, FitError>,
) -> Result<Fitted<'a>, FitError> {
    match (constant, sloped) {
        (Ok(constant), Ok(sloped)) => {
            let (without, with) = (&constant.solution, &sloped.solution);
            let ratio = with.squares / without.squares.max(f64::MIN_POSITIVE);
            let chance = ratio.powf(0.5 * with.degrees);
            Ok(if chance < CHANCE { sloped } else { constant })
        }
        (Err(_), Ok(sloped)) => Ok(sloped),
        (constant, _) => constant,
    }
}

fn refine(
    model: &ResponseModel<'_>,
    start: DVector<f64>,
    options: ResponseOptions,
) -> Result<Solution, FitError> {
    let mut solution = solve(model, start, None).ok_or(FitError::NotSeparable)?;
    if options.weighting == Weighting::Angular {
        for _ in 0..WEIGHTINGS {
            let weights = model.angular_weights(&solution.parameters);
            solution = solve(model, solution.parameters.clone(), Some(&weights))
                .ok_or(FitError::NotSeparable)?;
        }
    }
    Ok(solution)
}

fn background_columns(
    frequencies_hz: &[f64],
    known: PointKnowledge<'_>,
    options: ResponseOptions,
) -> Vec<Vec<f64>> {
    let power = match options.background {
        Background::None => 0,
        Background::Constant | Background::SlopeIfSeen => 1,
        Background::Sloped => 2,
    };
    let low = frequencies_hz.first().copied().unwrap_or(1.0);
    let high = frequencies_hz.last().copied().unwrap_or(1.0);
    let position = |f: f64| (2.0 * f - low - high) / (high - low).max(f64::MIN_POSITIVE);
    (0..power)
        .map(|k| {
            let each = frequencies_hz.iter().enumerate();
            each.map(|(n, &f)| position(f).powi(k) * known.scale(n))
                .collect()
        })
        .collect()
}

impl Fitted<'_> {
    /// Loaded resonance, loaded Q.
    pub(crate) fn resonance_and_q(&self) -> (Estimate, Estimate) {
        (
            propagate(&self.solution, |p| p[0].exp()),
            propagate(&self.solution, |p| p[1].exp()),
        )
    }

    pub(crate) fn report(&self) -> ResponseFit {
        let solution = &self.solution;
        let (resonance_hz, q) = self.resonance_and_q();
        let damped = |p: &DVector<f64>| {
            let ringing = 1.0 - 0.25 * (-2.0 * p[1]).exp();
            p[0].exp() * if ringing > 0.0 { ringing.sqrt() } else { 1.0 }
        };
        ResponseFit {
            resonance_hz,
            q,
            covariance_hz: covariance(solution, |p| p[0].exp(), |p| p[1].exp()),
            damped_hz: propagate(solution, damped),
            resonant: self.model.resonance(&solution.parameters),
            detuned: self
                .model
                .background(&solution.parameters, resonance_hz.value),
            background: self.background,
            delay_s: propagate(solution, |p| self.model.delay_s(p)),
            curve: self.curve(),
            residual: self.residual_test(),
            residual_squares: solution.squares,
            degrees_of_freedom: solution.degrees,
        }
    }

    /// The fitted curve at each frequency.
    pub(crate) fn curve(&self) -> Vec<Complex64> {
        self.frequencies_hz
            .iter()
            .map(|&f| self.model.at(&self.solution.parameters, f))
            .collect()
    }

    /// The test of the residuals, in order of frequency.
    pub(crate) fn residual_test(&self) -> ResidualTest {
        let residuals = self.solution.residuals.as_slice();
        let (real, imaginary) = residuals.split_at(residuals.len() / 2);
        let data = self.model.data();
        let count = self.response.len() as f64;
        let (first, second) = data.as_slice().split_at(self.response.len());
        let energy: f64 = [first, second]
            .iter()
            .map(|part| {
                let mean = part.iter().sum::<f64>() / count;
                part.iter().map(|v| (v - mean).powi(2)).sum::<f64>()
            })
            .sum();
        ResidualTest::of(&[real, imaginary], self.solution.degrees, energy)
    }
}

/// The squares that the background alone leaves.
fn squares_without(background: &[Vec<f64>], scaled: &[Complex64]) -> f64 {
    if background.is_empty() {
        return scaled.iter().map(Complex64::norm_sqr).sum();
    }
    let columns =
        nalgebra::DMatrix::from_fn(scaled.len(), background.len(), |n, k| background[k][n]);
    [
        DVector::from_iterator(scaled.len(), scaled.iter().map(|v| v.re)),
        DVector::from_iterator(scaled.len(), scaled.iter().map(|v| v.im)),
    ]
    .iter()
    .map(|part| linear(&columns, part).map_or(part.norm_squared(), |(_, squares)| squares))
    .sum()
}
