//! What the key said.

use crate::evidence::{FieldEvidence, KeyEvidence};
use crate::limits::{DETUNING, LOW_DEPTH, VISIBLE_DEPTH};
use crate::measure::Measured;
use crate::result::{Finding, FindingId, KeyFound, Weight};
use crate::words::percent;

/// Energy of a bit over noise density under which a modulation without a frame is no key that can be told from the noise,
/// in decibels: at 6 dB a 64-bit frame is read in four of five tries.
const CREDIBLE_EB_N0_DB: f64 = 6.0;

pub(super) fn key(
    measured: &Measured,
    field: FieldEvidence,
    findings: &mut Vec<Finding>,
) -> KeyEvidence {
    if field == FieldEvidence::Absent {
        return KeyEvidence::Unknown;
    }
    let distinct = measured
        .keys
        .iter()
        .filter(|key| key.frame.is_some())
        .count();
    let credible = measured
        .keys
        .first()
        .is_some_and(|key| key.depth.value >= LOW_DEPTH.value && key.eb_n0_db >= CREDIBLE_EB_N0_DB);
    // Beside a weak key, in a field that drops out or behind a ring far off tune, what is left over is no second key.
    let alone = credible && measured.field.dip_count == 0 && in_tune(measured);
    if distinct > 1 || (alone && measured.listening.collision_ratio > 1.0) {
        return collide(distinct, measured, findings);
    }
    match measured.keys.first() {
        Some(key) if key.frame.is_some() => reads(key, findings),
        Some(key) if key.eb_n0_db >= CREDIBLE_EB_N0_DB => unreadable(key, findings),
        _ => silent(measured, findings),
    }
}

/// Whether the ring, where it was measured, lies near the carrier.
fn in_tune(measured: &Measured) -> bool {
    match (measured.ring.resonance_hz, measured.carrier.frequency_hz) {
        (Some(ring), Some(carrier)) => (ring.value / carrier.value).ln().abs() < DETUNING.value,
        _ => true,
    }
}

fn collide(distinct: usize, measured: &Measured, findings: &mut Vec<Finding>) -> KeyEvidence {
    findings.push(Finding {
        id: FindingId::KeysCollide,
        weight: Weight::Decisive,
        text: if distinct > 1 {
            format!("{distinct} different keys were read in one capture.")
        } else {
            "The modulation shows the levels of two keys added up.".to_owned()
        },
        value: Some(measured.listening.collision_ratio),
        limit: Some(1.0),
        unit: "",
        origin: "threshold of the superposition test",
    });
    KeyEvidence::Collide
}

fn reads(key: &KeyFound, findings: &mut Vec<Finding>) -> KeyEvidence {
    let weak = key.depth.value < LOW_DEPTH.value;
    findings.push(Finding {
        id: FindingId::KeyReads,
        weight: Weight::Notable,
        text: format!(
            "A key answers: its frame was read {} time{} and its checks hold.",
            key.repeats,
            if key.repeats == 1 { "" } else { "s" }
        ),
        value: Some(key.repeats as f64),
        limit: None,
        unit: "",
        origin: "",
    });
    depth_finding(key, weak, findings);
    KeyEvidence::Reads {
        ln_depth: key.depth.value.ln(),
    }
}

fn unreadable(key: &KeyFound, findings: &mut Vec<Finding>) -> KeyEvidence {
    findings.push(Finding {
        id: FindingId::KeyUnreadable,
        weight: Weight::Decisive,
        text: format!(
            "Something answers with {} carrier cycles a bit, but no frame whose checks hold was read.",
            key.clocks_per_bit
        ),
        value: Some(key.eb_n0_db),
        limit: None,
        unit: "dB",
        origin: "",
    });
    depth_finding(key, key.depth.value < LOW_DEPTH.value, findings);
    KeyEvidence::Unreadable {
        ln_depth: key.depth.value.max(1e-5).ln(),
    }
}

fn depth_finding(key: &KeyFound, weak: bool, findings: &mut Vec<Finding>) {
    if weak {
        findings.push(Finding {
            id: FindingId::KeyDepthLow,
            weight: Weight::Decisive,
            text: format!(
                "The key moves the carrier by only {}.",
                percent(key.depth.value)
            ),
            value: Some(key.depth.value),
            limit: Some(LOW_DEPTH.value),
            unit: "",
            origin: LOW_DEPTH.origin,
        });
    }
}

fn silent(measured: &Measured, findings: &mut Vec<Finding>) -> KeyEvidence {
    let Some(visible) = measured
        .listening
        .visible_depth
        .filter(|&depth| depth < VISIBLE_DEPTH.value)
    else {
        findings.push(Finding {
            id: FindingId::CaptureTooPoor,
            weight: Weight::Notable,
            text: measured.listening.visible_depth.map_or_else(
                || "The field is on too briefly for a key's answer to be looked for.".to_owned(),
                |visible| {
                    format!(
                        "No key was heard, but only one that moves the carrier by more than {} would have been.",
                        percent(visible)
                    )
                },
            ),
            value: measured.listening.visible_depth,
            limit: Some(VISIBLE_DEPTH.value),
            unit: "",
            origin: VISIBLE_DEPTH.origin,
        });
        return KeyEvidence::Unknown;
    };
    findings.push(Finding {
        id: FindingId::KeySilent,
        weight: Weight::Decisive,
        text: format!(
            "No key answers: in {:.2} s of field, one that moves the carrier by {} would have been heard.",
            measured.listening.seconds,
            percent(visible)
        ),
        value: Some(visible),
        limit: Some(VISIBLE_DEPTH.value),
        unit: "",
        origin: VISIBLE_DEPTH.origin,
    });
    KeyEvidence::Silent
}
