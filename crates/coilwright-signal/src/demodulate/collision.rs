use super::model::Collision;
use super::timing::symbols;
use crate::dsp::RunningSum;

/// Bit phases at which the rest is looked at.
const PHASES: usize = 8;
/// Fewer bits than this decide nothing.
const MIN_BITS: usize = 48;
/// More bits than this, in the middle of the stretch, add nothing.
const MAX_BITS: usize = 1024;
/// Noise alone gives a contrast of 7 in fewer than 1 of 1000 stretches; what hum, lines and the settling of the field leave
/// beside one key reached 13 in simulated captures, two keys there began at 80.
const THRESHOLD: f64 = 25.0;
/// Bits left out at each end, where the field settles and the high-pass runs in and out.
const END_BITS: usize = 8;
/// A second key moves the carrier by at least this share of the first; less is the first one's own distortion.
const LEAST_SHARE: f64 = 0.12;

/// A second key on the same bit clock, from what the first one does not explain.
///
/// At several bit phases, the symbols are grouped by the four bits of the stronger key round them; the variance
/// inside the groups is what the stronger key leaves. Noise leaves the same at every phase; a second key that runs on
/// the same carrier has a bit phase of its own.
pub(super) fn find(
    sums: &RunningSum,
    start: f64,
    period: f64,
    noise_variance: f64,
) -> Option<Collision> {
    let all = ((sums.len() as f64 - start) / period) as usize;
    let inner = all.saturating_sub(2 * END_BITS).min(MAX_BITS);
    let start = start + ((all - inner) / 2) as f64 * period;
    let values: Vec<f64> = symbols(sums, start, period).take(inner).collect();
    if values.len() < MIN_BITS {
        return None;
    }
    let bits: Vec<bool> = values.iter().map(|&m| m > 0.0).collect();
    let square = values.iter().map(|m| m * m).sum::<f64>() / bits.len() as f64;
    let rests: Vec<f64> = (0..PHASES)
        .map(|phase| {
            let shifted: Vec<f64> =
                symbols(sums, start + phase as f64 * period / PHASES as f64, period)
                    .take(inner)
                    .collect();
            unexplained(&shifted, &bits)
        })
        .collect();
    let most = rests.iter().copied().fold(0.0, f64::max);
    let least = rests.iter().copied().fold(f64::INFINITY, f64::min);
    let noise_variance = noise_variance.max(1e-30);
    let statistic = (most - least) / noise_variance * (bits.len() as f64 / 2.0).sqrt();
    let second = (most - noise_variance).max(0.0);
    let first = (square - noise_variance).max(1e-30);
    (statistic > THRESHOLD && second > LEAST_SHARE.powi(2) * first).then(|| Collision {
        levels: levels(
            (first - rests[0] + noise_variance).max(0.0).sqrt(),
            second.sqrt(),
        ),
        statistic,
        threshold: THRESHOLD,
    })
}

fn levels(first: f64, second: f64) -> Vec<f64> {
    let mut levels = vec![
        -first - second,
        -first + second,
        first - second,
        first + second,
    ];
    levels.sort_by(f64::total_cmp);
    levels
}

/// Variance of the symbols about the mean of their group, with the degrees of freedom taken off.
fn unexplained(values: &[f64], bits: &[bool]) -> f64 {
    let group = |k: usize| {
        let bit = |index: Option<usize>| {
            usize::from(
                index
                    .and_then(|index| bits.get(index))
                    .copied()
                    .unwrap_or_default(),
            )
        };
        bit(k.checked_sub(1)) | bit(Some(k)) << 1 | bit(Some(k + 1)) << 2 | bit(Some(k + 2)) << 3
    };
    let mut sums = [(0.0, 0.0, 0.0); 16];
    for (k, &value) in values.iter().enumerate() {
        let (count, sum, square) = &mut sums[group(k)];
        *count += 1.0;
        *sum += value;
        *square += value * value;
    }
    let (freedom, squares) = sums.iter().filter(|(count, ..)| *count > 1.0).fold(
        (0.0, 0.0),
        |(freedom, squares), (count, sum, square)| {
            (freedom + count - 1.0, squares + square - sum * sum / count)
        },
    );
    if freedom > 0.0 {
        squares / freedom
    } else {
        0.0
    }
}
