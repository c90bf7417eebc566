/// Solves the symmetric positive definite system `matrix · x = right` by Cholesky's method and returns x together
/// with the inverse of the matrix; `None` when the matrix is not positive definite.
pub(crate) fn solve<const N: usize>(
    matrix: &[[f64; N]; N],
    right: &[f64; N],
) -> Option<([f64; N], [[f64; N]; N])> {
    let mut lower = [[0.0; N]; N];
    for i in 0..N {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = matrix[i][j] - known;
            if i == j {
                if rest <= 0.0 || !rest.is_finite() {
                    return None;
                }
                lower[i][i] = rest.sqrt();
            } else {
                lower[i][j] = rest / lower[j][j];
            }
        }
    }
    let inverse: [[f64; N]; N] = std::array::from_fn(|column| {
        let mut unit = [0.0; N];
        unit[column] = 1.0;
        substitute(&lower, &unit)
    });
    Some((substitute(&lower, right), inverse))
}

fn substitute<const N: usize>(lower: &[[f64; N]; N], right: &[f64; N]) -> [f64; N] {
    let mut x = *right;
    for i in 0..N {
        let known: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    for i in (0..N).rev() {
        let known: f64 = (i + 1..N).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - known) / lower[i][i];
    }
    x
}
