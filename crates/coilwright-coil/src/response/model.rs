use super::{Background, FeedLine, PointKnowledge, ResponseOptions};
use crate::least_squares::Problem;
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;

/// The response model over its points; parameters are `ln f₀, ln Q`, then real and imaginary parts of the resonance, of the
/// background and of its slope, then the line's phase over half the band.
#[derive(Clone, Debug)]
pub(crate) struct ResponseModel<'a> {
    frequencies_hz: &'a [f64],
    values: &'a [Complex64],
    known: PointKnowledge<'a>,
    options: ResponseOptions,
    centre_hz: f64,
    half_band_hz: f64,
}

/// Index of the first linear parameter.
const RESONANCE: usize = 2;

impl<'a> ResponseModel<'a> {
    pub(crate) fn new(
        frequencies_hz: &'a [f64],
        values: &'a [Complex64],
        known: PointKnowledge<'a>,
        options: ResponseOptions,
    ) -> Self {
        let low = frequencies_hz.first().copied().unwrap_or(1.0);
        let high = frequencies_hz.last().copied().unwrap_or(1.0);
        Self {
            frequencies_hz,
            values,
            known,
            options,
            centre_hz: 0.5 * (low + high),
            half_band_hz: (0.5 * (high - low)).max(f64::MIN_POSITIVE),
        }
    }

    /// Number of complex coefficients: the resonance and the background.
    fn coefficients(&self) -> usize {
        match self.options.background {
            Background::None => 1,
            Background::Constant | Background::SlopeIfSeen => 2,
            Background::Sloped => 3,
        }
    }

    /// Number of parameters.
    pub(crate) fn free(&self) -> usize {
        RESONANCE
            + 2 * self.coefficients()
            + usize::from(self.options.feed_line == FeedLine::Fitted)
    }

    /// `f/f₀ − f₀/f`.
    fn detuning(frequency_hz: f64, resonance_hz: f64) -> f64 {
        frequency_hz / resonance_hz - resonance_hz / frequency_hz
    }

    /// The resonance term without its coefficient.
    fn shape(&self, frequency_hz: f64, resonance_hz: f64, q: f64) -> Complex64 {
        let factor = (frequency_hz / self.centre_hz).powi(self.options.quantity.exponent());
        factor / Complex64::new(1.0, q * Self::detuning(frequency_hz, resonance_hz))
    }

    fn position(&self, frequency_hz: f64) -> f64 {
        (frequency_hz - self.centre_hz) / self.half_band_hz
    }

    fn coefficient(parameters: &DVector<f64>, index: usize) -> Complex64 {
        Complex64::new(
            parameters[RESONANCE + 2 * index],
            parameters[RESONANCE + 2 * index + 1],
        )
    }

    fn turn(&self, parameters: &DVector<f64>, position: f64) -> Complex64 {
        match self.options.feed_line {
            FeedLine::None => Complex64::new(1.0, 0.0),
            FeedLine::Fitted => Complex64::cis(-parameters[parameters.len() - 1] * position),
        }
    }

    /// The background at a frequency, in front of the line.
    pub(crate) fn background(&self, parameters: &DVector<f64>, frequency_hz: f64) -> Complex64 {
        let zero = Complex64::new(0.0, 0.0);
        match self.options.background {
            Background::None => zero,
            Background::Constant | Background::SlopeIfSeen => Self::coefficient(parameters, 1),
            Background::Sloped => {
                Self::coefficient(parameters, 1)
                    + Self::coefficient(parameters, 2) * self.position(frequency_hz)
            }
        }
    }

    /// The resonance's coefficient `a`, in front of the line, at the resonance.
    pub(crate) fn resonance(&self, parameters: &DVector<f64>) -> Complex64 {
        let at = (parameters[0].exp() / self.centre_hz).powi(self.options.quantity.exponent());
        Self::coefficient(parameters, 0) * at
    }

    /// One-way or round-trip delay of the line, seconds, as it turns the phase.
    pub(crate) fn delay_s(&self, parameters: &DVector<f64>) -> f64 {
        match self.options.feed_line {
            FeedLine::None => 0.0,
            FeedLine::Fitted => {
                parameters[parameters.len() - 1] / (std::f64::consts::TAU * self.half_band_hz)
            }
        }
    }

    /// The fitted curve.
    pub(crate) fn at(&self, parameters: &DVector<f64>, frequency_hz: f64) -> Complex64 {
        let shape = self.shape(frequency_hz, parameters[0].exp(), parameters[1].exp());
        (Self::coefficient(parameters, 0) * shape + self.background(parameters, frequency_hz))
            * self.turn(parameters, self.position(frequency_hz))
    }

