//! How a capture compares with a known-good one from the same place.

use coilwright_signal::Estimate;

use crate::evidence::AgainstEvidence;
use crate::limits::{LEVEL_CHANGE, Limit, Q_CHANGE, RESONANCE_CHANGE};
use crate::measure::Measured;
use crate::result::{Comparison, Finding, FindingId, Weight};
use crate::words::percent;

pub(super) fn compare(measured: &Measured, good: &Measured) -> Comparison {
    let ratio = |here: Option<f64>, there: Option<f64>| match (here, there) {
        (Some(here), Some(there)) if there > 0.0 => Some(here / there),
        _ => None,
    };
    let depth = |side: &Measured| side.keys.first().map(|key| key.depth.value);
    Comparison {
        file: good.file.clone(),
        level_ratio: ratio(measured.carrier.amplitude, good.carrier.amplitude),
        resonance_ratio: estimate_ratio(measured.ring.resonance_hz, good.ring.resonance_hz),
        q_ratio: estimate_ratio(measured.ring.q, good.ring.q),
        depth_ratio: ratio(depth(measured), depth(good)),
    }
}

/// Ratio of two independent estimates; relative variances add.
fn estimate_ratio(here: Option<Estimate>, there: Option<Estimate>) -> Option<Estimate> {
    let (here, there) = (here?, there?);
    let ratio = here.value / there.value;
    let relative = (here.std_dev / here.value).hypot(there.std_dev / there.value);
    Some(Estimate::new(ratio, ratio.abs() * relative))
}

pub(super) fn evidence(comparison: &Comparison, findings: &mut Vec<Finding>) -> AgainstEvidence {
    let ln = |ratio: Estimate| Estimate::new(ratio.value.ln(), ratio.std_dev / ratio.value);
    if let Some(ratio) = comparison.level_ratio {
        findings.push(finding(
            FindingId::LevelAgainst,
            "level",
            ratio,
            LEVEL_CHANGE,
        ));
    }
    if let Some(ratio) = comparison.resonance_ratio {
        findings.push(finding(
            FindingId::ResonanceAgainst,
            "resonance",
            ratio.value,
            RESONANCE_CHANGE,
        ));
    }
    if let Some(ratio) = comparison.q_ratio {
        findings.push(finding(FindingId::QAgainst, "Q", ratio.value, Q_CHANGE));
    }
    AgainstEvidence {
        ln_level: comparison
            .level_ratio
            .filter(|&ratio| ratio > 0.0)
            .map(f64::ln),
        ln_resonance: comparison.resonance_ratio.map(ln),
        ln_q: comparison.q_ratio.map(ln),
    }
}

fn finding(id: FindingId, what: &str, ratio: f64, limit: Limit) -> Finding {
    let change = ratio - 1.0;
    let beyond = change.abs() > limit.value;
    Finding {
        id,
        weight: if beyond {
            Weight::Decisive
        } else {
            Weight::Minor
        },
        text: format!(
            "Against the known-good capture, the {what} is {} {}{}.",
            percent(change.abs()),
            if change < 0.0 { "lower" } else { "higher" },
            if beyond {
                ""
            } else {
                ", which is within what a repeat gives"
            }
        ),
        value: Some(change),
        limit: Some(limit.value),
        unit: "",
        origin: limit.origin,
    }
}
