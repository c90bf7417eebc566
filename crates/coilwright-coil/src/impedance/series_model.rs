//! The impedance of a series-tuned ring, alone or with a lossy loop beside it.

use super::points::ImpedanceTable;
use crate::least_squares::{Problem, linear};
use nalgebra::{DMatrix, DVector};
use num_complex::Complex64;

/// Steps of Newton's search for the resonance; it starts near and doubles its digits in each.
const STEPS: usize = 12;
/// Largest coupling `k²` that a loop beside a coil can have, and corners over the reference that the table can tell from others.
const PHYSICAL: (f64, std::ops::Range<f64>) = (1.0, 1e-3..1e3);
/// Corners over the reference that are tried, so many from the first on, each 1.4 times the last.
const CORNERS: i32 = 24;
const FIRST_CORNER: f64 = 0.02;
const CORNER_STEP: f64 = 1.4;

/// Parameters: R and the reactances of L and C at the reference frequency, ohm; with a loop the reactance `ωM²/L₂` there and the logarithm of its corner
/// `R₂/ωL₂`. Frequencies `u` are over the reference.
#[derive(Clone, Copy, Debug)]
pub(super) struct SeriesModel<'a> {
    table: &'a ImpedanceTable<'a>,
    port: Option<Port<'a>>,
    pub(super) looped: bool,
}

/// Reflections that the table's impedances come from, and the port's resistance. What is measured with the same noise everywhere is fitted itself: the
/// impedances' noise depends on where they are thought to be, and weights by it would lean on the points that noise moved towards the port's resistance.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Port<'a> {
    pub(crate) reflection: &'a [Complex64],
    pub(crate) reference_ohm: f64,
}

impl<'a> SeriesModel<'a> {
    pub(super) const fn new(
        table: &'a ImpedanceTable<'a>,
        port: Option<Port<'a>>,
        looped: bool,
    ) -> Self {
        Self {
            table,
            port,
            looped,
        }
    }

    pub(super) const fn free(&self) -> usize {
        if self.looped { 5 } else { 3 }
    }

    /// Sum of the squares of the data.
    pub(super) fn energy(&self) -> f64 {
        match self.port {
            Some(port) => port.reflection.iter().map(Complex64::norm_sqr).sum(),
            None => self.table.energy(),
        }
    }

    /// A start with a loop: at a fixed corner the impedance is linear in all else, so the best of many corners is found at once.
    pub(super) fn start(&self) -> Option<DVector<f64>> {
        let best = (0..CORNERS)
            .filter_map(|n| {
                let corner = FIRST_CORNER * CORNER_STEP.powi(n);
                let (p, squares) = self.at_corner(corner)?;
                Some((squares, corner, p))
            })
            .filter(|(.., p)| p[1] > 0.0 && p[2] > 0.0 && p[3] > 0.0);
        let (_, corner, p) = best.min_by(|a, b| a.0.total_cmp(&b.0))?;
        Some(DVector::from_vec(vec![p[0], p[1], p[2], p[3], corner.ln()]))
    }

    /// Least squares of all but the corner, each point by the deviation that its own impedance has.
    fn at_corner(&self, corner: f64) -> Option<(DVector<f64>, f64)> {
        let table = self.table;
        let points = table.frequencies_hz.len();
        let mut columns = DMatrix::zeros(2 * points, 4);
        let mut data = DVector::zeros(2 * points);
        let each = table.frequencies_hz.iter().zip(table.impedances_ohm);
        for (n, ((f, z), deviation)) in each.zip(&table.deviations_ohm).enumerate() {
            let u = f / table.reference_hz;
            let weight = self.port.map_or(deviation.recip(), |port| {
                port.reference_ohm / (z + port.reference_ohm).norm_sqr()
            });
            let parts = [
                Complex64::ONE,
                Complex64::new(0.0, u),
                Complex64::new(0.0, -u.recip()),
                u * u / Complex64::new(corner, u),
            ];
            for (k, part) in parts.into_iter().enumerate() {
                columns[(n, k)] = weight * part.re;
                columns[(n + points, k)] = weight * part.im;
            }
            data[n] = weight * z.re;
            data[n + points] = weight * z.im;
        }
        linear(&columns, &data)
    }

