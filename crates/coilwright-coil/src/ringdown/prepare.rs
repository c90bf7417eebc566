use super::RingDownOptions;
use crate::FitError;
use crate::model::{Limits, Record};
use std::f64::consts::{PI, TAU};

/// Samples per record that the smallest model needs: DC, amplitude, phase, frequency, decay and three to judge by.
const LEAST_SAMPLES: usize = 8;
/// Highest apparent frequency of a mode, as part of half the sample rate.
const UPPER_EDGE: f64 = 0.98;
/// Cycles in the longest record from which a disturbance is told from a level.
const LEAST_CYCLES: f64 = 0.25;
/// Largest decay, nepers per sample.
const LARGEST_DECAY: f64 = 2.0;
/// Smallest decay, nepers over the longest record.
const SMALLEST_DECAY: f64 = 1e-3;

/// A checked call.
#[derive(Clone, Debug)]
pub(crate) struct Prepared {
    pub(crate) records: Vec<Record>,
    pub(crate) sample_rate_hz: f64,
    /// Where the ring may lie.
    pub(crate) band: Limits,
    /// Where anything that disturbs it may lie.
    pub(crate) wide: Limits,
    /// Least noise variance that the samples can carry: the step of the quantiser, or of f32 at the largest sample.
    pub(crate) floor_variance: f64,
    pub(crate) options: RingDownOptions,
}

impl Prepared {
    /// Samples in the longest record.
    pub(crate) fn longest(&self) -> usize {
        self.records
            .iter()
            .map(|r| r.samples.len())
            .max()
            .unwrap_or(0)
    }
}

/// Checks the call and takes each record's mean and energy.
pub(crate) fn prepare(
    records: &[&[f32]],
    sample_rate_hz: f64,
    options: &RingDownOptions,
) -> Result<Prepared, FitError> {
    if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
        return Err(FitError::BadSampleRate {
            found_hz: sample_rate_hz,
        });
    }
    for (record, samples) in records.iter().enumerate() {
        if samples.len() < LEAST_SAMPLES {
            return Err(FitError::TooFewSamples {
                record,
                found: samples.len(),
                needed: LEAST_SAMPLES,
            });
        }
        if let Some(index) = samples.iter().position(|x| !x.is_finite()) {
            return Err(FitError::NotFinite { record, index });
        }
    }
    let longest = records
        .iter()
        .map(|r| r.len())
        .max()
        .ok_or(FitError::NoRecords)?;
    let alpha = (SMALLEST_DECAY / longest as f64, LARGEST_DECAY);
    let omega = band(options.search_band_hz, sample_rate_hz, longest)?;
    let lowest = LEAST_CYCLES * TAU / longest as f64;
    let wide = (lowest.min(omega.0), (UPPER_EDGE * PI).max(omega.1));
    let peak = records
        .iter()
        .copied()
        .flatten()
        .fold(0.0_f32, |peak, x| peak.max(x.abs()));
    let step = options
        .quantisation_step
        .max(f64::from(f32::EPSILON) * f64::from(peak));
    Ok(Prepared {
        records: records.iter().map(|r| Record::new(r)).collect(),
        sample_rate_hz,
        band: Limits { omega, alpha },
        wide: Limits { omega: wide, alpha },
        floor_variance: step * step / 12.0,
        options: *options,
    })
}

fn band(
    band_hz: Option<(f64, f64)>,
    sample_rate_hz: f64,
    longest: usize,
) -> Result<(f64, f64), FitError> {
    let nyquist_hz = 0.5 * sample_rate_hz;
    let (low_hz, high_hz) =
        band_hz.unwrap_or((sample_rate_hz / longest as f64, UPPER_EDGE * nyquist_hz));
    if !(low_hz > 0.0 && low_hz < high_hz && high_hz <= nyquist_hz) {
        return Err(FitError::BadSearchBand {
            low_hz,
            high_hz,
            nyquist_hz,
        });
    }
    Ok((
        low_hz * TAU / sample_rate_hz,
        high_hz * TAU / sample_rate_hz,
    ))
}
