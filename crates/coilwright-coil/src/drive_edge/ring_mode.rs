//! Which of two modes is the ring: the one that the drive works on.
//!
//! The driver forces the ring alone; a key is only dragged along. The ring's current after a switching edge is
//! `Σ ρ_k e^(s_k t) / (jω − s_k)`, where `ρ_k` is the residue of mode `k` in the response from drive to ring current (partial
//! fractions of a rational response times `1/(s − jω)`). Residue over the sum of residues is the part that the ring takes in
//! the mode, so the mode with the larger `|ρ_k| = |A_k| |jω − s_k| e^(α_k t₀)` is the ring's, `A_k` being the amplitude
//! at the first sample, `t₀` after the edge. Amplitude or energy alone favours a key that is tuned to the carrier. A strongly coupled
//! key makes two hybrid modes of which neither is the ring alone; then the odds are near even, and the pole is stated with that doubt.

use crate::Estimate;
use crate::ringdown::{Mode, RingDownFit, RingDownOptions};
use std::f64::consts::TAU;

/// Modes further apart than this share of frequency are no ring and key: a pickup's own resonance, a switching transient.
const NEIGHBOURS: f64 = 0.3;
/// Q below which a mode is no ring but a switching transient.
const LEAST_RING_Q: f64 = 2.3;
/// Nepers beyond which an amplitude is not reckoned back to the edge: the start of the record says nothing of it.
const FARTHEST_BACK: f64 = 3.0;
/// How steeply the ratio of two residues decides. A pickup also hears the key's own current, which disturbs the ratio.
///
/// This and [`DAMPING`] are a logistic regression on 316 edges with two fitted modes of simulated captures (seeds 7300000 to
/// 7300352 of `examples/ring_pole` in `coilwright-diagnose`): together they name 89 % of the rings, residues alone 86 %, energy and
/// damping in the manner of a threshold 82 %.
const RESIDUE: f64 = 1.45;
/// How steeply the ratio of the Qs decides: driver and ring resistance damp a ring more than a key's coil is damped.
const DAMPING: f64 = 1.25;
/// Weight of each edge where both show two modes: both hear the key's current alike, so their odds are not independent.
const SHARED: f64 = 0.6;
/// Most that a difference between the edges counts, in natural logarithms of odds: a driver that opens at switch-off may leave only
/// the key's tail.
const LARGEST_MISMATCH: f64 = 2.0;
/// Share of frequency by which the ring's resonance may differ between driver on and driver off.
const DRIVER_PULL: f64 = 0.003;

/// What an edge's records say of the drive.
#[derive(Clone, Copy, Debug)]
pub(super) struct Excitation {
    /// Frequency of the drive, hertz.
    pub(super) drive_hz: f64,
    /// Time from the edge to the first sample that was fitted, seconds.
    pub(super) delay_s: f64,
}

impl Excitation {
    /// The excitation of a fit, which may have left out the first samples of its records.
    pub(super) fn of(
        drive: Estimate,
        sample_rate_hz: f64,
        options: &RingDownOptions,
        ring: &RingDownFit,
    ) -> Self {
        Self {
            drive_hz: drive.value,
            delay_s: options.start_delay_s + ring.skipped_samples() as f64 / sample_rate_hz,
        }
    }

    /// The size of the mode's residue in the response from the drive, in arbitrary units.
    fn residue(self, mode: &Mode) -> f64 {
        let alpha = mode.decay_per_s.value;
        let away = TAU * (mode.damped_hz.value - self.drive_hz);
        mode.amplitude * alpha.hypot(away) * (alpha * self.delay_s).min(FARTHEST_BACK).exp()
    }
}

/// Logarithm of the odds that the first mode is the ring and not the second; `None` where no second mode may be it.
pub(super) fn ln_odds(ring: &RingDownFit, excitation: Excitation) -> Option<f64> {
    let second = ring.second.as_ref()?;
    let first = &ring.mode;
    let apart = (second.resonance_hz.value / first.resonance_hz.value)
        .ln()
        .abs();
    (apart < NEIGHBOURS && second.q.value > LEAST_RING_Q).then(|| {
        RESIDUE * (excitation.residue(first) / excitation.residue(second)).ln()
            + DAMPING * (second.q.value / first.q.value).ln()
    })
}

/// Puts the other mode first.
pub(super) fn swap(ring: &mut RingDownFit) {
    let Some(second) = ring.second.as_mut() else {
        return;
    };
    let first = &mut ring.mode;
    // Energy of a decaying oscillation: A² τ / 4.
    let energy = |mode: &Mode| mode.amplitude.powi(2) * mode.time_constant_s();
    let ratio = energy(second) / energy(first);
    ring.snr_db += 20.0 * (second.amplitude / first.amplitude).log10();
    ring.goodness.misfit /= ratio.sqrt();
    std::mem::swap(first, second);
}

/// Puts the ring's mode first, told from this edge alone, and returns the logarithm of the odds that it is the ring.
pub(super) fn ring_first(ring: &mut RingDownFit, excitation: Excitation) -> Option<f64> {
    let odds = ln_odds(ring, excitation)?;
    if odds < 0.0 {
        swap(ring);
    }
    Some(odds.abs())
}

/// What both kinds of edge say together.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joint {
    /// Whether the other mode of turn-on is the ring.
    pub(super) swap_on: bool,
    /// Whether the other mode of turn-off is the ring.
    pub(super) swap_off: bool,
    /// Probability that this naming is right.
    pub(super) probability: f64,
}

/// Names the ring at turn-on and turn-off at once: the same resonance must show at both, up to what the driver pulls.
///
/// The odds are those of [`ring_first`]. Of the four pairs of one mode from each edge, each is weighed by both odds and by how
/// near its two resonances lie.
pub(super) fn name_jointly(
    on: (&RingDownFit, Option<f64>),
    off: (&RingDownFit, Option<f64>),
) -> Joint {
    let choices = |(ring, odds): (&RingDownFit, Option<f64>)| {
        let mut list = vec![(ring.mode.resonance_hz.value, 0.0)];
        if let (Some(second), Some(odds)) = (ring.second.as_ref(), odds) {
            list.push((second.resonance_hz.value, -odds));
        }
        list
    };
    let (at_on, at_off) = (choices(on), choices(off));
    let share = if at_on.len() + at_off.len() == 4 {
        SHARED
    } else {
        1.0
    };
    let mut pairs = Vec::new();
    for (i, &(on_hz, on_odds)) in at_on.iter().enumerate() {
        for (j, &(off_hz, off_odds)) in at_off.iter().enumerate() {
            let apart = (on_hz / off_hz).ln() / DRIVER_PULL;
            let mismatch = (0.5 * apart * apart).ln_1p().min(LARGEST_MISMATCH);
            pairs.push((share * (on_odds + off_odds) - mismatch, i, j));
        }
    }
    let best = pairs
        .iter()
        .copied()
        .fold((f64::NEG_INFINITY, 0, 0), |best, pair| {
            if pair.0 > best.0 { pair } else { best }
        });
    let total: f64 = pairs.iter().map(|pair| (pair.0 - best.0).exp()).sum();
    let same: f64 = pairs
        .iter()
        .filter(|pair| pair.1 == best.1)
        .map(|pair| (pair.0 - best.0).exp())
        .sum();
    Joint {
        swap_on: best.1 == 1,
        swap_off: best.2 == 1,
        probability: same / total,
    }
}
