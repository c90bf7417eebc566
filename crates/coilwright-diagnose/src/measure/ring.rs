//! The ring's resonance and Q from the switching edges of the field.

use coilwright_coil::{EdgesFit, FitError, ReportedPole, RingDownFit, RingDownOptions, fit_edges};
use coilwright_signal::Estimate;
use coilwright_signal::activity::{Activity, Edge, EdgeKind, EdgeWindow};

use super::pole::{edge_pole, signal};
use crate::result::{EdgeTrace, Ring, SignalKind, Tail};

/// Samples left out after an edge, in carrier cycles: a fit that starts early is biased, one that starts late only noisier.
const GUARD_CYCLES: f64 = 0.5;
/// Length of a fitted record, in carrier cycles: seven time constants of a ring of Q 45.
const RECORD_CYCLES: f64 = 100.0;
/// Shortest record that is worth fitting, in carrier cycles.
const SHORTEST_CYCLES: f64 = 8.0;
/// Edges that are fitted jointly at most; the error falls with the root of their number.
const EDGES_AT_MOST: usize = 12;

/// A mode that starts with less than this part of the carrier is not the ring's, whose current cannot jump at an edge.
///
/// Of 266 simulated rings without a short six start lower, since a key close by shares their modes; of 86 rings with shorted turns or terminals
/// whose edges give a mode, 31 (seeds 50000000, 51000000 and 52000000 of `examples/accuracy`).
const FOREIGN: f64 = 0.3;

/// What the fits need to know about the capture.
#[derive(Clone, Copy, Debug)]
pub(super) struct RingContext {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// True carrier frequency.
    pub carrier_hz: Estimate,
    /// Amplitude of the carrier in the samples' unit.
    pub carrier_amplitude: Option<f64>,
    /// Step of the stored format in the samples' unit, zero if unknown.
    pub quantisation_step: f64,
}

/// The ring from all usable edges.
pub(super) fn ring<'a>(
    activity: &Activity,
    windows: &'a [EdgeWindow],
    context: RingContext,
) -> Ring {
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
        start_delay_s: guard_samples(context) as f64 / context.sample_rate_hz,
        ..RingDownOptions::default()
    };
    let cuts = |records: &[Record<'a>]| {
        records
            .iter()
            .map(|record| record.samples)
            .collect::<Vec<_>>()
    };
    let fit = fit_edges(
        &cuts(&on),
        &cuts(&off),
        context.sample_rate_hz,
        coil(context.carrier_hz),
        &options,
    );
    let turn_on = fit.turn_on.fitted().map(|edge| &edge.ring);
    let turn_off = fit.turn_off.fitted().map(|edge| &edge.ring);
    let start = start_over_carrier(&fit, context, options.start_delay_s);
    let foreign = start.filter(|&start| start < FOREIGN);
    let pole = fit.ring.as_ref().filter(|_| foreign.is_none());
    Ring {
        resonance_hz: pole.map(|pole| signal(pole.resonance_hz)),
        q: pole.map(|pole| signal(pole.q)),
        trace: turn_on
            .zip(on.first())
            .or_else(|| turn_off.zip(off.first()))
            .and_then(|(ring, record)| trace(ring, record, context.sample_rate_hz)),
        turn_on: turn_on.map(|ring| edge_pole(ring, on.len())),
        turn_off: turn_off.map(|ring| edge_pole(ring, off.len())),
        ring_down: None,
        start_over_carrier: start,
        tail: if foreign.is_some() {
            Tail::Foreign
        } else {
            tail(&fit)
        },
        reason: match (foreign, pole) {
            (Some(start), _) => foreign_reason(start),
            (None, Some(_)) => String::new(),
            (None, None) => failure(&fit),
        },
    }
}

/// Amplitude of the reported pole, reckoned back to the edge, over the carrier's: the mean of both edges where both are reported.
fn start_over_carrier(fit: &EdgesFit, context: RingContext, delay_s: f64) -> Option<f64> {
    let carrier = context.carrier_amplitude.filter(|&level| level > 0.0)?;
    let start = |ring: &RingDownFit| {
        let skipped_s = ring.skipped_samples() as f64 / context.sample_rate_hz;
        ring.mode.amplitude * (ring.mode.decay_per_s.value * (delay_s + skipped_s)).exp()
    };
    let on = fit.turn_on.fitted().map(|edge| start(&edge.ring));
    let off = fit.turn_off.fitted().map(|edge| start(&edge.ring));
    let amplitude = match fit.ring?.pole {
        ReportedPole::Both => f64::midpoint(on?, off?),
        ReportedPole::TurnOn => on?,
        ReportedPole::TurnOff => off?,
    };
    Some(amplitude / carrier)
}

fn guard_samples(context: RingContext) -> u64 {
    let samples_per_cycle = context.sample_rate_hz / context.carrier_hz.value;
    (GUARD_CYCLES * samples_per_cycle).ceil().max(2.0) as u64
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
    let guard = guard_samples(context);
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

fn trace(ring: &RingDownFit, record: &Record<'_>, sample_rate_hz: f64) -> Option<EdgeTrace> {
    let curve = ring.records.first()?;
    Some(EdgeTrace {
        first_sample: record.first_sample,
        samples: record.samples.to_vec(),
        fitted: (0..record.samples.len())
            .map(|n| curve.at(n as f64 / sample_rate_hz) as f32)
            .collect(),
    })
}

fn failures(fit: &EdgesFit) -> impl Iterator<Item = &FitError> {
    fit.turn_on
        .failure()
        .into_iter()
        .chain(fit.turn_off.failure())
}

fn tail(fit: &EdgesFit) -> Tail {
    let gone = failures(fit).any(|error| matches!(error, FitError::NoRingDown { .. }));
    match (&fit.ring, fit.driver_holds_tail) {
        (None, _) if gone => Tail::Gone,
        (Some(_), false) => Tail::Free,
        _ => Tail::Held,
    }
}

fn failure(fit: &EdgesFit) -> String {
    match failures(fit).next() {
        Some(FitError::NoRingDown { cycles_per_tau, q, .. }) => format!(
            "The ring does not ring: at its edges the level settles within {cycles_per_tau:.1} cycles (Q about {:.1}).",
            q.value
        ),
        Some(FitError::NotExplained { misfit, .. }) => format!(
            "There are switching edges, but no single resonance explains them (misfit {:.0} %).",
            100.0 * misfit
        ),
        Some(FitError::NotDecaying { .. }) => {
            "There are switching edges, but what follows them does not decay: the driver does not let go.".to_owned()
        }
        _ => "There are switching edges, but nothing rings above the noise after them.".to_owned(),
    }
}

fn foreign_reason(start: f64) -> String {
    format!(
        "What rings after the edges starts with only {:.0} % of the carrier's amplitude. The ring's own current cannot jump and would start near \
         100 %: this is a key or a stray circuit, and the ring itself dies at once.",
        100.0 * start
    )
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
