//! Which rows of a table nothing beats in everything.

/// For each row of scores (larger is better), whether no other row is at least as good in every score and better in one.
///
/// Rows of unequal length are compared over the shorter; a score that is not a number is never better.
///
/// ```
/// let front = coilwright_coil::design::pareto_front(&[vec![1.0, 5.0], vec![2.0, 4.0], vec![1.0, 4.0]]);
/// assert_eq!(front, [true, true, false]);
/// ```
#[must_use]
pub fn pareto_front(rows: &[Vec<f64>]) -> Vec<bool> {
    let beats = |one: &[f64], other: &[f64]| {
        let pairs = || one.iter().zip(other);
        pairs().all(|(a, b)| a >= b) && pairs().any(|(a, b)| a > b)
    };
    rows.iter()
        .map(|row| !rows.iter().any(|other| beats(other, row)))
        .collect()
}
