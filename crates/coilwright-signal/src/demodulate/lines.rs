use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use super::band::{Band, LINE_BINS, Powers};
use super::model::Line;

/// A line counts from this power over the noise of a bin.
const OVER_NOISE: f64 = 100.0;
/// A line counts from this share of everything that stands out of the noise.
const SHARE: f64 = 0.05;
/// A line on one side of the carrier, this many times its mirror image, is not modulation.
const ONE_SIDED: f64 = 10.0;
/// Lines on both sides are taken out only where they make up this share of everything.
const ALMOST_ALL: f64 = 0.7;
/// More lines than this are no lines but a spectrum.
const MAX_LINES: usize = 6;

/// The narrow lines in `band`, sampled at `rate_hz`, that no key makes, as frequencies in cycles per value: lines on
/// one side of the carrier only, and pairs that outweigh all else away from the multiples of the bit rates.
pub(super) fn find(band: &Band, rate_hz: f64, bit_rates_hz: &[f64]) -> Vec<f64> {
    let powers = band.powers();
    let noise = band.noise_bin();
    let standing_out = powers.above(0, 4.0 * noise);
    let outstanding: f64 = standing_out.map(|bin| powers.at(bin)).sum();
    let resolution_hz = rate_hz / powers.len() as f64;
    let peaks = peaks(
        powers,
        (OVER_NOISE * noise).max(SHARE / (2 * LINE_BINS + 1) as f64 * outstanding),
        SHARE * outstanding,
    );
    let one_sided = |peak: &&Peak| peak.power > ONE_SIDED * powers.around(powers.len() - peak.bin);
    let chosen: Vec<Peak> = peaks.iter().filter(one_sided).copied().collect();
    let chosen = if chosen.is_empty() {
        symmetric(
            &peaks,
            outstanding,
            resolution_hz,
            powers.len(),
            bit_rates_hz,
        )
    } else {
        chosen
    };
    chosen
        .iter()
        .map(|peak| signed(peak.bin, powers.len()) / powers.len() as f64)
        .collect()
}

/// Takes the lines near `starts` (cycles per value) out of `values`, at `rate_hz`.
pub(super) fn remove(values: &mut [Complex32], starts: &[f64], rate_hz: f64) -> Vec<Line> {
    starts
        .iter()
        .map(|&start| {
            let (frequency, amplitude) = subtract(values, start);
            Line {
                offset_hz: frequency * rate_hz,
                level_dbc: 20.0 * amplitude.max(1e-30).log10(),
            }
        })
        .collect()
}

#[derive(Clone, Copy)]
struct Peak {
    bin: usize,
    power: f64,
}

/// The strongest bins that stand alone, strongest first.
fn peaks(powers: Powers<'_>, least: f64, least_sum: f64) -> Vec<Peak> {
    let mut strong: Vec<usize> = powers.above(1, least).collect();
    strong.sort_by(|&a, &b| powers.at(b).total_cmp(&powers.at(a)));
    let mut peaks: Vec<Peak> = Vec::new();
    for bin in strong {
        if peaks.len() == MAX_LINES {
            break;
        }
        if peaks
            .iter()
            .all(|peak| peak.bin.abs_diff(bin) > 2 * LINE_BINS)
        {
            let power = powers.around(bin);
            if power < least_sum {
                break;
            }
            peaks.push(Peak { bin, power });
        }
    }
    peaks
}

/// Pairs that make up almost everything and lie off the grid of the bit rates.
fn symmetric(
    peaks: &[Peak],
    outstanding: f64,
    resolution_hz: f64,
    count: usize,
    bit_rates_hz: &[f64],
) -> Vec<Peak> {
    let off_grid = |peak: &&Peak| {
        let offset_hz = signed(peak.bin, count).abs() * resolution_hz;
        bit_rates_hz.iter().all(|rate_hz| {
            let halves = offset_hz / (rate_hz / 2.0);
            (halves - halves.round()).abs() * rate_hz / 2.0 > 3.0 * resolution_hz
        })
    };
    let pairs: Vec<Peak> = peaks.iter().filter(off_grid).copied().collect();
    let share = pairs.iter().map(|peak| peak.power).sum::<f64>() / outstanding.max(1e-300);
    if share > ALMOST_ALL {
        pairs
    } else {
        Vec::new()
    }
}

fn signed(bin: usize, count: usize) -> f64 {
    if bin <= count / 2 {
        bin as f64
    } else {
        bin as f64 - count as f64
    }
}

/// Fits a e^(j2πft) from a start for f, in cycles per value, subtracts it and returns f and |a|.
///
/// The phase between the sums over the two halves of the record corrects the frequency.
fn subtract(values: &mut [Complex32], start: f64) -> (f64, f64) {
    let half = values.len() / 2;
    let mut frequency = start;
    for _ in 0..4 {
        let first = correlate(&values[..half], frequency, 0);
        let second = correlate(&values[half..2 * half], frequency, half);
        frequency += (second * first.conj()).arg() / (TAU * half as f64);
    }
    let amplitude = correlate(values, frequency, 0) / values.len() as f64;
    let mut tone = amplitude;
    let turn = Complex64::cis(TAU * frequency);
    for value in values.iter_mut() {
        *value -= Complex32::new(tone.re as f32, tone.im as f32);
        tone *= turn;
    }
    (frequency, amplitude.norm())
}

fn correlate(values: &[Complex32], frequency: f64, first: usize) -> Complex64 {
    let turn = Complex64::cis(-TAU * frequency);
    let mut phasor = Complex64::cis(-TAU * (frequency * first as f64).fract());
    let mut sum = Complex64::default();
    for value in values {
        sum += phasor * Complex64::new(value.re.into(), value.im.into());
        phasor *= turn;
    }
    sum
}
