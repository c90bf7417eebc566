use super::ring_mode::{name_jointly, swap};
use super::{TailFreedom, TurnOffFit, TurnOnFit, fit_turn_off, fit_turn_on};
use crate::ringdown::{Mode, Residual, RingDownOptions};
use crate::{Estimate, FitError};
use serde::{Deserialize, Serialize};

/// What came of one kind of edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeOutcome<T> {
    /// No record was given.
    Absent,
    /// Resonance and Q were found.
    Fitted(T),
    /// They were not; the reason carries its numbers.
    Failed(FitError),
}

impl<T> EdgeOutcome<T> {
    /// The fit, if there is one.
    pub fn fitted(&self) -> Option<&T> {
        if let Self::Fitted(fit) = self {
            Some(fit)
        } else {
            None
        }
    }

    /// Why there is none, if an attempt was made.
    pub fn failure(&self) -> Option<&FitError> {
        if let Self::Failed(error) = self {
            Some(error)
        } else {
            None
        }
    }
}

/// Which pole is reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReportedPole {
    /// Both edges agree and are combined.
    Both,
    /// The ring with the driver on.
    TurnOn,
    /// The ring with the driver off.
    TurnOff,
}

/// The ring as the edges show it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RingPole {
    /// Where it comes from.
    pub pole: ReportedPole,
    /// Undamped resonance, hertz.
    pub resonance_hz: Estimate,
    /// Loaded Q, `ω₀/2α`.
    pub q: Estimate,
    /// Covariance of resonance and Q, hertz.
    pub covariance_hz: f64,
    /// Probability that this is the ring's pole and not that of a key beside it; 1 where one mode was found. The standard
    /// deviations include the doubt.
    pub sure: f64,
}

/// Turn-on against turn-off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoleComparison {
    /// Resonance at turn-on less that at turn-off, hertz.
    pub resonance_difference_hz: Estimate,
    /// Q at turn-on less that at turn-off.
    pub q_difference: Estimate,
    /// Probability of a difference as large as this by noise alone: `e^(−χ²/2)` for the two together.
    pub p_value: f64,
    /// Whether they are one pole: `p_value` at least 0.001, or less than 0.1 % apart in resonance and 2 % in Q.
    pub consistent: bool,
}

/// Both kinds of edge of one ring.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EdgesFit {
    /// All turn-on edges jointly.
    pub turn_on: EdgeOutcome<TurnOnFit>,
    /// All turn-off edges jointly.
    pub turn_off: EdgeOutcome<TurnOffFit>,
    /// Their difference, if both were fitted.
    pub comparison: Option<PoleComparison>,
    /// The driver acts on the tail: its pole is not that of the driven ring, it dies within a cycle while the driven ring rings, or
    /// it is not a free exponential.
    pub driver_holds_tail: bool,
    /// The reported pole; `None` if neither edge was fitted.
    pub ring: Option<RingPole>,
}

/// Differences below these parts are one pole in practice, whatever their significance.
const SAME_RESONANCE: f64 = 1e-3;
const SAME_Q: f64 = 0.02;
/// Below this probability the poles differ.
const DIFFERENT: f64 = 1e-3;

