//! The ring's resonance and Q from its pings, fitted jointly.

use coilwright_coil::condition::died_away;
use coilwright_coil::{FitError, Residual, RingDownFit, RingDownOptions, Zone, fit_ring_down};

use super::Pings;
use crate::measure::pole::{edge_pole, signal};
use crate::result::{DiedAway, EdgeTrace, Ring, RingDown, Tail};

/// Cycles of the nominal carrier that are left out after a ping's largest sample, tried in turn until the residual is noise:
/// the tap itself, or an amplifier that it overdrives, may last that long.
const SKIPPED_CYCLES: [f64; 4] = [0.5, 1.0, 2.0, 4.0];
/// Lowest and highest resonance over the nominal carrier that are sought.
const SOUGHT: (f64, f64) = (0.3, 4.0);
/// Highest frequency that is sought, over the sample rate.
const HIGHEST_SHARE: f64 = 0.48;
/// Samples in a cycle of the nominal carrier under which it is seen folded.
const FOLDED_BELOW: f64 = 2.0;
/// Shortest record that is worth fitting.
const SHORTEST_SAMPLES: usize = 12;
/// Part of the records' energy that a ring-down must explain, or it is something else that came and went.
const LEAST_EXPLAINED: f64 = 0.7;
/// Misfit beyond which it is something else.
const LARGEST_MISFIT: f64 = 0.15;

/// What the fit needs to know about the capture.
#[derive(Clone, Copy, Debug)]
pub(in crate::measure) struct PingContext {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// The carrier that the ring is meant for, to know the zone of a folded ring.
    pub nominal_hz: f64,
    /// Step of the stored format in the samples' unit, zero if unknown.
    pub quantisation_step: f64,
}

impl PingContext {
    fn options(self) -> RingDownOptions {
        let zone = if self.sample_rate_hz < FOLDED_BELOW * self.nominal_hz {
            Zone::containing(self.nominal_hz, self.sample_rate_hz)
        } else {
            Zone::default()
        };
        let highest = (SOUGHT.1 * self.nominal_hz).min(HIGHEST_SHARE * self.sample_rate_hz);
        RingDownOptions {
            zone,
            search_band_hz: (zone == Zone::default())
                .then_some((SOUGHT.0 * self.nominal_hz, highest)),
            quantisation_step: self.quantisation_step,
            ..RingDownOptions::default()
        }
    }

    /// The zone in which the ring is taken to lie.
    pub(in crate::measure) fn zone(self) -> Zone {
        self.options().zone
    }
}

/// The ring of a ring-down capture.
pub(in crate::measure) enum RungRing {
    /// It rings.
    Rings(Box<Ring>),
    /// Something taps it, but it does not ring, or does not ring as a ring would; the ring says why.
    Silent(Box<Ring>),
}

/// The ring from all pings jointly.
pub(in crate::measure) fn ring(pings: &Pings, context: PingContext) -> RungRing {
    let (pings_listed, count) = (pings.spans.clone(), pings.count);
    let without = |tail: Tail, died: Option<DiedAway>, reason: String| {
        RungRing::Silent(Box::new(Ring {
            tail,
            reason,
            ring_down: Some(RingDown {
                pole: None,
                died,
                pings: pings_listed.clone(),
                ping_count: count,
            }),
            ..Ring::not_seen()
        }))
    };
    match fit(pings, context) {
        Ok((fit, skipped)) if believable(&fit) => RungRing::Rings(Box::new(Ring {
            resonance_hz: Some(signal(fit.mode.resonance_hz)),
            q: Some(signal(fit.mode.q)),
            ring_down: Some(RingDown {
                pole: Some(edge_pole(&fit, pings.kept.len())),
                died: None,
                pings: pings_listed,
                ping_count: count,
            }),
            tail: Tail::Free,
            trace: trace(&fit, pings, skipped, context.sample_rate_hz),
            ..Ring::not_seen()
        })),
        Ok(_) => without(
            Tail::Held,
            None,
            "Something comes abruptly and dies away, but no damped oscillation explains it."
                .to_owned(),
        ),
        Err(FitError::NoRingDown {
            resonance_hz,
            q,
            cycles_per_tau,
        }) => without(
            Tail::Gone,
            died_away(resonance_hz, q).map(|[resonance_hz, q]| DiedAway {
                resonance_hz: signal(resonance_hz),
                q: signal(q),
            }),
            format!(
                "The ring does not ring: after each tap it dies within {cycles_per_tau:.1} cycles (Q about {:.1}).",
                q.value
            ),
        ),
        Err(FitError::NoRecords) => without(
            Tail::NotSeen,
            None,
            "No ping stands out of the noise.".to_owned(),
        ),
        Err(error) => without(
            Tail::Held,
            None,
            format!("The taps could not be fitted: {error}."),
        ),
    }
}

