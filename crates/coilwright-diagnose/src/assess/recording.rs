//! Whether the recording itself can carry an answer, and what else is in it.

use coilwright_signal::quality::{Quality, QualityFinding, QualityKind};

use crate::evidence::{InterferenceEvidence, RecordingEvidence};
use crate::measure::Measured;
use crate::result::{Finding, FindingId, SignalKind, Weight};
use crate::words::percent;

/// Shortest recording in which a frame can be read: 64 bits of 32 cycles at 125 kHz last 16 ms.
const SHORTEST_S: f64 = 0.016;
/// Sample rate under which a carrier of 125 kHz is only seen folded, and only if the recorder does not filter it away.
const SHOWS_CARRIER_HZ: f64 = 260e3;
/// Share of clipped samples from which the carrier's level means nothing.
const CLIPPED_AWAY: f64 = 0.1;
/// Steps under which a recording shows next to nothing.
const FEWEST_STEPS: f64 = 6.0;
/// Depth that a key must have to be heard, from which a recording is too noisy for any key.
const DEAF_DEPTH: f64 = 0.05;
/// Distance from the carrier within which a line disturbs a key, in hertz: twice the bit rate of 16 cycles a bit.
const KEY_BAND_HZ: f64 = 16e3;
/// Level of a line that hides a key of usual depth, in decibels of the carrier: 2 % of it.
const HIDING_DBC: f64 = -34.0;
/// Level of a line that can be seen in a key's band but hides none, in decibels of the carrier.
const MILD_DBC: f64 = -46.0;

pub(super) fn recording(measured: &Measured, findings: &mut Vec<Finding>) -> RecordingEvidence {
    let mut evidence = samples(measured, findings);
    for (applies, text, value, limit, unit) in unfit(measured) {
        if applies {
            findings.push(Finding {
                id: FindingId::CaptureTooPoor,
                weight: Weight::Decisive,
                text,
                value: Some(value),
                limit: Some(limit),
                unit,
                origin: "common practice, no source",
            });
            evidence = RecordingEvidence::Unfit;
        }
    }
    evidence
}

/// What is wrong with the samples themselves, whatever they hold.
pub(super) fn samples(measured: &Measured, findings: &mut Vec<Finding>) -> RecordingEvidence {
    let mut evidence = RecordingEvidence::Fit;
    for found in &measured.quality.findings {
        // What lies beside the pings of a ring-down belongs to their own spectrum.
        if measured.is_ring_down() && found.kind == QualityKind::InterferenceLine {
            continue;
        }
        let (finding, this) = quality(found, measured);
        findings.push(finding);
        evidence = worse(evidence, this);
    }
    evidence
}