/// Returns the ring's pole from its turn-on and turn-off edges, fitted separately, compared and combined.
///
/// If both agree the combination weighs them by their covariances; where they differ significantly but by little, its standard
/// deviations are widened by `√(χ²/2)`. If they differ, the pole with the driver on is reported, since that is the ring in use, and
/// `driver_holds_tail` is set. A key in the field pulls both poles, by 0.2 % in the median and up to 1 %, and its own
/// mode may show as a second one.
///
/// Either list may be empty; a kind of edge that cannot be fitted keeps its reason in the result.
///
/// ```
/// use coilwright_coil::{Estimate, ReportedPole, RingDownOptions, fit_edges};
/// let tail = |n: i32| (-0.03 * f64::from(n)).exp() * (0.8 * f64::from(n) + 0.3).sin();
/// let off: Vec<f32> = (0..300).map(|n| tail(n) as f32).collect();
/// let on: Vec<f32> = (0..300)
///     .map(|n| ((std::f64::consts::TAU * 0.125 * f64::from(n)).sin() - tail(n)) as f32)
///     .collect();
/// let fit = fit_edges(&[&on], &[&off], 1e6, Estimate::new(125e3, 0.0), &RingDownOptions::default());
/// let ring = fit.ring.expect("both edges ring");
/// assert_eq!(ring.pole, ReportedPole::Both);
/// assert!((ring.q.value - 13.343).abs() < 1e-3);
/// ```
#[must_use]
pub fn fit_edges(
    turn_on: &[&[f32]],
    turn_off: &[&[f32]],
    sample_rate_hz: f64,
    drive_hz: Estimate,
    options: &RingDownOptions,
) -> EdgesFit {
    let mut turn_on = outcome(turn_on, || {
        fit_turn_on(turn_on, sample_rate_hz, drive_hz, options)
    });
    let mut turn_off = outcome(turn_off, || {
        fit_turn_off(turn_off, sample_rate_hz, drive_hz, options)
    });
    let sure = name_ring(&mut turn_on, &mut turn_off);
    let (on, off) = (turn_on.fitted(), turn_off.fitted());
    let modes = on.zip(off).map(|(on, off)| (on.ring.mode, off.ring.mode));
    let comparison = modes.map(|(on, off)| compare(&on, &off));
    let ring = match (on, off, &comparison) {
        (Some(on), Some(off), Some(same)) if same.consistent => {
            Some(combine(&on.ring.mode, &off.ring.mode, same))
        }
        (Some(on), Some(off), _) if prefer_off(on, off) => {
            Some(pole(ReportedPole::TurnOff, &off.ring.mode))
        }
        (Some(on), _, _) => Some(pole(ReportedPole::TurnOn, &on.ring.mode)),
        (None, Some(off), _) => Some(pole(ReportedPole::TurnOff, &off.ring.mode)),
        (None, None, _) => None,
    };
    let ring = ring.map(|pole| doubted(pole, on, off, sure));
    let driver_holds_tail = comparison.is_some_and(|c| !c.consistent)
        || off.is_some_and(|off| matches!(off.freedom, TailFreedom::NotExponential { .. }))
        || (on.is_some() && matches!(turn_off.failure(), Some(FitError::NoRingDown { .. })));
    EdgesFit {
        turn_on,
        turn_off,
        comparison,
        driver_holds_tail,
        ring,
    }
}

fn outcome<T>(records: &[&[f32]], fit: impl FnOnce() -> Result<T, FitError>) -> EdgeOutcome<T> {
    if records.is_empty() {
        return EdgeOutcome::Absent;
    }
    match fit() {
        Ok(fit) => EdgeOutcome::Fitted(fit),
        Err(error) => EdgeOutcome::Failed(error),
    }
}

/// Names the ring's mode at both kinds of edge and returns the probability that the naming is right.
fn name_ring(turn_on: &mut EdgeOutcome<TurnOnFit>, turn_off: &mut EdgeOutcome<TurnOffFit>) -> f64 {
    let alone = |ln_odds: Option<f64>| ln_odds.map_or(1.0, |odds| (1.0 + (-odds).exp()).recip());
    match (turn_on, turn_off) {
        (EdgeOutcome::Fitted(on), EdgeOutcome::Fitted(off)) => {
            let joint = name_jointly((&on.ring, on.ln_odds), (&off.ring, off.ln_odds));
            if joint.swap_on {
                swap(&mut on.ring);
                on.ln_odds = on.ln_odds.map(|odds| -odds);
            }
            if joint.swap_off {
                swap(&mut off.ring);
                off.ln_odds = off.ln_odds.map(|odds| -odds);
            }
            joint.probability
        }
        (EdgeOutcome::Fitted(on), _) => alone(on.ln_odds),
        (_, EdgeOutcome::Fitted(off)) => alone(off.ln_odds),
        _ => 1.0,
    }
}