    /// Complex columns of the linear coefficients for this resonance, without a line.
    pub(crate) fn columns(&self, resonance_hz: f64, q: f64) -> DMatrix<f64> {
        let points = self.frequencies_hz.len();
        let mut columns = DMatrix::zeros(2 * points, 2 * self.coefficients());
        for (n, &frequency_hz) in self.frequencies_hz.iter().enumerate() {
            let scale = self.known.scale(n);
            let each = [
                self.shape(frequency_hz, resonance_hz, q),
                Complex64::new(1.0, 0.0),
                Complex64::new(self.position(frequency_hz), 0.0),
            ];
            for (k, value) in each.iter().take(self.coefficients()).enumerate() {
                put(&mut columns, n, points, 2 * k, value * scale);
                put(
                    &mut columns,
                    n,
                    points,
                    2 * k + 1,
                    value * scale * Complex64::i(),
                );
            }
        }
        columns
    }

    /// The data as real rows: real parts, then imaginary parts.
    pub(crate) fn data(&self) -> DVector<f64> {
        let points = self.values.len();
        let mut data = DVector::zeros(2 * points);
        for (n, value) in self.values.iter().enumerate() {
            data[n] = value.re * self.known.scale(n);
            data[n + points] = value.im * self.known.scale(n);
        }
        data
    }

    /// Adds the model's slopes at a frequency to a point's rows, times a scale; returns the model there, times that scale.
    fn add_slopes(
        &self,
        parameters: &DVector<f64>,
        frequency_hz: f64,
        (row, scale): (usize, f64),
        slopes: &mut DMatrix<f64>,
    ) -> Complex64 {
        let (resonance_hz, q) = (parameters[0].exp(), parameters[1].exp());
        let points = self.values.len();
        let amplitude = Self::coefficient(parameters, 0);
        let position = self.position(frequency_hz);
        let turn = self.turn(parameters, position) * scale;
        let shape = self.shape(frequency_hz, resonance_hz, q);
        let detuning = Self::detuning(frequency_hz, resonance_hz);
        let plain = Complex64::new(1.0, q * detuning).inv();
        let by_detuning = -amplitude * shape * plain * Complex64::new(0.0, q);
        let towards = -(frequency_hz / resonance_hz + resonance_hz / frequency_hz);
        let model = (amplitude * shape + self.background(parameters, frequency_hz)) * turn;
        add(slopes, row, points, 0, by_detuning * towards * turn);
        add(slopes, row, points, 1, by_detuning * detuning * turn);
        let each = [shape * turn, turn, turn * position];
        for (k, column) in each.iter().take(self.coefficients()).enumerate() {
            let at = RESONANCE + 2 * k;
            add(slopes, row, points, at, *column);
            add(slopes, row, points, at + 1, column * Complex64::i());
        }
        if self.options.feed_line == FeedLine::Fitted {
            let column = model * Complex64::new(0.0, -position);
            add(slopes, row, points, self.free() - 1, column);
        }
        model
    }

    /// Weights `1/(1 + Q²t²)` of the rows.
    pub(crate) fn angular_weights(&self, parameters: &DVector<f64>) -> DVector<f64> {
        let points = self.frequencies_hz.len();
        let (resonance_hz, q) = (parameters[0].exp(), parameters[1].exp());
        let mut weights = DVector::zeros(2 * points);
        for (n, &frequency_hz) in self.frequencies_hz.iter().enumerate() {
            let offset = q * Self::detuning(frequency_hz, resonance_hz);
            weights[n] = (1.0 + offset * offset).recip();
            weights[n + points] = weights[n];
        }
        weights
    }
}

fn put(matrix: &mut DMatrix<f64>, row: usize, points: usize, column: usize, value: Complex64) {
    matrix[(row, column)] = value.re;
    matrix[(row + points, column)] = value.im;
}

fn add(matrix: &mut DMatrix<f64>, row: usize, points: usize, column: usize, value: Complex64) {
    matrix[(row, column)] += value.re;
    matrix[(row + points, column)] += value.im;
}

impl Problem for ResponseModel<'_> {
    fn rows(&self) -> usize {
        2 * self.values.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        let (resonance_hz, q) = (parameters[0].exp(), parameters[1].exp());
        if !(resonance_hz.is_finite() && q.is_finite() && resonance_hz > 0.0 && q > 0.0) {
            return None;
        }
        let points = self.values.len();
        slopes.fill(0.0);
        for (n, (&frequency_hz, value)) in self.frequencies_hz.iter().zip(self.values).enumerate() {
            let scale = self.known.scale(n);
            let mut left = value * scale;
            for (node_hz, weight) in self.known.nodes(n, frequency_hz) {
                left -= self.add_slopes(parameters, node_hz, (n, weight * scale), slopes);
            }
            residuals[n] = left.re;
            residuals[n + points] = left.im;
        }
        Some(())
    }
}