fn believable(fit: &RingDownFit) -> bool {
    let goodness = &fit.goodness;
    goodness.explained >= LEAST_EXPLAINED
        && (goodness.residual == Residual::Noise || goodness.misfit <= LARGEST_MISFIT)
}

/// The joint fit that starts as early as the residual allows, and the samples that it leaves out.
fn fit(pings: &Pings, context: PingContext) -> Result<(RingDownFit, usize), FitError> {
    let options = context.options();
    let mut fallback = None;
    let mut failure = None;
    for cycles in SKIPPED_CYCLES {
        let skipped = (cycles * context.sample_rate_hz / context.nominal_hz).ceil() as usize;
        let records: Vec<&[f32]> = pings
            .kept
            .iter()
            .filter_map(|ping| ping.samples.get(skipped..))
            .filter(|record| record.len() >= SHORTEST_SAMPLES)
            .collect();
        match fit_ring_down(&records, context.sample_rate_hz, &options) {
            Ok(fit) if fit.goodness.residual == Residual::Noise && believable(&fit) => {
                return Ok((fit, skipped));
            }
            Ok(fit) => {
                fallback.get_or_insert((fit, skipped));
            }
            Err(error) => {
                failure.get_or_insert(error);
            }
        }
    }
    match (fallback, failure) {
        // What was fitted later is the noise in which a decay ended.
        (Some((fit, _)), Some(gone @ FitError::NoRingDown { .. })) if !believable(&fit) => {
            Err(gone)
        }
        (Some(found), _) => Ok(found),
        (None, failure) => Err(failure.unwrap_or(FitError::NoRecords)),
    }
}

fn trace(
    fit: &RingDownFit,
    pings: &Pings,
    skipped: usize,
    sample_rate_hz: f64,
) -> Option<EdgeTrace> {
    let curve = fit.records.first()?;
    let ping = pings
        .kept
        .iter()
        .find(|ping| ping.samples.len() >= skipped + SHORTEST_SAMPLES)?;
    let samples = ping.samples.get(skipped..)?.to_vec();
    Some(EdgeTrace {
        first_sample: ping.first_sample + skipped as u64,
        fitted: (0..samples.len())
            .map(|n| curve.at(n as f64 / sample_rate_hz) as f32)
            .collect(),
        samples,
    })
}

/// Other resonances that would look the same after sampling.
pub(in crate::measure) fn twins(ring: &Ring, zone: Zone) -> Vec<f64> {
    match ring.resonance_hz {
        Some(resonance) if zone != Zone::default() => vec![zone.apparent_hz(resonance.value)],
        _ => Vec::new(),
    }
}

/// One sentence that says why the capture is taken for a ring-down.
pub(in crate::measure) fn reason(pings: &Pings) -> String {
    let count = pings.count;
    let taps = if count == 1 {
        "One ping starts".to_owned()
    } else {
        format!("{count} pings start")
    };
    let first = pings.spans.first().map_or(0, |span| span.start);
    format!(
        "{taps} abruptly from quiet (the first at sample {first}), then only die away: a ring tapped by a pulse, without a drive."
    )
}