    /// Whether the numbers are those of a ring with a loop beside it. The wire's own resistance may be lost beside the loop's, even below zero; both
    /// together are not.
    pub(super) fn is_physical(&self, p: &DVector<f64>) -> bool {
        let corner = p[4].exp();
        let is_ring = p[1] > 0.0 && p[2] > 0.0 && p[3] > 0.0 && p[3] < PHYSICAL.0 * p[1];
        if !(is_ring && PHYSICAL.1.contains(&corner)) {
            return false;
        }
        [1.0, self.resonance(p)]
            .iter()
            .all(|u| self.coil(p, *u).re > 0.0 && self.coil(p, *u).im > 0.0)
    }

    /// Impedance without the capacitor: `R + juX_L + u²K/(c + ju)`, ohm.
    pub(super) fn coil(&self, p: &DVector<f64>, u: f64) -> Complex64 {
        let coil = Complex64::new(p[0], u * p[1]);
        if self.looped {
            coil + u * u * p[3] / Complex64::new(p[4].exp(), u)
        } else {
            coil
        }
    }

    fn at(&self, p: &DVector<f64>, u: f64) -> Complex64 {
        self.coil(p, u) - Complex64::new(0.0, p[2] / u)
    }

    /// The fitted impedance at a frequency in hertz.
    pub(super) fn at_hz(&self, p: &DVector<f64>, frequency_hz: f64) -> Complex64 {
        self.at(p, frequency_hz / self.table.reference_hz)
    }

    /// Slope of the reactance over u.
    fn slope(&self, p: &DVector<f64>, u: f64) -> f64 {
        let plain = p[1] + p[2] / (u * u);
        if !self.looped {
            return plain;
        }
        let inverse = Complex64::new(p[4].exp(), u).inv();
        let looped = p[3] * u * inverse * (2.0 - Complex64::new(0.0, u) * inverse);
        plain + looped.im
    }

    /// Where the reactance is zero.
    pub(super) fn resonance(&self, p: &DVector<f64>) -> f64 {
        let mut u = (p[2] / p[1]).sqrt();
        if !self.looped {
            return u;
        }
        for _ in 0..STEPS {
            // A step never leaves the octave.
            let step = self.at(p, u).im / self.slope(p, u);
            u = (u - step).clamp(0.5 * u, 2.0 * u);
        }
        u
    }

    pub(super) fn q(&self, p: &DVector<f64>) -> f64 {
        let u = self.resonance(p);
        0.5 * u * self.slope(p, u) / self.at(p, u).re
    }
}

impl Problem for SeriesModel<'_> {
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
            let u = f / table.reference_hz;
            let model = self.at(parameters, u);
            // dS/dZ = 2Z₀/(Z + Z₀)².
            let (left, factor) = match self.port {
                Some(port) => {
                    let (measured, with_port) =
                        (port.reflection.get(n)?, model + port.reference_ohm);
                    let reflection = (model - port.reference_ohm) / with_port;
                    let factor = 2.0 * port.reference_ohm / (with_port * with_port);
                    (measured - reflection, factor)
                }
                None => ((z - model) / deviation, Complex64::from(deviation.recip())),
            };
            residuals[n] = left.re;
            residuals[n + points] = left.im;
            let mut set = |k: usize, slope: Complex64| {
                let slope = slope * factor;
                slopes[(n, k)] = slope.re;
                slopes[(n + points, k)] = slope.im;
            };
            set(0, Complex64::ONE);
            set(1, Complex64::new(0.0, u));
            set(2, Complex64::new(0.0, -u.recip()));
            if self.looped {
                let corner = parameters[4].exp();
                let by_coupling = u * u / Complex64::new(corner, u);
                set(3, by_coupling);
                set(
                    4,
                    -parameters[3] * corner * by_coupling / Complex64::new(corner, u),
                );
            }
        }
        Some(())
    }
}
