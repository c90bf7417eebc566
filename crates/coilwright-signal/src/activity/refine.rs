use std::f64::consts::TAU;

use super::LevelKind;
use super::history::RawView;

/// Length of the stretch before the edge from which its waveform is carried on.
const BASELINE_S: f64 = 96e-6;
const BASELINE_FEWEST: usize = 64;
/// Longest time from the edge to where it is plain: a ring of Q 60 at its slow start.
const SEARCH_S: f64 = 96e-6;
const SEARCH_FEWEST: usize = 40;
/// Time after the plain part that is held against the transient.
const TAIL_S: f64 = 32e-6;
const TAIL_FEWEST: usize = 24;
/// Envelopes, as rate of decay and turning of phase per second, whose sum stands for any ring from Q 3 to Q 60, on
/// the carrier or some 10 % off it.
const ENVELOPES: [(f64, f64); 4] = [(0.0, 0.0), (125e3, 0.0), (20e3, 45e3), (20e3, -45e3)];
/// Harmonics of the drive that the steady waveform may hold, folded or not.
const HARMONICS: i32 = 5;
/// A harmonic that keeps less than this of its energy beside the others would only carry noise on.
const BASELINE_INDEPENDENT: f64 = 0.1;
/// Windows looked at before and after the one where the change was noticed.
const WINDOWS_BEFORE: u64 = 8;
const WINDOWS_AFTER: u64 = 7;
/// Part of the change of amplitude that is surely behind the edge; above load modulation.
const SURE_PART: f64 = 0.25;
/// Power of a window over that of the noise which noise alone does not reach: 1 in 10⁵ for 16 samples.
const PLAIN_VARIANCES: f64 = 3.5;
/// The last start that fits worse than the best by no more than this many noise variances is taken.
/// Early starts bend every fit; late ones only cost signal.
const LATE_COST: f64 = 6.0;

/// Finds the sample where a change of level begins.
///
/// Before the edge the waveform is carried on from a short stretch (DC, carrier, harmonics); after it, what differs
/// from that is held against tones with exponential envelopes, a family that does not change when it is shifted.
/// A start that is too early leaves a corner which no such tone follows, one that is too late leaves the
/// difference unexplained: the least sum of squares is the maximum-likelihood start. All starts are tried in one
/// backward pass of recursive least squares, whose gains do not depend on the samples.
pub(super) struct EdgeFinder {
    width: usize,
    window_samples: u64,
    baseline_samples: usize,
    search_samples: usize,
    tail_samples: usize,
    baseline: Vec<Vec<f32>>,
    transient: BackwardFit,
}

/// What differs from the waveform before the edge.
struct Residual {
    first: u64,
    values: Vec<f32>,
    variance: f64,
}

impl EdgeFinder {
    pub(super) fn new(
        sample_rate_hz: f64,
        carrier_hz: f64,
        kind: LevelKind,
        window_samples: usize,
    ) -> Self {
        let cycles = carrier_hz / sample_rate_hz;
        let samples = |time_s: f64, fewest: usize| ((time_s * sample_rate_hz) as usize).max(fewest);
        let baseline_samples = samples(BASELINE_S, BASELINE_FEWEST);
        let search_samples = samples(SEARCH_S, SEARCH_FEWEST);
        let tail_samples = samples(TAIL_S, TAIL_FEWEST);
        let coarse = (WINDOWS_BEFORE + WINDOWS_AFTER) as usize * window_samples;
        let span = baseline_samples + coarse.max(search_samples + tail_samples);
        let width = kind.width();
        let transient = ENVELOPES
            .iter()
            .filter(|(_, turning)| kind != LevelKind::Envelope || *turning >= 0.0)
            .flat_map(|(decay, turning)| {
                let turning = cycles + turning / TAU / sample_rate_hz;
                tones(
                    search_samples + tail_samples,
                    turning,
                    decay / sample_rate_hz,
                    kind,
                )
            })
            .collect();
        Self {
            width,
            window_samples: window_samples as u64,
            baseline_samples,
            search_samples,
            tail_samples,
            baseline: orthonormal(
                baseline_columns(span, cycles, kind),
                baseline_samples * width,
            ),
            transient: BackwardFit::new(transient),
        }
    }

