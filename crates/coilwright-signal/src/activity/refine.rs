use std::f64::consts::TAU;

use super::LevelKind;
use super::backward_fit::BackwardFit;
use super::history::RawView;
use super::waveforms::{baseline_columns, dot, orthonormal, tones};

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
/// Windows looked at before and after the one where the change was noticed.
const WINDOWS_BEFORE: u64 = 8;
const WINDOWS_AFTER: u64 = 7;
/// Part of the change of amplitude that is surely behind the edge; above load modulation.
const SURE_PART: f64 = 0.35;
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
        let mut after_mean = None;
        for (index, column) in self.baseline.iter().enumerate() {
            let coefficient = dot(&values[..learned], &column[..learned]);
            for (value, column) in values.iter_mut().zip(column) {
                *value -= coefficient * column;
            }
            if index + 1 == self.width {
                after_mean = Some((values.clone(), self.width));
            }
        }
        // A line beside the carrier is carried on wrongly: then it is better left as it is.
        let probe = learned..learned + learned / 2;
        let energy = |values: &[f32]| {
            values
                .get(probe.clone())
                .map_or(f32::INFINITY, |part| dot(part, part))
        };
        let (values, columns) = match after_mean {
            Some((plain, columns)) if energy(&plain) < energy(&values) => (plain, columns),
            _ => (values, self.baseline.len()),
        };
        let freedom = learned.saturating_sub(columns).max(1);
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
