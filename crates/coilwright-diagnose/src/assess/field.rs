//! Is a field there, is it at its frequency, does it stay?

use crate::evidence::{DropoutEvidence, FieldEvidence};
use crate::limits::{CARRIER_OFFSET, LOW_LEVEL_DB, THIRD_HARMONIC_DB};
use crate::measure::Measured;
use crate::result::{Finding, FindingId, SignalKind, Weight};
use crate::words::{kilohertz, percent};

/// Carrier power over noise power in half the sample rate under which a line is only a trace, in decibels.
///
/// A carrier behind a working ring stands 20 to 60 dB above a pickup's noise.
const TRACE_SNR_DB: f64 = 6.0;

/// Carrier over noise under which bursts of noise can look like drop-outs, in decibels.
const STEADY_SNR_DB: f64 = 15.0;

pub(super) fn field(measured: &Measured, findings: &mut Vec<Finding>) -> FieldEvidence {
    let snr_db = measured.carrier.snr_db;
    if measured.signal.kind == SignalKind::NoCarrier {
        findings.push(Finding {
            id: FindingId::CarrierMissing,
            weight: Weight::Decisive,
            text: "No carrier stands out of the noise anywhere in the capture.".to_owned(),
            value: None,
            limit: None,
            unit: "",
            origin: "",
        });
        return FieldEvidence::Absent;
    }
    let steady = !measured.field.bursts.is_empty();
    let trace = !steady || snr_db.is_none_or(|snr_db| snr_db < TRACE_SNR_DB);
    let frequency = measured.carrier.frequency_hz.map_or_else(
        || "the carrier".to_owned(),
        |frequency| format!("a carrier at {}", kilohertz(frequency)),
    );
    let on = percent(measured.field.on_fraction);
    findings.push(Finding {
        id: FindingId::CarrierPresent,
        weight: if trace {
            Weight::Notable
        } else {
            Weight::Minor
        },
        text: if trace {
            format!("There is only a trace of {frequency}.")
        } else {
            format!("There is {frequency}; the field is on for {on} of the capture.")
        },
        value: snr_db,
        limit: Some(TRACE_SNR_DB),
        unit: "dB",
        origin: "common practice, no source",
    });
    if trace {
        FieldEvidence::Trace
    } else {
        FieldEvidence::Present
    }
}

/// The carrier's level, with a finding where it is so low that it may be no more than the driver's residue.
pub(super) fn level(measured: &Measured, findings: &mut Vec<Finding>) -> Option<f64> {
    let level_db = measured.level_db?;
    if level_db < LOW_LEVEL_DB.value {
        findings.push(Finding {
            id: FindingId::CarrierLow,
            weight: Weight::Notable,
            text: format!(
                "The carrier is at {level_db:.0} dB of the recorder's full scale: hardly more than what a driver leaves at a broken ring, unless the pickup coil was held far away."
            ),
            value: Some(level_db),
            limit: Some(LOW_LEVEL_DB.value),
            unit: "dB",
            origin: LOW_LEVEL_DB.origin,
        });
    }
    Some(level_db)
}

pub(super) fn third_harmonic(measured: &Measured, findings: &mut Vec<Finding>) -> Option<f64> {
    let level = measured.carrier.third_harmonic_db?;
    let strong = level > THIRD_HARMONIC_DB.value;
    findings.push(Finding {
        id: if strong { FindingId::HarmonicsStrong } else { FindingId::HarmonicsLow },
        weight: if strong { Weight::Decisive } else { Weight::Minor },
        text: if strong {
            format!("The drive's third harmonic is at {level:.0} dB of the carrier: the ring does not filter the drive, as a working ring would.")
        } else {
            format!("The drive's third harmonic is at {level:.0} dB of the carrier, as behind a working ring.")
        },
        value: Some(level),
        limit: Some(THIRD_HARMONIC_DB.value),
        unit: "dB",
        origin: THIRD_HARMONIC_DB.origin,
    });
    Some(level)
}

pub(super) fn carrier_offset(measured: &Measured, findings: &mut Vec<Finding>) -> Option<f64> {
    let (frequency, nominal_hz) = (measured.carrier.frequency_hz?, measured.carrier.nominal_hz?);
    let offset = frequency.value / nominal_hz - 1.0;
    if offset.abs() > CARRIER_OFFSET.value {
        findings.push(Finding {
            id: FindingId::CarrierOff,
            weight: Weight::Decisive,
            text: format!(
                "The carrier is at {}, {} off {:.1} kHz.",
                kilohertz(frequency),
                percent(offset),
                nominal_hz / 1e3
            ),
            value: Some(offset),
            limit: Some(CARRIER_OFFSET.value),
            unit: "",
            origin: CARRIER_OFFSET.origin,
        });
    }
    Some(offset)
}

pub(super) fn dropouts(
    measured: &Measured,
    field: FieldEvidence,
    findings: &mut Vec<Finding>,
) -> DropoutEvidence {
    if field == FieldEvidence::Absent {
        return DropoutEvidence::Unknown;
    }
    let count = measured.field.dip_count;
    if count == 0 {
        return DropoutEvidence::None;
    }
    let deepest = measured
        .field
        .dips
        .iter()
        .map(|dip| dip.level_ratio)
        .fold(1.0, f64::min);
    findings.push(Finding {
        id: FindingId::FieldDrops,
        weight: if count > 1 { Weight::Decisive } else { Weight::Notable },
        text: format!(
            "The field drops out {count} time{} while it should be on, down to {} of its level.",
            if count == 1 { "" } else { "s" },
            percent(deepest)
        ),
        value: Some(count as f64),
        limit: Some(0.0),
        unit: "",
        origin: "a working driver keeps its level between switch-on and switch-off: common practice, no source",
    });
    let noisy = measured
        .carrier
        .snr_db
        .is_none_or(|snr_db| snr_db < STEADY_SNR_DB);
    if count == 1 || noisy {
        DropoutEvidence::Doubtful
    } else {
        DropoutEvidence::Irregular
    }
}
