use super::clipping::{FULL_SCALE_COUNT, PILE_RATIO};
use super::interference::ABOVE_FLOOR_DB;
use super::result::{LostSamples, Quality, QualityFinding, QualityKind, QualityUnit};

/// DC over the root mean square; common practice, no source.
const DC_RATIO: f64 = 0.1;
/// Hum over the signal; common practice, no source.
const HUM_DB: f64 = -40.0;
/// The hum must also stand out from what lies beside it, or it is noise.
const HUM_ABOVE_FLOOR_DB: f64 = 10.0;
/// Lines below this do not hide a readable key; common practice, no source.
const LINE_DB: f64 = -60.0;
/// Steps that the signal should span; common practice, no source.
const FEW_STEPS: f64 = 64.0;
/// Steps of 8 bits: with more, rounding is below every other noise.
const SYNCHRONOUS_STEPS: f64 = 256.0;

/// What crosses its limit.
pub(super) fn findings(quality: &Quality) -> Vec<QualityFinding> {
    let mut found = Vec::new();
    if quality.samples > 0 && quality.maximum <= quality.minimum {
        found.push(count(QualityKind::Flat, quality.samples as f64, 0.0));
    }
    if quality.not_finite > 0 {
        found.push(count(
            QualityKind::NotFinite,
            quality.not_finite as f64,
            0.0,
        ));
    }
    let clipping = &quality.clipping;
    if clipping.clipped {
        let (kind, limit) = if clipping.at_full_scale {
            (QualityKind::ClippedAtFullScale, FULL_SCALE_COUNT as f64)
        } else {
            (QualityKind::ClippedBelowFullScale, PILE_RATIO)
        };
        found.push(count(kind, clipping.count as f64, limit));
    }
    found.extend(lost(QualityKind::StuckSamples, &quality.stuck));
    found.extend(lost(QualityKind::RepeatedSamples, &quality.repeated));
    if quality.dc_offset.abs() > DC_RATIO * quality.rms {
        let value = quality.dc_offset / quality.rms;
        found.push(finding(
            QualityKind::DcOffset,
            value,
            DC_RATIO,
            QualityUnit::Ratio,
        ));
    }
    found.extend(hum(quality));
    found.extend(lines(quality));
    found.extend(steps(quality));
    found
}

fn lost(kind: QualityKind, lost: &LostSamples) -> Option<QualityFinding> {
    (lost.count > 0).then(|| QualityFinding {
        span: lost.spans.first().copied(),
        ..count(kind, lost.samples as f64, 0.0)
    })
}

fn hum(quality: &Quality) -> Option<QualityFinding> {
    let hum = quality.hum?;
    (hum.level_db > HUM_DB && hum.above_floor_db > HUM_ABOVE_FLOOR_DB).then(|| QualityFinding {
        frequency_hz: Some(hum.mains_hz),
        ..finding(
            QualityKind::MainsHum,
            hum.level_db,
            HUM_DB,
            QualityUnit::Decibel,
        )
    })
}

fn lines(quality: &Quality) -> impl Iterator<Item = QualityFinding> {
    // Clipping makes lines of its own.
    let clipped = quality.clipping.clipped;
    let lines = quality.interference.iter().filter(move |line| {
        !clipped && line.level_db > LINE_DB && line.above_floor_db > ABOVE_FLOOR_DB
    });
    lines.map(|line| QualityFinding {
        frequency_hz: Some(line.frequency_hz),
        ..finding(
            QualityKind::InterferenceLine,
            line.level_db,
            LINE_DB,
            QualityUnit::Decibel,
        )
    })
}

fn steps(quality: &Quality) -> Vec<QualityFinding> {
    let Some(quantisation) = quality.quantisation else {
        return Vec::new();
    };
    let mut found = Vec::new();
    if quantisation.steps_spanned < FEW_STEPS {
        let value = quantisation.steps_spanned;
        found.push(finding(
            QualityKind::FewSteps,
            value,
            FEW_STEPS,
            QualityUnit::Steps,
        ));
    }
    if quantisation.synchronous && quantisation.steps_spanned <= SYNCHRONOUS_STEPS {
        let value = quantisation.steps_spanned;
        found.push(finding(
            QualityKind::SynchronousSampling,
            value,
            SYNCHRONOUS_STEPS,
            QualityUnit::Steps,
        ));
    }
    found
}

fn count(kind: QualityKind, value: f64, limit: f64) -> QualityFinding {
    finding(kind, value, limit, QualityUnit::Count)
}

const fn finding(kind: QualityKind, value: f64, limit: f64, unit: QualityUnit) -> QualityFinding {
    QualityFinding {
        kind,
        value,
        limit,
        unit,
        span: None,
        frequency_hz: None,
    }
}
