//! Two coupled coils with their losses, as scattering over frequency.

use super::{PortReferences, TwoPort};
use crate::least_squares::Problem;
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Places of the parameters, each relative to its unit: L₁, M, L₂; the capacitances c₁₁, c₁₂, c₂₂; R₁, R₂ and their growth with f².
pub(super) const FREE: usize = 10;
/// Step of the central differences, in units of the parameters: the model is smooth over a part of 10⁻⁵, and rounding stays at 10⁻¹¹.
const STEP: f64 = 1e-5;

/// What was measured, with a unit for each parameter so that all are of the order of one.
pub(super) struct CoupledModel<'a> {
    pub(super) frequencies_hz: &'a [f64],
    /// The measured scattering as real rows.
    data: DVector<f64>,
    pub(super) references: PortReferences,
    pub(super) units: [f64; FREE],
}

impl<'a> CoupledModel<'a> {
    /// Units from rough inductances: the capacitances that resonate with them at the highest frequency, and 1 % of their reactances.
    pub(super) fn new(
        frequencies_hz: &'a [f64],
        ports: &'a [TwoPort],
        references: PortReferences,
        [first, second]: [f64; 2],
    ) -> Self {
        let highest = TAU * frequencies_hz.last().copied().unwrap_or(1.0);
        let across = (first * second).sqrt();
        let capacitance = |henry: f64| (highest * highest * henry).recip();
        let resistance = |henry: f64| 0.01 * highest * henry;
        Self {
            frequencies_hz,
            data: rows(
                ports
                    .iter()
                    .map(|port| [port.s11, 0.5 * (port.s21 + port.s12), port.s22]),
            ),
            references,
            units: [
                first,
                across,
                second,
                capacitance(first),
                capacitance(across),
                capacitance(second),
                resistance(first),
                resistance(second),
                resistance(first),
                resistance(second),
            ],
        }
    }

    /// A parameter in its SI unit.
    pub(super) fn value(&self, parameters: &DVector<f64>, index: usize) -> f64 {
        parameters[index] * self.units[index]
    }

    /// `s11, s21, s22` of `Y = (R + jωL)⁻¹ + jωC`.
    fn scattering(&self, parameters: &DVector<f64>, frequency_hz: f64) -> [Complex64; 3] {
        let omega = TAU * frequency_hz;
        let highest = self.frequencies_hz.last().copied().unwrap_or(1.0);
        let growth = (frequency_hz / highest).powi(2);
        let value = |index: usize| self.value(parameters, index);
        let z11 = Complex64::new(value(6) + growth * value(8), omega * value(0));
        let z21 = Complex64::new(0.0, omega * value(1));
        let z22 = Complex64::new(value(7) + growth * value(9), omega * value(2));
        let determinant = z11 * z22 - z21 * z21;
        let with = |inductive: Complex64, index: usize| {
            inductive / determinant + Complex64::new(0.0, omega * value(index))
        };
        TwoPort::scattered([with(z22, 3), with(-z21, 4), with(z11, 5)], self.references)
    }

    /// The model as real rows.
    fn rows_at(&self, parameters: &DVector<f64>) -> DVector<f64> {
        let each = self.frequencies_hz.iter();
        rows(each.map(|&f| self.scattering(parameters, f)))
    }
}

/// `s11, s21, s22` as real rows; the mean of both directions has half the variance of one, hence the root of two.
fn rows(each: impl ExactSizeIterator<Item = [Complex64; 3]>) -> DVector<f64> {
    let count = 6 * each.len();
    let numbers = each.flat_map(|[s11, s21, s22]| {
        let across = std::f64::consts::SQRT_2 * s21;
        [s11.re, s11.im, across.re, across.im, s22.re, s22.im]
    });
    DVector::from_iterator(count, numbers)
}

impl Problem for CoupledModel<'_> {
    fn rows(&self) -> usize {
        6 * self.frequencies_hz.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        if parameters[1] * parameters[1] >= parameters[0] * parameters[2] {
            return None;
        }
        residuals.copy_from(&(&self.data - self.rows_at(parameters)));
        for column in 0..FREE {
            let side = |sign: f64| {
                let mut moved = parameters.clone();
                moved[column] += sign * STEP;
                self.rows_at(&moved)
            };
            let slope = (side(1.0) - side(-1.0)) / (2.0 * STEP);
            slopes.set_column(column, &slope);
        }
        residuals.iter().all(|v| v.is_finite()).then_some(())
    }
}
