use crate::model::sums::dot;

/// How the residual is spread in time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    pub(crate) early_to_late: f64,
    pub(crate) lag_one: f64,
}

/// Root mean square of the residuals in the first `early` samples over that in the rest, and their correlation from sample to sample.
pub(crate) fn shape(residuals: &[Vec<f64>], early: usize) -> Shape {
    let squares = |part: &[f64]| dot(part, part);
    let (mut first, mut rest, mut lagged) = ((0.0, 0.0), (0.0, 0.0), 0.0);
    for record in residuals {
        let (before, after) = record.split_at(
            early
                .clamp(1, record.len().div_ceil(2).max(1))
                .min(record.len()),
        );
        first = (first.0 + squares(before), first.1 + before.len() as f64);
        rest = (rest.0 + squares(after), rest.1 + after.len() as f64);
        lagged += dot(record, record.get(1..).unwrap_or_default());
    }
    let all = first.0 + rest.0;
    Shape {
        early_to_late: if rest.0 > 0.0 {
            (first.0 / first.1 * rest.1 / rest.0).sqrt()
        } else {
            1.0
        },
        lag_one: if all > 0.0 { lagged / all } else { 0.0 },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_burst_at_the_start_is_early() {
        let shape = shape(&[vec![3.0, -3.0, 1.0, -1.0, 1.0, -1.0]], 2);
        assert!((shape.early_to_late - 3.0).abs() < 1e-12);
        assert!((shape.lag_one + 15.0 / 22.0).abs() < 1e-12);
    }
}
