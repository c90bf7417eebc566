//! What the ring's edges say.

use coilwright_signal::Estimate;

use crate::evidence::RingEvidence;
use crate::limits::{DETUNING, LOW_Q};
use crate::measure::Measured;
use crate::result::{Finding, FindingId, Tail, Weight};
use crate::words::{kilohertz, number, percent};

pub(super) fn ring(measured: &Measured, findings: &mut Vec<Finding>) -> RingEvidence {
    let ring = &measured.ring;
    let (Some(resonance), Some(q), Some(carrier)) =
        (ring.resonance_hz, ring.q, measured.carrier.frequency_hz)
    else {
        return without_resonance(measured, findings);
    };
    let detuning = tuning(resonance, carrier.value, "the carrier", findings);
    let ln_q = damping(q, findings);
    RingEvidence::Measured { detuning, ln_q }
}

/// `ln(resonance / reference)` with its finding; `reference` names what `reference_hz` is.
pub(super) fn tuning(
    resonance: Estimate,
    reference_hz: f64,
    reference: &str,
    findings: &mut Vec<Finding>,
) -> Estimate {
    let detuning = Estimate::new(
        (resonance.value / reference_hz).ln(),
        resonance.std_dev / resonance.value,
    );
    let off = detuning.value.abs() > DETUNING.value;
    findings.push(Finding {
        id: if off {
            FindingId::RingDetuned
        } else {
            FindingId::RingTuned
        },
        weight: if off { Weight::Decisive } else { Weight::Minor },
        text: format!(
            "The ring's resonance is {}, {} {} {reference}{}.",
            kilohertz(resonance),
            percent(detuning.value.exp_m1().abs()),
            if detuning.value < 0.0 {
                "below"
            } else {
                "above"
            },
            if off { "" } else { ": in tune" }
        ),
        value: Some(detuning.value.exp_m1()),
        limit: Some(DETUNING.value),
        unit: "",
        origin: DETUNING.origin,
    });
    detuning
}

/// `ln(Q)` with its finding.
pub(super) fn damping(q: Estimate, findings: &mut Vec<Finding>) -> Estimate {
    let damped = q.value < LOW_Q.value;
    findings.push(Finding {
        id: FindingId::RingDamped,
        weight: if damped {
            Weight::Decisive
        } else {
            Weight::Minor
        },
        text: format!(
            "The ring's loaded Q is {}{}.",
            number(q),
            if damped {
                ": it is damped far more than usual"
            } else {
                ""
            }
        ),
        value: Some(q.value),
        limit: Some(LOW_Q.value),
        unit: "",
        origin: LOW_Q.origin,
    });
    Estimate::new(q.value.ln(), q.std_dev / q.value)
}

/// What edges or taps without a resonance mean.
pub(super) fn without_resonance(measured: &Measured, findings: &mut Vec<Finding>) -> RingEvidence {
    let (id, weight, evidence) = match measured.ring.tail {
        Tail::Gone => (
            FindingId::RingTailMissing,
            Weight::Decisive,
            RingEvidence::Gone,
        ),
        Tail::Foreign => (
            FindingId::TailForeign,
            Weight::Decisive,
            RingEvidence::Foreign,
        ),
        Tail::Free | Tail::Held => (
            FindingId::TailHeld,
            Weight::Notable,
            RingEvidence::Unexplained,
        ),
        Tail::NotSeen => (
            FindingId::EdgesMissing,
            Weight::Notable,
            RingEvidence::Unknown,
        ),
    };
    findings.push(Finding {
        id,
        weight,
        text: measured.ring.reason.clone(),
        value: None,
        limit: None,
        unit: "",
        origin: "",
    });
    evidence
}