/// Widens the pole by the doubt which of two modes it is: the variance of a mixture, `p (1 − p) d²` with their distance `d`.
fn doubted(
    pole: RingPole,
    on: Option<&TurnOnFit>,
    off: Option<&TurnOffFit>,
    sure: f64,
) -> RingPole {
    let second = match pole.pole {
        ReportedPole::TurnOff => off.and_then(|off| off.ring.second),
        _ => on
            .and_then(|on| on.ring.second)
            .or_else(|| off.and_then(|off| off.ring.second)),
    };
    let Some(second) = second else {
        return pole;
    };
    let weight = (sure * (1.0 - sure)).max(0.0);
    let widen = |estimate: Estimate, other: Estimate| {
        let distance = other.value - estimate.value;
        Estimate::new(
            estimate.value,
            estimate.std_dev.hypot(weight.sqrt() * distance),
        )
    };
    let (hz, q) = (
        second.resonance_hz.value - pole.resonance_hz.value,
        second.q.value - pole.q.value,
    );
    RingPole {
        resonance_hz: widen(pole.resonance_hz, second.resonance_hz),
        q: widen(pole.q, second.q),
        covariance_hz: pole.covariance_hz + weight * hz * q,
        sure,
        ..pole
    }
}

/// The turn-off pole stands only where its residual is noise and that of turn-on is not.
fn prefer_off(on: &TurnOnFit, off: &TurnOffFit) -> bool {
    on.ring.goodness.residual == Residual::Structured
        && off.ring.goodness.residual == Residual::Noise
}

fn pole(pole: ReportedPole, mode: &Mode) -> RingPole {
    RingPole {
        pole,
        resonance_hz: mode.resonance_hz,
        q: mode.q,
        covariance_hz: mode.covariance_hz,
        sure: 1.0,
    }
}

/// Inverse of a symmetric matrix `[[a, b], [b, c]]` as (a, b, c).
fn invert((a, b, c): (f64, f64, f64)) -> (f64, f64, f64) {
    let determinant = a * c - b * b;
    (c / determinant, -b / determinant, a / determinant)
}

fn covariance(mode: &Mode) -> (f64, f64, f64) {
    (
        mode.resonance_hz.std_dev.powi(2),
        mode.covariance_hz,
        mode.q.std_dev.powi(2),
    )
}

fn compare(on: &Mode, off: &Mode) -> PoleComparison {
    let (first, second) = (covariance(on), covariance(off));
    let sum = (first.0 + second.0, first.1 + second.1, first.2 + second.2);
    let weight = invert(sum);
    let (hz, q) = (
        on.resonance_hz.value - off.resonance_hz.value,
        on.q.value - off.q.value,
    );
    let chi_squared = weight.0 * hz * hz + 2.0 * weight.1 * hz * q + weight.2 * q * q;
    let p_value = (-0.5 * chi_squared).exp();
    let near = hz.abs() < SAME_RESONANCE * off.resonance_hz.value && q.abs() < SAME_Q * off.q.value;
    PoleComparison {
        resonance_difference_hz: Estimate::new(hz, sum.0.sqrt()),
        q_difference: Estimate::new(q, sum.2.sqrt()),
        p_value,
        consistent: near || p_value >= DIFFERENT,
    }
}

fn combine(on: &Mode, off: &Mode, comparison: &PoleComparison) -> RingPole {
    let (first, second) = (invert(covariance(on)), invert(covariance(off)));
    let joint = invert((first.0 + second.0, first.1 + second.1, first.2 + second.2));
    // The mean is the turn-off pole moved towards turn-on by the weight of turn-on.
    let (hz, q) = (
        comparison.resonance_difference_hz.value,
        comparison.q_difference.value,
    );
    let pull = (first.0 * hz + first.1 * q, first.1 * hz + first.2 * q);
    let widening = if comparison.p_value < DIFFERENT {
        -comparison.p_value.max(f64::MIN_POSITIVE).ln()
    } else {
        1.0
    };
    RingPole {
        pole: ReportedPole::Both,
        resonance_hz: Estimate::new(
            off.resonance_hz.value + joint.0 * pull.0 + joint.1 * pull.1,
            (joint.0 * widening).sqrt(),
        ),
        q: Estimate::new(
            off.q.value + joint.1 * pull.0 + joint.2 * pull.1,
            (joint.2 * widening).sqrt(),
        ),
        covariance_hz: joint.1 * widening,
        sure: 1.0,
    }
}
