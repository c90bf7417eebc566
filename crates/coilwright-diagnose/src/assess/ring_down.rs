//! What a ring-down capture says: the ring's own numbers, and nothing of field and key.

use crate::evidence::{
    DropoutEvidence, Evidence, FieldEvidence, InterferenceEvidence, KeyEvidence, RingEvidence,
    RungAgainst,
};
use crate::measure::Measured;
use crate::result::{Comparison, Finding, FindingId, Weight};

use super::{against, recording, ring};

/// Share of rings that are meant for 125 kHz and for 134.2 kHz, where nobody says which (common practice, no source).
const MEANT_FOR: [(f64, f64); 2] = [(125_000.0, 0.75), (134_200.0, 0.25)];

/// Evidence and findings of a ring-down, and how it compares with a known-good capture where there is one.
pub(super) fn assess(
    measured: &Measured,
    good: Option<&Measured>,
) -> (Evidence, Vec<Finding>, Option<Comparison>) {
    let mut findings = vec![what_it_is(measured)];
    let comparison = good.map(|good| against::compare(measured, good));
    let evidence = Evidence {
        field: FieldEvidence::NotExpected,
        level_db: None,
        third_harmonic_db: None,
        carrier_offset: None,
        ring: rung(measured, good, &mut findings),
        key: KeyEvidence::Unknown,
        dropouts: DropoutEvidence::Unknown,
        interference: InterferenceEvidence::None,
        recording: recording::samples(measured, &mut findings),
        against: comparison
            .as_ref()
            .map(|comparison| against::evidence(comparison, &mut findings)),
    };
    findings.sort_by_key(|finding| finding.weight);
    (evidence, findings, comparison)
}

fn what_it_is(measured: &Measured) -> Finding {
    let count = measured
        .ring
        .ring_down
        .as_ref()
        .map_or(0, |ring_down| ring_down.ping_count);
    Finding {
        id: FindingId::RingDownCapture,
        weight: Weight::Notable,
        text: format!(
            "This is a ring-down capture ({count} ping{}): the ring is tapped, not driven. No field and no key are to be expected in it, so nothing is said of either.",
            if count == 1 { "" } else { "s" }
        ),
        value: Some(count as f64),
        limit: None,
        unit: "",
        origin: "",
    }
}

fn rung(measured: &Measured, good: Option<&Measured>, findings: &mut Vec<Finding>) -> RingEvidence {
    let (Some(resonance), Some(q)) = (measured.ring.resonance_hz, measured.ring.q) else {
        return ring::without_resonance(measured, findings);
    };
    let carriers = carriers(measured, good);
    let nearest = carriers
        .iter()
        .map(|&(carrier_hz, _)| carrier_hz)
        .min_by(|a, b| {
            let distance = |hz: f64| (resonance.value / hz).ln().abs();
            distance(*a).total_cmp(&distance(*b))
        })
        .unwrap_or(MEANT_FOR[0].0);
    let what = if carriers.len() > 1 {
        format!("{:.1} kHz, the nearer of the usual carriers", nearest / 1e3)
    } else {
        format!(
            "the carrier of {:.1} kHz that it is meant for",
            nearest / 1e3
        )
    };
    ring::tuning(resonance, nearest, &what, findings);
    let nominals = carriers
        .iter()
        .map(|&(carrier_hz, share)| RungAgainst {
            share,
            detuning: coilwright_signal::Estimate::new(
                (resonance.value / carrier_hz).ln(),
                resonance.std_dev / resonance.value,
            ),
        })
        .collect();
    RingEvidence::Rung {
        nominals,
        ln_q: ring::damping(q, findings),
    }
}

/// The carriers that the ring may be meant for, each with its probability.
fn carriers(measured: &Measured, good: Option<&Measured>) -> Vec<(f64, f64)> {
    let known = measured.stated_nominal_hz.or_else(|| {
        let good = good.filter(|good| !good.is_ring_down())?;
        good.carrier.frequency_hz.map(|carrier| carrier.value)
    });
    known.map_or(MEANT_FOR.to_vec(), |carrier_hz| vec![(carrier_hz, 1.0)])
}