fn unfit(measured: &Measured) -> [(bool, String, f64, f64, &'static str); 3] {
    let capture = &measured.capture;
    let deaf = measured.listening.visible_depth.unwrap_or(0.0);
    let silent = measured.keys.iter().all(|key| key.frame.is_none());
    [
        (
            capture.duration_s < SHORTEST_S,
            format!(
                "The recording lasts {:.1} ms, which is shorter than a key's frame.",
                1e3 * capture.duration_s
            ),
            capture.duration_s,
            SHORTEST_S,
            "s",
        ),
        (
            measured.signal.kind == SignalKind::NoCarrier
                && capture.sample_rate_hz < SHOWS_CARRIER_HZ,
            format!(
                "At {:.0} kS/s a carrier of 125 kHz can only be seen folded, and a sound card's own filter takes it away: no carrier here does not mean no field.",
                capture.sample_rate_hz / 1e3
            ),
            capture.sample_rate_hz,
            SHOWS_CARRIER_HZ,
            "Hz",
        ),
        (
            silent && deaf > DEAF_DEPTH,
            format!(
                "The recording is so noisy that only a key that moves the carrier by more than {} would be heard.",
                percent(deaf)
            ),
            deaf,
            DEAF_DEPTH,
            "",
        ),
    ]
}

fn worse(a: RecordingEvidence, b: RecordingEvidence) -> RecordingEvidence {
    use RecordingEvidence::{Doubtful, Fit, Unfit};
    match (a, b) {
        (Unfit, _) | (_, Unfit) => Unfit,
        (Doubtful, _) | (_, Doubtful) => Doubtful,
        (Fit, Fit) => Fit,
    }
}

/// What the recorder lost, and how much.
fn lost(kind: QualityKind, quality: &Quality) -> String {
    let (what, lost) = match kind {
        QualityKind::RepeatedSamples => ("wrote what came before once more", &quality.repeated),
        _ => (
            "lost samples and filled them with one value",
            &quality.stuck,
        ),
    };
    let places = if lost.count == 1 { "place" } else { "places" };
    let (samples, count) = (lost.samples, lost.count);
    format!("The recorder {what}: {samples} samples in {count} {places}.")
}

/// The finding in plain words, and what it means for the recording.
fn quality(found: &QualityFinding, measured: &Measured) -> (Finding, RecordingEvidence) {
    use RecordingEvidence::{Doubtful, Fit, Unfit};
    let value = found.value;
    let (id, text, evidence) = match found.kind {
        QualityKind::ClippedAtFullScale | QualityKind::ClippedBelowFullScale => (
            FindingId::Clipping,
            format!(
                "The recording is clipped ({} of its samples): turn the level down.",
                percent(measured.quality.clipping.fraction)
            ),
            if measured.quality.clipping.fraction > CLIPPED_AWAY {
                Unfit
            } else {
                Doubtful
            },
        ),
        QualityKind::NotFinite => (
            FindingId::SamplesLost,
            format!("{value:.0} values are not numbers and were taken as 0."),
            Doubtful,
        ),
        QualityKind::StuckSamples | QualityKind::RepeatedSamples => (
            FindingId::SamplesLost,
            lost(found.kind, &measured.quality),
            Doubtful,
        ),
        QualityKind::DcOffset => (
            FindingId::DcOffset,
            format!(
                "The recording has an offset of {} of its level.",
                percent(value)
            ),
            Fit,
        ),
        QualityKind::MainsHum => (
            FindingId::Hum,
            format!(
                "Mains hum of {:.0} Hz lies {value:.0} dB over the signal (negative: under it).",
                found.frequency_hz.unwrap_or_default()
            ),
            Fit,
        ),
        QualityKind::InterferenceLine => (
            FindingId::Interference,
            format!(
                "A line at {:.2} kHz, {value:.0} dB of the carrier, belongs to neither drive nor key.",
                found.frequency_hz.unwrap_or_default() / 1e3
            ),
            Fit,
        ),
        QualityKind::FewSteps => (
            FindingId::Quantisation,
            format!("The signal spans only {value:.0} steps of the converter: turn the level up."),
            if value < FEWEST_STEPS {
                Unfit
            } else {
                Doubtful
            },
        ),
        QualityKind::SynchronousSampling => (
            FindingId::Quantisation,
            format!(
                "The sampling clock keeps step with the carrier, {:.2} samples a cycle, and the signal spans only {value:.0} steps: rounding errors repeat in each cycle and do not average out. Sample a little faster or slower.",
                measured.capture.sample_rate_hz
                    / measured.carrier.apparent_hz.unwrap_or(f64::NAN).abs()
            ),
            Fit,
        ),
        QualityKind::Flat => (
            FindingId::CaptureTooPoor,
            "The recording holds nothing but one value.".to_owned(),
            Unfit,
        ),
        _ => (
            FindingId::CaptureTooPoor,
            format!("{:?}: {value}.", found.kind),
            Doubtful,
        ),
    };
    let finding = Finding {
        id,
        weight: match evidence {
            Fit => Weight::Minor,
            Doubtful => Weight::Notable,
            Unfit => Weight::Decisive,
        },
        text,
        value: Some(value),
        limit: Some(found.limit),
        unit: "",
        origin: "common practice, no source",
    };
    (finding, evidence)
}

pub(super) fn interference(
    measured: &Measured,
    findings: &mut Vec<Finding>,
) -> InterferenceEvidence {
    let apparent_hz = measured.carrier.apparent_hz.unwrap_or_default();
    let near = measured
        .quality
        .interference
        .iter()
        .filter(|line| (line.frequency_hz - apparent_hz).abs() < KEY_BAND_HZ)
        .map(|line| line.level_db);
    let strongest = near
        .chain(measured.listening.strongest_line_dbc)
        .reduce(f64::max);
    let evidence = match strongest {
        Some(level) if level > HIDING_DBC => InterferenceEvidence::Strong,
        Some(level) if level > MILD_DBC => InterferenceEvidence::Mild,
        _ => InterferenceEvidence::None,
    };
    if let (Some(level), InterferenceEvidence::Strong) = (strongest, evidence) {
        findings.push(Finding {
            id: FindingId::Interference,
            weight: Weight::Decisive,
            text: format!("A line {level:.0} dB of the carrier lies in a key's band: it can hide a key's answer."),
            value: Some(level),
            limit: Some(HIDING_DBC),
            unit: "dB",
            origin: "2 % of the carrier: a key of usual depth",
        });
    }
    evidence
}
