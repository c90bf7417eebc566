//! The ring's resonance and Q from the switching edges of the field.

use coilwright_coil::{FitError, RingDownFit, RingDownOptions, fit_turn_off, fit_turn_on};
use coilwright_signal::Estimate;
use coilwright_signal::activity::{Activity, Edge, EdgeKind, EdgeWindow};

use crate::result::{EdgePole, EdgeTrace, Ring, SignalKind, Tail};

/// Samples left out after an edge, in carrier cycles: a fit that starts early is biased, one that starts late only noisier.
const GUARD_CYCLES: f64 = 0.5;
/// Length of a fitted record, in carrier cycles: seven time constants of a ring of Q 45.
const RECORD_CYCLES: f64 = 100.0;
/// Shortest record that is worth fitting, in carrier cycles.
const SHORTEST_CYCLES: f64 = 8.0;
/// Edges that are fitted jointly at most; the error falls with the root of their number.
const EDGES_AT_MOST: usize = 12;
/// Poles that differ by more than this share of frequency are taken as different.
const SAME_RESONANCE: f64 = 0.02;
/// The same for Q.
const SAME_Q: f64 = 0.2;

/// What the fits need to know about the capture.
#[derive(Clone, Copy, Debug)]
pub(super) struct RingContext {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// True carrier frequency.
    pub carrier_hz: Estimate,
    /// Step of the stored format in the samples' unit, zero if unknown.
    pub quantisation_step: f64,
}

/// The ring from all usable edges.
pub(super) fn ring(activity: &Activity, windows: &[EdgeWindow], context: RingContext) -> Ring {
    let on = records(activity, windows, EdgeKind::On, context);
    let off = records(activity, windows, EdgeKind::Off, context);
    if on.is_empty() && off.is_empty() {
        return Ring {
            reason: no_edge_reason(activity),
            ..Ring::not_seen()
        };
    }
    let options = RingDownOptions {
        quantisation_step: context.quantisation_step,
        ..RingDownOptions::default()
    };
    let turn_on = fit(&on, context.sample_rate_hz, |cuts| {
        fit_turn_on(
            cuts,
            context.sample_rate_hz,
            coil(context.carrier_hz),
            &options,
        )
        .map(|fit| fit.ring)
    });
    let turn_off = fit(&off, context.sample_rate_hz, |cuts| {
        fit_turn_off(
            cuts,
            context.sample_rate_hz,
            coil(context.carrier_hz),
            &options,
        )
        .map(|fit| fit.ring)
    });
    combine(turn_on, turn_off)
}

/// A record to fit: where it starts in the capture, and its samples.
struct Record<'a> {
    first_sample: u64,
    samples: &'a [f32],
}

fn records<'a>(
    activity: &Activity,
    windows: &'a [EdgeWindow],
    kind: EdgeKind,
    context: RingContext,
) -> Vec<Record<'a>> {
    let samples_per_cycle = context.sample_rate_hz / context.carrier_hz.value;
    let guard = (GUARD_CYCLES * samples_per_cycle).ceil().max(2.0) as u64;
    let longest = (RECORD_CYCLES * samples_per_cycle) as usize;
    let shortest = (SHORTEST_CYCLES * samples_per_cycle) as usize;
    let cut = |edge: &Edge, window: &'a EdgeWindow| {
        let first_sample = edge.sample + guard;
        let skip = usize::try_from(first_sample.checked_sub(window.first_sample)?).ok()?;
        let samples = window.samples.get(skip..)?;
        let samples = &samples[..samples.len().min(longest)];
        (samples.len() >= shortest).then_some(Record {
            first_sample,
            samples,
        })
    };
    windows
        .iter()
        .filter_map(|window| {
            let edge = activity.edges.get(window.edge_index)?;
            (edge.kind == kind && edge.refined)
                .then(|| cut(edge, window))
                .flatten()
        })
        .take(EDGES_AT_MOST)
        .collect()
}

/// A fit of one kind of edge, or why there is none.
type Outcome = Option<Result<(EdgePole, EdgeTrace), FitError>>;

