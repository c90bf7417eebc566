use super::format::Options;
use super::keyword::Order;
use super::model::{Parameter, scattering};
use crate::table::{MOST_POINTS, TableError};
use num_complex::Complex64;

/// What a data line means, and the points so far.
#[derive(Clone, Debug)]
pub(super) struct Points {
    pub(super) ports: usize,
    options: Options,
    order: Order,
    reference_ohm: Vec<f64>,
    /// What turns the numbers of the file into ohm or siemens: version 1 divides by the reference.
    unit: f64,
    pub(super) frequencies_hz: Vec<f64>,
    pub(super) scattering: Vec<Complex64>,
}

/// Whether a data line is a point or the first of the noise parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Row {
    Point,
    /// At 0 Hz, left out.
    Zero,
    Noise,
}

impl Points {
    pub(super) fn new(
        ports: usize,
        options: Options,
        order: Order,
        reference_ohm: Vec<f64>,
        version: u8,
    ) -> Self {
        let unit = match (version, options.parameter) {
            (1, Parameter::Impedance) => options.reference_ohm,
            (1, Parameter::Admittance) => options.reference_ohm.recip(),
            _ => 1.0,
        };
        Self {
            ports,
            options,
            order,
            reference_ohm,
            unit,
            frequencies_hz: Vec::new(),
            scattering: Vec::new(),
        }
    }

    pub(super) fn reference_ohm(&self) -> &[f64] {
        &self.reference_ohm
    }

    /// Numbers of one point.
    fn expected(&self) -> usize {
        1 + 2 * self.ports * self.ports
    }

    /// Takes one data line. Five numbers whose frequency does not rise are noise parameters in version 1.
    pub(super) fn add(
        &mut self,
        path: &str,
        line: u64,
        numbers: &[f64],
        noise_may_follow: bool,
    ) -> Result<Row, TableError> {
        let expected = self.expected();
        let [frequency, values @ ..] = numbers else {
            return Ok(Row::Point);
        };
        let found_hz = frequency * self.options.unit_hz;
        let before_hz = self.frequencies_hz.last().copied().unwrap_or(-1.0);
        if noise_may_follow && numbers.len() == 5 && expected == 9 && found_hz <= before_hz {
            return Ok(Row::Noise);
        }
        if numbers.len() != expected {
            return Err(TableError::ValueCount {
                path: path.to_owned(),
                line,
                found: numbers.len(),
                expected,
            });
        }
        let invalid = |found: f64, expected| TableError::ValueInvalid {
            path: path.to_owned(),
            line,
            found,
            expected,
        };
        if !(found_hz.is_finite() && found_hz >= 0.0) {
            return Err(invalid(found_hz, "a finite frequency that is not negative"));
        }
        if found_hz == 0.0 && self.frequencies_hz.is_empty() {
            return Ok(Row::Zero);
        }
        if found_hz <= before_hz {
            return Err(TableError::FrequencyOrder {
                path: path.to_owned(),
                line,
                found_hz,
                before_hz,
            });
        }
        if self.frequencies_hz.len() >= MOST_POINTS {
            return Err(TableError::TooLong {
                path: path.to_owned(),
                line,
                limit: MOST_POINTS,
            });
        }
        let matrix = self.matrix(values);
        let found = numbers.iter().copied().find(|v| !v.is_finite());
        let converted = scattering(self.options.parameter, &matrix, &self.reference_ohm)
            .filter(|m| found.is_none() && m.iter().all(|v| v.is_finite()))
            .ok_or_else(|| invalid(found.unwrap_or(f64::INFINITY), "finite network parameters"))?;
        self.frequencies_hz.push(found_hz);
        self.scattering.extend(converted);
        Ok(Row::Point)
    }

    /// The matrix by rows, in ohm, siemens or scattering.
    fn matrix(&self, values: &[f64]) -> Vec<Complex64> {
        let mut matrix: Vec<Complex64> = values
            .as_chunks::<2>()
            .0
            .iter()
            .map(|&[first, second]| self.options.pair.complex(first, second) * self.unit)
            .collect();
        if self.order == Order::ByColumns && matrix.len() == 4 {
            matrix.swap(1, 2);
        }
        matrix
    }
}
