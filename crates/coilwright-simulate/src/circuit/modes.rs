use nalgebra::linalg::Schur;
use nalgebra::{Complex, DMatrix, DVector};

use super::{State, StateSpace};
use crate::SimulateError;

/// Largest accepted `‖A V − V Λ‖` (columns of unit length) and `‖V V⁻¹ − 1‖` over their scale. Rounding alone gives
/// about 1e-13; coinciding modes give 1e-8 and more.
const RESIDUAL_LIMIT: f64 = 1e-9;
const MAX_ITERATIONS: usize = 10_000;

/// The modes of one configuration: `x(t) = Re Σ vectorsₖ zₖ(t)`, each `zₖ` on its own.
///
/// Of every conjugate pair only the mode with positive frequency is kept, its vector doubled.
#[derive(Clone, Debug)]
pub(crate) struct Modes {
    /// Complex rates, 1/s.
    pub(crate) rates: Vec<Complex<f64>>,
    /// Energy coordinates from modes, one column a mode.
    pub(crate) vectors: DMatrix<Complex<f64>>,
    /// Modes from energy coordinates, one row a mode.
    pub(crate) inverse: DMatrix<Complex<f64>>,
    /// `inverse · b`: how 1 V of the driver excites each mode.
    pub(crate) drive: Vec<Complex<f64>>,
    /// The same for 1 V of each key's output stage.
    pub(crate) keys: Vec<Vec<Complex<f64>>>,
}

impl Modes {
    /// Returns the modes of a state space.
    pub(crate) fn new(space: &StateSpace) -> Result<Self, SimulateError> {
        let states = space.system.nrows();
        let complex = space.system.map(|value| Complex::new(value, 0.0));
        let (unitary, triangle) = Schur::try_new(complex.clone(), f64::EPSILON, MAX_ITERATIONS)
            .ok_or(SimulateError::NoConvergence { states })?
            .unpack();
        let rates = triangle.diagonal();
        let vectors = unitary * triangular_vectors(&triangle);
        let inverse = vectors
            .clone()
            .try_inverse()
            .ok_or(SimulateError::NoConvergence { states })?;
        check_residual(&complex, &vectors, &inverse, &rates)?;
        Ok(Self::one_of_each_pair(space, &rates, &vectors, &inverse))
    }

    fn one_of_each_pair(
        space: &StateSpace,
        rates: &DVector<Complex<f64>>,
        vectors: &DMatrix<Complex<f64>>,
        inverse: &DMatrix<Complex<f64>>,
    ) -> Self {
        let kept: Vec<(usize, f64)> = rates
            .iter()
            .enumerate()
            .filter_map(|(index, rate)| {
                let limit = 1e-9 * rate.norm();
                if rate.im > limit {
                    Some((index, 2.0))
                } else if rate.im < -limit {
                    None
                } else {
                    Some((index, 1.0))
                }
            })
            .collect();
        let states = space.system.nrows();
        let vectors = DMatrix::from_fn(states, kept.len(), |row, column| {
            vectors[(row, kept[column].0)] * kept[column].1
        });
        let inverse = DMatrix::from_fn(kept.len(), states, |row, column| {
            inverse[(kept[row].0, column)]
        });
        let excited = |input: &DVector<f64>| -> Vec<Complex<f64>> {
            let input = input.map(|value| Complex::new(value, 0.0));
            (&inverse * input).iter().copied().collect()
        };
        let drive = excited(&space.input);
        let keys = space.key_inputs().iter().map(excited).collect();
        Self {
            rates: kept.iter().map(|&(index, _)| rates[index]).collect(),
            vectors,
            inverse,
            drive,
            keys,
        }
    }

    /// Returns how much each mode contributes to a physical state.
    pub(crate) fn output(&self, space: &StateSpace, state: State) -> Vec<Complex<f64>> {
        let Some(row) = space.row(state) else {
            return vec![Complex::new(0.0, 0.0); self.rates.len()];
        };
        self.vectors
            .column_iter()
            .map(|vector| {
                vector
                    .iter()
                    .zip(space.physical.row(row).iter())
                    .map(|(component, &scale)| component * scale)
                    .sum()
            })
            .collect()
    }

    /// Returns the modes of a real state.
    pub(crate) fn of_energy(&self, energy: &DVector<f64>) -> Vec<Complex<f64>> {
        let energy = energy.map(|value| Complex::new(value, 0.0));
        (&self.inverse * energy).iter().copied().collect()
    }

    /// Returns the real state of a set of modes.
    pub(crate) fn to_energy(&self, modes: &[Complex<f64>]) -> DVector<f64> {
        (&self.vectors * DVector::from_column_slice(modes)).map(|value| value.re)
    }

    /// Returns how much a state takes part in each mode, 0 to about 1: `|vₖ wₖ|` in energy coordinates.
    pub(crate) fn participation(&self, row: usize) -> Vec<f64> {
        (0..self.rates.len())
            .map(|mode| (self.vectors[(row, mode)] * self.inverse[(mode, row)]).norm())
            .collect()
    }
}

/// Eigenvectors of an upper triangular matrix by back substitution, columns of unit length.
fn triangular_vectors(triangle: &DMatrix<Complex<f64>>) -> DMatrix<Complex<f64>> {
    let size = triangle.nrows();
    let smallest = f64::EPSILON * triangle.norm();
    let mut vectors = DMatrix::zeros(size, size);
    for column in 0..size {
        vectors[(column, column)] = Complex::new(1.0, 0.0);
        for row in (0..column).rev() {
            let sum: Complex<f64> = (row + 1..=column)
                .map(|inner| triangle[(row, inner)] * vectors[(inner, column)])
                .sum();
            let mut gap = triangle[(column, column)] - triangle[(row, row)];
            if gap.norm() < smallest * f64::EPSILON {
                gap = Complex::new(smallest * f64::EPSILON, 0.0);
            }
            vectors[(row, column)] = sum / gap;
        }
        let length = vectors.column(column).norm();
        vectors.column_mut(column).unscale_mut(length);
    }
    vectors
}

fn check_residual(
    system: &DMatrix<Complex<f64>>,
    vectors: &DMatrix<Complex<f64>>,
    inverse: &DMatrix<Complex<f64>>,
    rates: &DVector<Complex<f64>>,
) -> Result<(), SimulateError> {
    let size = system.nrows();
    let rebuilt = vectors * DMatrix::from_diagonal(rates) * inverse;
    let residual = (rebuilt - system).norm() / system.norm();
    let identity = (vectors * inverse - DMatrix::identity(size, size)).norm();
    let worst = residual.max(identity);
    if worst <= RESIDUAL_LIMIT {
        Ok(())
    } else {
        Err(SimulateError::CoincidingModes {
            residual: worst,
            limit: RESIDUAL_LIMIT,
        })
    }
}
