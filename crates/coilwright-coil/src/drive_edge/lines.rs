use crate::model::{Baseline, DrivePrior, Line, Model};
use crate::{Estimate, FitError, RingDownOptions, Zone};
use std::f64::consts::{PI, TAU};

/// Cycles in the record by which two lines must differ.
const CLOSEST_CYCLES: f64 = 0.01;

/// The drive and its harmonics of the given orders as they are seen at a sample rate.
///
/// Harmonics above half the rate fold down. One that falls onto DC, half the rate or a line before it, closer than a
/// hundredth of a cycle in the record, is left out: it cannot be told apart there.
fn drive_lines(drive: Estimate, sample_rate_hz: f64, orders: &[u32], longest: usize) -> Model {
    let apart = CLOSEST_CYCLES * TAU / longest as f64;
    let mut lines: Vec<Line> = Vec::new();
    for &order in orders {
        let turns = f64::from(order) * drive.value / sample_rate_hz;
        let folded = turns - turns.round();
        let line = Line {
            omega: TAU * folded.abs(),
            rate: f64::from(order).copysign(folded),
        };
        let clear = line.omega > apart && line.omega < PI - apart;
        if clear
            && lines
                .iter()
                .all(|other| (other.omega - line.omega).abs() > apart)
        {
            lines.push(line);
        }
    }
    let std_dev = TAU * drive.std_dev / sample_rate_hz;
    let prior = (std_dev > 0.0 && !lines.is_empty()).then_some(DrivePrior {
        std_dev,
        offset: 0.0,
    });
    Model {
        lines,
        drive: prior,
        ..Model::default()
    }
}

/// The models of an edge in the order in which they are tried: each set of harmonics over a level, then over a slope.
pub(crate) fn edge_models(
    drive: Estimate,
    sample_rate_hz: f64,
    sets: &[&[u32]],
    longest: usize,
) -> Vec<Model> {
    let mut level: Vec<Model> = sets
        .iter()
        .map(|orders| drive_lines(drive, sample_rate_hz, orders, longest))
        .collect();
    level.dedup();
    let drift: Vec<Model> = level
        .iter()
        .map(|model| Model {
            baseline: Baseline::Drift,
            ..model.clone()
        })
        .collect();
    level.into_iter().chain(drift).collect()
}

/// Settings for an edge: the zone of the drive, and a band about it if the record is sampled directly.
pub(crate) fn edge_options(
    drive: Estimate,
    sample_rate_hz: f64,
    options: &RingDownOptions,
) -> Result<RingDownOptions, FitError> {
    if !(drive.value.is_finite()
        && drive.value > 0.0
        && drive.std_dev.is_finite()
        && drive.std_dev >= 0.0)
    {
        return Err(FitError::BadDriveFrequency {
            found_hz: drive.value,
        });
    }
    if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
        return Err(FitError::BadSampleRate {
            found_hz: sample_rate_hz,
        });
    }
    let zone = Zone::containing(drive.value, sample_rate_hz);
    let direct = zone == Zone::default();
    let about = direct.then(|| {
        (
            LOWEST * drive.value,
            (HIGHEST * drive.value).min(0.49 * sample_rate_hz),
        )
    });
    Ok(RingDownOptions {
        zone,
        search_band_hz: options.search_band_hz.or(about),
        ..*options
    })
}

/// Lowest and highest frequency of a ring over its drive that are sought.
const LOWEST: f64 = 0.3;
const HIGHEST: f64 = 4.0;
