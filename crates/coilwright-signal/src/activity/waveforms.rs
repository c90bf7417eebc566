use std::f64::consts::TAU;

use super::LevelKind;

/// Harmonics of the drive that the steady waveform may hold, folded or not.
const HARMONICS: i32 = 5;
/// A harmonic that keeps less than this of its energy beside the others would only carry noise on.
const BASELINE_INDEPENDENT: f64 = 0.1;

/// Columns of the waveform before an edge, over `span` samples.
pub(super) fn baseline_columns(span: usize, cycles: f64, kind: LevelKind) -> Vec<Vec<f64>> {
    let ones = vec![1.0; span];
    match kind {
        LevelKind::Envelope => vec![ones, (0..span).map(|n| n as f64 / span as f64).collect()],
        LevelKind::RealCarrier => std::iter::once(ones)
            .chain(
                (1..=HARMONICS).flat_map(|order| tones(span, f64::from(order) * cycles, 0.0, kind)),
            )
            .collect(),
        LevelKind::ComplexCarrier => tones(span, 0.0, 0.0, kind)
            .into_iter()
            .chain(tones(span, cycles, 0.0, kind))
            .collect(),
    }
}

/// Tones of both phases with a falling exponential envelope; for an envelope capture the exponential itself.
pub(super) fn tones(span: usize, cycles: f64, rate: f64, kind: LevelKind) -> Vec<Vec<f64>> {
    let points: Vec<(f64, f64)> = (0..span)
        .map(|n| {
            let (sin, cos) = (TAU * cycles * n as f64).sin_cos();
            let envelope = (-rate * n as f64).exp();
            (envelope * cos, envelope * sin)
        })
        .collect();
    match kind {
        LevelKind::Envelope => vec![(0..span).map(|n| (-rate * n as f64).exp()).collect()],
        LevelKind::RealCarrier => {
            let (cos, sin) = points.into_iter().unzip();
            vec![cos, sin]
        }
        LevelKind::ComplexCarrier => vec![
            points.iter().flat_map(|(cos, sin)| [*cos, *sin]).collect(),
            points.iter().flat_map(|(cos, sin)| [-sin, *cos]).collect(),
        ],
    }
}

/// The columns made orthonormal over their first `inner` values; dependent ones are dropped.
pub(super) fn orthonormal(columns: Vec<Vec<f64>>, inner: usize) -> Vec<Vec<f32>> {
    let narrow = |column: Vec<f64>| column.into_iter().map(|value| value as f32).collect();
    orthonormal_columns(columns, inner, BASELINE_INDEPENDENT)
        .into_iter()
        .map(narrow)
        .collect()
}

pub(super) fn orthonormal_columns(
    columns: Vec<Vec<f64>>,
    inner: usize,
    independent: f64,
) -> Vec<Vec<f64>> {
    let mut kept: Vec<Vec<f64>> = Vec::new();
    let inner_dot =
        |x: &[f64], y: &[f64]| x.iter().zip(y).take(inner).map(|(x, y)| x * y).sum::<f64>();
    for mut column in columns {
        let energy = inner_dot(&column, &column);
        for _ in 0..2 {
            for other in &kept {
                let coefficient = inner_dot(&column, other);
                column
                    .iter_mut()
                    .zip(other)
                    .for_each(|(value, other)| *value -= coefficient * other);
            }
        }
        let left = inner_dot(&column, &column);
        if left > independent.max(1e-9) * energy {
            let scale = 1.0 / left.sqrt();
            for value in &mut column {
                *value *= scale;
            }
            kept.push(column);
        }
    }
    kept
}

pub(super) fn dot(x: &[f32], y: &[f32]) -> f32 {
    const LANES: usize = 8;
    let length = x.len().min(y.len());
    let (x, x_rest) = x[..length].as_chunks::<LANES>();
    let (y, y_rest) = y[..length].as_chunks::<LANES>();
    let mut sums = [0.0_f32; LANES];
    for (x, y) in x.iter().zip(y) {
        for lane in 0..LANES {
            sums[lane] += x[lane] * y[lane];
        }
    }
    let rest: f32 = x_rest.iter().zip(y_rest).map(|(x, y)| x * y).sum();
    sums.iter().sum::<f32>() + rest
}
