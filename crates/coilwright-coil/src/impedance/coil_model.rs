//! A coil's impedance with its parameters.

use super::growth::growth;
use super::points::ImpedanceTable;
use crate::least_squares::Problem;
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Which parts of the model are fitted, as places among the parameters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Parts {
    pub(super) capacitance: Option<usize>,
    pub(super) growth: Option<usize>,
    pub(super) corner: Option<usize>,
}

impl Parts {
    /// From simple to rich.
    pub(super) const ALL: [Self; 6] = [
        Self::new(None, None, None),
        Self::new(Some(2), None, None),
        Self::new(None, Some(2), None),
        Self::new(Some(2), Some(3), None),
        Self::new(None, Some(2), Some(3)),
        Self::new(Some(2), Some(3), Some(4)),
    ];

    const fn new(capacitance: Option<usize>, growth: Option<usize>, corner: Option<usize>) -> Self {
        Self {
            capacitance,
            growth,
            corner,
        }
    }

    pub(super) fn free(self) -> usize {
        let more = [self.capacitance, self.growth, self.corner];
        2 + more.iter().flatten().count()
    }

    /// Corners to start from, over the highest frequency; one start where there is none.
    pub(super) fn corners(self) -> &'static [f64] {
        match self.corner {
            Some(_) => &[1.0, 0.25, 0.05],
            None => &[1.0],
        }
    }
}

/// The model over the table; parameters are relative to the start: L, R at the reference, then C, growth and the logarithm of its corner if fitted.
#[derive(Clone, Debug)]
pub(super) struct CoilModel<'a> {
    pub(super) table: &'a ImpedanceTable<'a>,
    pub(super) parts: Parts,
    pub(super) inductance: f64,
    resistance: f64,
    /// Unit of the resistances: 1 % of the reactance at the reference.
    pub(super) resistance_unit: f64,
    /// Unit of the capacitance: that which resonates at the highest frequency.
    capacitance_unit: f64,
}

impl<'a> CoilModel<'a> {
    pub(super) fn new(
        table: &'a ImpedanceTable<'a>,
        parts: Parts,
        inductance: f64,
        resistance: f64,
    ) -> Self {
        let highest = TAU * table.frequencies_hz.last().copied().unwrap_or(1.0);
        Self {
            table,
            parts,
            inductance,
            resistance,
            resistance_unit: 0.01 * TAU * table.reference_hz * inductance,
            capacitance_unit: (highest * highest * inductance).recip(),
        }
    }

    /// Where the fit starts, with the corner over the highest frequency.
    pub(super) fn start(&self, capacitance: f64, corner: f64) -> DVector<f64> {
        let mut start = DVector::zeros(self.parts.free());
        start[0] = 1.0;
        start[1] = self.resistance / self.resistance_unit;
        if let Some(index) = self.parts.capacitance {
            start[index] = capacitance / self.capacitance_unit;
        }
        if let (Some(growth), Some(index)) = (self.parts.growth, self.parts.corner) {
            let highest = self.table.frequencies_hz.last().copied().unwrap_or(1.0);
            start[growth] = 0.5 * start[1];
            start[index] = (corner * highest / self.table.reference_hz).ln();
        }
        start
    }

    pub(super) fn capacitance(&self, p: &DVector<f64>) -> f64 {
        self.parts
            .capacitance
            .map_or(0.0, |index| p[index] * self.capacitance_unit)
    }

    pub(super) fn growth(&self, p: &DVector<f64>) -> f64 {
        self.parts
            .growth
            .map_or(0.0, |index| p[index] * self.resistance_unit)
    }

    /// Corner of the growth over the reference frequency; ten times outside the table its place no longer shows.
    pub(super) fn corner(&self, p: &DVector<f64>) -> Option<f64> {
        let ends = (
            self.table.frequencies_hz.first().copied().unwrap_or(1.0),
            self.table.frequencies_hz.last().copied().unwrap_or(1.0),
        );
        let over = |f: f64| (f / self.table.reference_hz).ln();
        let (low, high) = (over(0.1 * ends.0), over(10.0 * ends.1));
        self.parts
            .corner
            .map(|index| p[index].clamp(low, high).exp())
    }

    pub(super) fn resistance_at(&self, p: &DVector<f64>, frequency_hz: f64) -> f64 {
        p[1] * self.resistance_unit + self.growth(p) * self.grown(p, frequency_hz, 0.0).re
    }

    /// What one unit of growth adds, with the logarithm of the corner moved a little.
    fn grown(&self, p: &DVector<f64>, frequency_hz: f64, moved: f64) -> Complex64 {
        let corner = self.corner(p).map(|corner| corner * moved.exp());
        growth(frequency_hz / self.table.reference_hz, corner)
    }

    /// Impedance of the whole, of the branch with inductance and resistance, and the divisor between them.
    pub(super) fn at(
        &self,
        p: &DVector<f64>,
        frequency_hz: f64,
    ) -> (Complex64, Complex64, Complex64) {
        let omega = TAU * frequency_hz;
        let series = Complex64::new(p[1] * self.resistance_unit, omega * p[0] * self.inductance)
            + self.growth(p) * self.grown(p, frequency_hz, 0.0);
        let divisor = 1.0 + Complex64::new(0.0, omega * self.capacitance(p)) * series;
        (series / divisor, series, divisor)
    }
}

/// Step of the central difference by which the corner's slope is taken: its error is of the order of the square.
const CORNER_STEP: f64 = 1e-4;

impl Problem for CoilModel<'_> {
    fn rows(&self) -> usize {
        2 * self.table.frequencies_hz.len()
    }

    fn evaluate(
        &self,
        parameters: &DVector<f64>,
        residuals: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) -> Option<()> {
        let table = self.table;
        let points = table.frequencies_hz.len();
        let each = table.frequencies_hz.iter().zip(table.impedances_ohm);
        for (n, ((&f, z), deviation)) in each.zip(&table.deviations_ohm).enumerate() {
            let omega = TAU * f;
            let (model, series, divisor) = self.at(parameters, f);
            let by_series = (divisor * divisor).inv();
            let mut put = |column: Option<usize>, value: Complex64| {
                if let Some(column) = column {
                    slopes[(n, column)] = value.re / deviation;
                    slopes[(n + points, column)] = value.im / deviation;
                }
            };
            put(
                Some(0),
                by_series * Complex64::new(0.0, omega * self.inductance),
            );
            put(Some(1), by_series * self.resistance_unit);
            let by_capacitance = -series * series * by_series * Complex64::new(0.0, omega);
            put(
                self.parts.capacitance,
                by_capacitance * self.capacitance_unit,
            );
            put(
                self.parts.growth,
                by_series * (self.resistance_unit * self.grown(parameters, f, 0.0)),
            );
            if self.parts.corner.is_some() {
                let side = |step: f64| self.grown(parameters, f, step);
                let slope = (side(CORNER_STEP) - side(-CORNER_STEP)) / (2.0 * CORNER_STEP);
                put(
                    self.parts.corner,
                    by_series * (self.growth(parameters) * slope),
                );
            }
            let left = z - model;
            residuals[n] = left.re / deviation;
            residuals[n + points] = left.im / deviation;
        }
        Some(())
    }
}