    /// Samples before the noticed window that must still be held.
    pub(super) const fn samples_before(&self) -> usize {
        WINDOWS_BEFORE as usize * self.window_samples as usize
            + self.baseline_samples
            + self.search_samples
    }

    /// Samples after the start of the noticed window that must have arrived.
    pub(super) const fn samples_after(&self) -> usize {
        WINDOWS_AFTER as usize * self.window_samples as usize + self.tail_samples
    }

    /// The first sample after the change that was noticed in `window`; `None` if the samples do not show it.
    pub(super) fn find(&self, view: RawView<'_>, window: u64) -> Option<u64> {
        let noticed = window * self.window_samples;
        let earliest = noticed.checked_sub(WINDOWS_BEFORE * self.window_samples)?;
        let last = noticed + WINDOWS_AFTER * self.window_samples;
        let coarse = self.residual(
            view,
            earliest.checked_sub(self.baseline_samples as u64)?,
            last,
        )?;
        let sure = self.surely_after(&coarse)?;
        let first = sure.checked_sub((self.search_samples + self.baseline_samples) as u64)?;
        let residual = self.residual(view, first, sure + self.tail_samples as u64)?;
        self.best_start(&residual)
    }

    /// The samples from `first` on, less the waveform of the first stretch.
    fn residual(&self, view: RawView<'_>, first: u64, end: u64) -> Option<Residual> {
        let (start, mut values) = view.copy(first, end);
        let learned = self.baseline_samples * self.width;
        let whole = values.len() as u64 == (end - first) * self.width as u64;
        if start != first || !whole || values.iter().any(|value| !value.is_finite()) {
            return None;
        }
        for column in &self.baseline {
            let coefficient = dot(&values[..learned], &column[..learned]);
            for (value, column) in values.iter_mut().zip(column) {
                *value -= coefficient * column;
            }
        }
        let freedom = learned.saturating_sub(self.baseline.len()).max(1);
        let variance = f64::from(dot(&values[..learned], &values[..learned])) / freedom as f64;
        Some(Residual {
            first,
            values,
            variance,
        })
    }

    /// A sample that lies behind the edge: the end of the first window in which the difference is plain.
    fn surely_after(&self, residual: &Residual) -> Option<u64> {
        let block = self.window_samples as usize * self.width;
        let step = (block / 4).next_multiple_of(self.width);
        let last = residual.values.len().checked_sub(block)?;
        let power = |from: usize| {
            let values = &residual.values[from..from + block];
            f64::from(dot(values, values)) / block as f64
        };
        let starts = || (self.baseline_samples * self.width..=last).step_by(step);
        let highest = starts().map(power).fold(0.0, f64::max);
        let limit = PLAIN_VARIANCES * residual.variance + SURE_PART * SURE_PART * highest;
        let found = starts().find(|&from| power(from) > limit)?;
        Some(residual.first + ((found + block) / self.width) as u64)
    }

    /// The start that leaves the least energy unexplained.
    fn best_start(&self, residual: &Residual) -> Option<u64> {
        let searched = residual.values.get(self.baseline_samples * self.width..)?;
        let after = self.transient.unexplained_from(searched);
        let mut before = 0.0;
        let costs: Vec<f64> = (0..=self.search_samples)
            .map(|start| {
                let cost = before
                    + after
                        .get(start * self.width)
                        .copied()
                        .unwrap_or(f64::INFINITY);
                let sample = searched.iter().skip(start * self.width).take(self.width);
                before += sample.map(|value| f64::from(*value).powi(2)).sum::<f64>();
                cost
            })
            .collect();
        let least = costs.iter().copied().fold(f64::INFINITY, f64::min);
        let allowed = least + LATE_COST * residual.variance;
        let start = costs.iter().rposition(|&cost| cost <= allowed)?;
        Some(residual.first + (self.baseline_samples + start) as u64)
    }
}