fn fit(
    records: &[Record<'_>],
    sample_rate_hz: f64,
    run: impl Fn(&[&[f32]]) -> Result<RingDownFit, FitError>,
) -> Outcome {
    let first = records.first()?;
    let cuts: Vec<&[f32]> = records.iter().map(|record| record.samples).collect();
    Some(run(&cuts).map(|ring| {
        let pole = EdgePole {
            resonance_hz: signal(ring.mode.resonance_hz),
            q: signal(ring.mode.q),
            damped_hz: signal(ring.mode.damped_hz),
            edges: records.len(),
            snr_db: ring.snr_db,
            misfit: ring.goodness.misfit,
            explained: ring.goodness.explained,
        };
        let fitted = ring.records.first().map_or_else(Vec::new, |record| {
            (0..first.samples.len())
                .map(|n| record.at(n as f64 / sample_rate_hz) as f32)
                .collect()
        });
        let trace = EdgeTrace {
            first_sample: first.first_sample,
            samples: first.samples.to_vec(),
            fitted,
        };
        (pole, trace)
    }))
}

fn combine(turn_on: Outcome, turn_off: Outcome) -> Ring {
    let reason = failure(&turn_on).or_else(|| failure(&turn_off));
    let gone = [&turn_on, &turn_off]
        .iter()
        .any(|outcome| matches!(outcome, Some(Err(FitError::NoRingDown { .. }))));
    let on = turn_on.and_then(Result::ok);
    let off = turn_off.and_then(Result::ok);
    let (chosen, tail) = match (&on, &off) {
        (Some((on, _)), Some((off, _))) if same(on, off) => {
            (Some((mean(on, off), mean_q(on, off))), Tail::Free)
        }
        (Some((on, _)), Some(_)) => (Some((on.resonance_hz, on.q)), Tail::Held),
        (Some((on, _)), None) => (Some((on.resonance_hz, on.q)), Tail::Held),
        (None, Some((off, _))) => (Some((off.resonance_hz, off.q)), Tail::Free),
        (None, None) if gone => (None, Tail::Gone),
        (None, None) => (None, Tail::Held),
    };
    Ring {
        resonance_hz: chosen.map(|(resonance, _)| resonance),
        q: chosen.map(|(_, q)| q),
        trace: on.as_ref().or(off.as_ref()).map(|(_, trace)| trace.clone()),
        turn_on: on.map(|(pole, _)| pole),
        turn_off: off.map(|(pole, _)| pole),
        tail,
        reason: if chosen.is_some() {
            String::new()
        } else {
            reason.unwrap_or_default()
        },
    }
}

fn failure(outcome: &Outcome) -> Option<String> {
    let error = outcome.as_ref()?.as_ref().err()?;
    Some(match error {
        FitError::NoRingDown { cycles_per_tau, q, .. } => format!(
            "The ring does not ring: at its edges the level settles within {cycles_per_tau:.1} cycles (Q about {:.1}).",
            q.value
        ),
        FitError::NotExplained { misfit, .. } => format!(
            "There are switching edges, but no single resonance explains them (misfit {:.0} %).",
            100.0 * misfit
        ),
        FitError::NotDecaying { .. } => {
            "There are switching edges, but what follows them does not decay: the driver does not let go.".to_owned()
        }
        _ => "There are switching edges, but nothing rings above the noise after them.".to_owned(),
    })
}

fn same(on: &EdgePole, off: &EdgePole) -> bool {
    let apart = |a: Estimate, b: Estimate, share: f64| {
        (a.value - b.value).abs() > share * b.value + 3.0 * a.std_dev.hypot(b.std_dev)
    };
    !apart(on.resonance_hz, off.resonance_hz, SAME_RESONANCE) && !apart(on.q, off.q, SAME_Q)
}

/// Mean weighted by the inverse variances; the error never falls below half the difference, which noise does not explain.
fn weighted(a: Estimate, b: Estimate) -> Estimate {
    let (weight_a, weight_b) = (a.std_dev.powi(-2), b.std_dev.powi(-2));
    let total = weight_a + weight_b;
    if !total.is_finite() || total <= 0.0 {
        return a;
    }
    let value = (a.value * weight_a + b.value * weight_b) / total;
    let apart = (a.value - b.value).abs();
    let noise = total.sqrt().recip();
    let excess = apart > 3.0 * a.std_dev.hypot(b.std_dev);
    Estimate::new(
        value,
        if excess {
            noise.max(apart / 2.0)
        } else {
            noise
        },
    )
}

fn mean(on: &EdgePole, off: &EdgePole) -> Estimate {
    weighted(on.resonance_hz, off.resonance_hz)
}

fn mean_q(on: &EdgePole, off: &EdgePole) -> Estimate {
    weighted(on.q, off.q)
}

fn no_edge_reason(activity: &Activity) -> String {
    if activity.edges.is_empty() {
        "The field is not switched within the recording, so the ring's resonance cannot be read from it.".to_owned()
    } else {
        "The switching edges in the recording are too close to its ends, or too faint, to be fitted.".to_owned()
    }
}

const fn coil(estimate: Estimate) -> coilwright_coil::Estimate {
    coilwright_coil::Estimate::new(estimate.value, estimate.std_dev)
}

const fn signal(estimate: coilwright_coil::Estimate) -> Estimate {
    Estimate::new(estimate.value, estimate.std_dev)
}

/// Why a kind of signal gives no ring.
pub(super) const fn no_carrier_reason(kind: SignalKind) -> &'static str {
    match kind {
        SignalKind::Envelope => {
            "An envelope does not hold the ring's oscillation, so its resonance cannot be read from it."
        }
        SignalKind::ComplexBaseband => {
            "A filtered baseband does not hold the ring's whole transient, so its resonance is not read from it."
        }
        _ => "There is no carrier, so there are no switching edges to read the ring from.",
    }
}
