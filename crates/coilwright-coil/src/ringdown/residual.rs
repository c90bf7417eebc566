use super::result::FittedRecord;
use crate::model::Record;

/// How the residual is spread in time.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    pub(crate) early_to_late: f64,
    pub(crate) lag_one: f64,
}

/// Root mean square of the residual in the first `early_s` seconds over that in the rest, and its correlation from sample to sample.
pub(crate) fn shape(
    records: &[Record<'_>],
    fitted: &[FittedRecord],
    early_s: f64,
    sample_rate_hz: f64,
) -> Shape {
    let (mut early, mut late) = ((0.0, 0.0), (0.0, 0.0));
    let (mut lagged, mut squares) = (0.0, 0.0);
    for (record, curve) in records.iter().zip(fitted) {
        let boundary =
            ((early_s * sample_rate_hz) as usize).clamp(1, record.samples.len().div_ceil(2));
        let mut before = 0.0;
        for (n, residual) in curve.residuals(record.samples, sample_rate_hz).enumerate() {
            let sum = if n < boundary { &mut early } else { &mut late };
            *sum = (sum.0 + residual * residual, sum.1 + 1.0);
            squares += residual * residual;
            lagged += residual * before;
            before = residual;
        }
    }
    let mean = |sum: (f64, f64)| sum.0 / f64::max(sum.1, 1.0);
    Shape {
        early_to_late: if late.0 > 0.0 {
            (mean(early) / mean(late)).sqrt()
        } else {
            1.0
        },
        lag_one: if squares > 0.0 { lagged / squares } else { 0.0 },
    }
}
