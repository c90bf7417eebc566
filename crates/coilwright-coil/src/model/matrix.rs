/// A symmetric matrix of run-time size in storage for `N` rows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Square<const N: usize> {
    pub(crate) size: usize,
    pub(crate) rows: [[f64; N]; N],
}

impl<const N: usize> Square<N> {
    pub(crate) const fn zero(size: usize) -> Self {
        Self {
            size,
            rows: [[0.0; N]; N],
        }
    }

    /// The Cholesky factor after scaling the diagonal to one, or `None` if the columns are dependent.
    pub(crate) fn factor(&self) -> Option<Factor<N>> {
        let mut factor = Factor::empty();
        factor.fill(self)?;
        Some(factor)
    }
}

/// Least squared sine between a column and the span of those before it; below it their parts cannot be told in f64.
const DEPENDENT: f64 = 1e-13;

/// A Cholesky factor with the scale that was taken out of the rows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Factor<const N: usize> {
    pub(crate) size: usize,
    scale: [f64; N],
    /// The triangle; its diagonal holds reciprocals, so that solving divides nothing.
    lower: [[f64; N]; N],
}

impl<const N: usize> Factor<N> {
    /// Room for a factor.
    pub(crate) const fn empty() -> Self {
        Self {
            size: 0,
            scale: [0.0; N],
            lower: [[0.0; N]; N],
        }
    }

    /// Factors a matrix in place, as [`Square::factor`] does.
    pub(crate) fn fill(&mut self, matrix: &Square<N>) -> Option<()> {
        self.size = matrix.size;
        for i in 0..matrix.size {
            let diagonal = matrix.rows[i][i];
            if !(diagonal > 0.0 && diagonal.is_finite()) {
                return None;
            }
            self.scale[i] = diagonal.sqrt().recip();
        }
        for i in 0..matrix.size {
            for j in 0..=i {
                let mut sum = matrix.rows[i][j] * self.scale[i] * self.scale[j];
                for k in 0..j {
                    sum -= self.lower[i][k] * self.lower[j][k];
                }
                if i == j {
                    if sum < DEPENDENT {
                        return None;
                    }
                    self.lower[i][i] = sum.sqrt().recip();
                } else {
                    self.lower[i][j] = sum * self.lower[j][j];
                }
            }
        }
        Some(())
    }

    /// Solves `L y = right`; the squared length of the answer is `rightᵀ A⁻¹ right`.
    pub(crate) fn forward(&self, right: &[f64; N]) -> [f64; N] {
        let mut y = [0.0; N];
        for i in 0..self.size {
            let mut sum = right[i] * self.scale[i];
            for (l, v) in self.lower[i].iter().zip(&y).take(i) {
                sum -= l * v;
            }
            y[i] = sum * self.lower[i][i];
        }
        y
    }

    /// Solves `Lᵀ x = y`, the second half of a solution.
    pub(crate) fn backward(&self, y: &[f64; N]) -> [f64; N] {
        let mut x = [0.0; N];
        for i in (0..self.size).rev() {
            let later = self.lower.iter().zip(&x).take(self.size).skip(i + 1);
            let sum = y[i] - later.map(|(row, value)| row[i] * value).sum::<f64>();
            x[i] = sum * self.lower[i][i];
        }
        for (value, scale) in x.iter_mut().zip(&self.scale) {
            *value *= scale;
        }
        x
    }

    /// The answer of `A x = right`.
    pub(crate) fn solve(&self, right: &[f64; N]) -> [f64; N] {
        self.backward(&self.forward(right))
    }

    /// The inverse matrix.
    pub(crate) fn inverse(&self) -> Square<N> {
        let mut inverse = Square::zero(self.size);
        for i in 0..self.size {
            let mut unit = [0.0; N];
            unit[i] = 1.0;
            inverse.rows[i] = self.solve(&unit);
        }
        inverse
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    #[test]
    fn a_known_system_is_solved() {
        let mut a = Square::<4>::zero(3);
        a.rows[0] = [4.0, 2.0, 0.6, 0.0];
        a.rows[1] = [2.0, 5.0, 1.0, 0.0];
        a.rows[2] = [0.6, 1.0, 3.0, 0.0];
        let x = a.factor().unwrap().solve(&[9.8, 15.0, 11.6, 0.0]);
        for (found, expected) in x.iter().zip([1.0, 2.0, 3.0]) {
            assert!((found - expected).abs() < 1e-14, "{x:?}");
        }
    }

    #[test]
    fn dependent_columns_are_refused() {
        let mut a = Square::<2>::zero(2);
        a.rows = [[1.0, 2.0], [2.0, 4.0]];
        assert!(a.factor().is_none());
    }
}
