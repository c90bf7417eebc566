use serde::Serialize;

use super::fold::{folded_hz, origins};
use super::spectrum::Spectrum;

/// The carriers of the trade: 125 kHz, and 134.2 kHz of ISO 11785.
pub(super) const NOMINAL_HZ: [f64; 2] = [125_000.0, 134_200.0];
/// A carrier that is seen directly may lie anywhere here.
pub(super) const DIRECT_HZ: (f64, f64) = (100_000.0, 150_000.0);
/// A folded carrier is believed this near to a nominal frequency.
const FOLDED_TOLERANCE: f64 = 0.03;
/// White noise reaches this over its median in 1 of 50 000 spectra of 2^17 samples.
pub(super) const LEAST_OVER_FLOOR: f64 = 5.6;
/// The strongest peaks are looked at.
const PEAKS: usize = 24;
/// Drive harmonics up to this one are recognised.
const HARMONICS: u32 = 16;
/// A folded harmonic can show this many times the carrier's level, where a broken ring resonates there.
const HARMONIC_GAIN: f64 = 300.0;

/// A line that may be the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// Where the line appears.
    pub apparent_hz: f64,
    /// Its frequency in the air, if it is the carrier.
    pub true_hz: f64,
    /// The nominal frequency nearest to that.
    pub nominal_hz: f64,
    /// The zone of half a sample rate that the frequency lies in, from 1.
    pub zone: u32,
    /// Amplitude in the unit of the samples.
    pub amplitude: f64,
    /// Level over the median of the spectrum, in decibels.
    pub peak_over_floor_db: f64,
    /// The stronger reading: the line whose harmonic this one is.
    pub harmonic_of_hz: Option<f64>,
}

/// A peak of the spectrum.
#[derive(Clone, Copy)]
struct Peak {
    frequency_hz: f64,
    amplitude: f64,
}

/// Every line that may be the carrier, the likeliest first: those that are no harmonic of another line before those
/// that are, then by level.
pub(super) fn candidates(
    spectrum: &Spectrum,
    sample_rate_hz: f64,
    nominal_hz: &[f64],
) -> Vec<Candidate> {
    let floor = spectrum.floor();
    let peaks: Vec<Peak> = spectrum
        .peaks(floor * LEAST_OVER_FLOOR, PEAKS)
        .into_iter()
        .map(|bin| Peak {
            frequency_hz: spectrum.interpolate(bin) * sample_rate_hz,
            amplitude: spectrum.magnitude[bin],
        })
        .collect();
    let mut found: Vec<Candidate> = peaks
        .iter()
        .flat_map(|peak| readings(*peak, sample_rate_hz, nominal_hz, floor))
        .collect();
    let tolerance_hz = 2.0 * spectrum.bin * sample_rate_hz;
    let lines = found.clone();
    for candidate in &mut found {
        candidate.harmonic_of_hz = drive_of(candidate, &lines, sample_rate_hz, tolerance_hz)
            .or_else(|| converter_of(candidate, &peaks, tolerance_hz));
    }
    found.sort_by(|a, b| {
        let key = |c: &Candidate| c.harmonic_of_hz.is_some();
        key(a)
            .cmp(&key(b))
            .then(b.amplitude.total_cmp(&a.amplitude))
            .then(off_nominal(a).total_cmp(&off_nominal(b)))
    });
    found
}

/// The frequencies in the air that a peak may stand for.
fn readings(
    peak: Peak,
    sample_rate_hz: f64,
    nominal_hz: &[f64],
    floor: f64,
) -> impl Iterator<Item = Candidate> {
    origins(peak.frequency_hz, sample_rate_hz, DIRECT_HZ)
        .into_iter()
        .filter_map(move |origin| {
            let nominal_hz = nominal_hz.iter().copied().min_by(|a, b| {
                (a - origin.true_hz)
                    .abs()
                    .total_cmp(&(b - origin.true_hz).abs())
            })?;
            let near = (origin.true_hz / nominal_hz - 1.0).abs() <= FOLDED_TOLERANCE;
            (origin.zone == 1 || near).then_some(Candidate {
                apparent_hz: peak.frequency_hz,
                true_hz: origin.true_hz,
                nominal_hz,
                zone: origin.zone,
                amplitude: peak.amplitude,
                peak_over_floor_db: 20.0 * (peak.amplitude / floor.max(1e-300)).log10(),
                harmonic_of_hz: None,
            })
        })
}

fn off_nominal(candidate: &Candidate) -> f64 {
    (candidate.true_hz / candidate.nominal_hz - 1.0).abs()
}

/// The other candidate whose folded harmonic this line is.
fn drive_of(
    line: &Candidate,
    lines: &[Candidate],
    sample_rate_hz: f64,
    tolerance_hz: f64,
) -> Option<f64> {
    lines
        .iter()
        .filter(|drive| (drive.apparent_hz - line.apparent_hz).abs() > tolerance_hz)
        .filter(|drive| drive.amplitude * HARMONIC_GAIN > line.amplitude)
        .find(|drive| {
            (2..=HARMONICS).any(|order| {
                let folded = folded_hz(f64::from(order) * drive.true_hz, sample_rate_hz);
                (folded - line.apparent_hz).abs() < tolerance_hz
            })
        })
        .map(|drive| drive.true_hz)
}

/// A stronger line below the carrier band whose harmonic this line is, as of a switch-mode converter.
fn converter_of(line: &Candidate, peaks: &[Peak], tolerance_hz: f64) -> Option<f64> {
    /// Only the strongest peaks: among many, some multiple fits by chance.
    const STRONGEST: usize = 4;
    /// Hum has harmonics everywhere.
    const LOWEST_HZ: f64 = 10_000.0;
    peaks
        .iter()
        .take(STRONGEST)
        .filter(|peak| {
            peak.frequency_hz > LOWEST_HZ
                && peak.frequency_hz < DIRECT_HZ.0
                && peak.amplitude > line.amplitude
        })
        .find(|peak| {
            let order = (line.true_hz / peak.frequency_hz).round();
            order >= 2.0
                && (order * peak.frequency_hz - line.true_hz).abs() < tolerance_hz
                && line.zone == 1
        })
        .map(|peak| peak.frequency_hz)
}