/// Least squares over the last values of a stretch, extended backwards value by value.
///
/// Recursive least squares: Haykin, *Adaptive Filter Theory*, chapter on the RLS algorithm; the sum of squares grows
/// by the product of the errors before and after each update.
struct BackwardFit {
    columns: usize,
    /// For each value from the last to the first: its row of the columns, then its gain.
    rows: Vec<f64>,
    /// Error after the update over error before it.
    conversion: Vec<f64>,
}

/// Variance of the unknown amplitudes before the first value, in units of the noise.
const UNKNOWN: f64 = 1e12;

impl BackwardFit {
    fn new(columns: Vec<Vec<f64>>) -> Self {
        let values = columns.first().map_or(0, Vec::len);
        let columns = orthonormal_columns(columns, values, 0.0);
        let count = columns.len();
        let mut spread: Vec<Vec<f64>> = (0..count)
            .map(|i| {
                (0..count)
                    .map(|j| if i == j { UNKNOWN } else { 0.0 })
                    .collect()
            })
            .collect();
        let (mut rows, mut conversion) = (
            Vec::with_capacity(2 * count * values),
            Vec::with_capacity(values),
        );
        for index in (0..values).rev() {
            let row: Vec<f64> = columns
                .iter()
                .filter_map(|column| column.get(index).copied())
                .collect();
            let spread_row: Vec<f64> = spread
                .iter()
                .map(|line| line.iter().zip(&row).map(|(p, x)| p * x).sum())
                .collect();
            let scale = 1.0 + row.iter().zip(&spread_row).map(|(x, v)| x * v).sum::<f64>();
            for (line, v) in spread.iter_mut().zip(&spread_row) {
                line.iter_mut()
                    .zip(&spread_row)
                    .for_each(|(p, w)| *p -= v * w / scale);
            }
            rows.extend_from_slice(&row);
            rows.extend(spread_row.iter().map(|v| v / scale));
            conversion.push(1.0 / scale);
        }
        Self {
            columns: count,
            rows,
            conversion,
        }
    }

    /// For each position the energy that a fit of all values from there on leaves.
    fn unexplained_from(&self, values: &[f32]) -> Vec<f64> {
        let mut amplitudes = vec![0.0; self.columns];
        let mut energy = 0.0;
        let mut unexplained = vec![0.0; values.len()];
        let rows = self
            .rows
            .chunks_exact(2 * self.columns)
            .zip(&self.conversion);
        for ((row, conversion), (value, unexplained)) in
            rows.zip(values.iter().zip(&mut unexplained).rev())
        {
            let (row, gain) = row.split_at(self.columns);
            let expected: f64 = row.iter().zip(&amplitudes).map(|(x, a)| x * a).sum();
            let error = f64::from(*value) - expected;
            energy += error * error * conversion;
            amplitudes
                .iter_mut()
                .zip(gain)
                .for_each(|(amplitude, gain)| *amplitude += gain * error);
            *unexplained = energy;
        }
        unexplained
    }
}

/// Columns of the waveform before an edge, over `span` samples.
fn baseline_columns(span: usize, cycles: f64, kind: LevelKind) -> Vec<Vec<f64>> {
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
fn tones(span: usize, cycles: f64, rate: f64, kind: LevelKind) -> Vec<Vec<f64>> {
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
fn orthonormal(columns: Vec<Vec<f64>>, inner: usize) -> Vec<Vec<f32>> {
    let narrow = |column: Vec<f64>| column.into_iter().map(|value| value as f32).collect();
    orthonormal_columns(columns, inner, BASELINE_INDEPENDENT)
        .into_iter()
        .map(narrow)
        .collect()
}

fn orthonormal_columns(columns: Vec<Vec<f64>>, inner: usize, independent: f64) -> Vec<Vec<f64>> {
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

fn dot(x: &[f32], y: &[f32]) -> f32 {
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
