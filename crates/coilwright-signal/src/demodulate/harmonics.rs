//! Harmonics of the drive that fold next to the carrier.
//!
//! A drive of frequency f has lines at n f; sampled at fs they appear at ±n f modulo fs. Where fs is near a whole
//! multiple of f, as 500 kS/s and 1 MS/s are of 125 kHz, every few orders one lands beside the carrier, on both sides,
//! with a spacing of (fs/f) times what f is off its round value: a comb in the middle of the modulation. Since the
//! carrier is measured, every place is known.

use std::f64::consts::TAU;

use num_complex::{Complex32, Complex64};

use super::band::{Band, UPPER_EDGE};
use super::deviation::{Deviation, Stretch};
use super::model::Line;
use crate::capture::SampleKind;
use crate::carrier::SignalKind;
use crate::dsp::fourier;

/// Highest order that is looked for: of a square wave, a hundredth of the fundamental's voltage.
const HIGHEST_ORDER: i32 = 101;
/// A harmonic stands out from this many times the strongest other bin round it: frames that repeat have lines of their
/// own, of much the same height.
const OVER_NEIGHBOURS: f64 = 2.0;
/// How far round a harmonic the others are looked at: the lines of a repeated frame are at most 245 Hz apart.
const NEIGHBOURS_HZ: f64 = 300.0;
/// A harmonic stands out from this power over the noise of one bin: the sum of five bins of noise reaches it once in
/// 60 000 times.
const OVER_NOISE: f64 = 20.0;
/// The same where the comb is so close that nothing else lies between.
const OVER_NOISE_ALONE: f64 = 100.0;
/// Its neighbours keep this many bins away.
const BINS: usize = 5;
/// Lines that reach into each other are taken out in this many turns.
const TURNS: usize = 3;

/// Where harmonics lie in a deviation, in cycles per value, if they pass its filter. Empty where the samples do not show the
/// carrier itself.
pub(super) fn places(stretch: &Stretch<'_>, deviation: &Deviation) -> Vec<f64> {
    offsets(stretch, deviation)
        .filter(|place| place.abs() < UPPER_EDGE)
        .collect()
}

fn offsets(stretch: &Stretch<'_>, deviation: &Deviation) -> impl Iterator<Item = f64> + use<> {
    let shows_carrier = matches!(
        stretch.carrier.kind,
        SignalKind::Direct | SignalKind::Aliased { .. }
    );
    let highest = if stretch.kind == SampleKind::Real && shows_carrier {
        HIGHEST_ORDER
    } else {
        1
    };
    // What is folded already folds the same way from its apparent place.
    let carrier =
        (stretch.carrier.apparent_hz + deviation.level.offset_hz) / stretch.sample_rate_hz;
    let step = deviation.step;
    (2..=highest)
        .flat_map(|order| [order, -order])
        // The carrier of negative frequency, which a real signal has as well.
        .chain((highest > 1).then_some(-1))
        .map(move |order| {
            let offset = f64::from(order - 1) * carrier;
            (offset - offset.round()) * step
        })
}

/// The `places` where a line stands out of `band`, sampled at `rate_hz`, and is not the side of a stronger one nearby.
pub(super) fn standing_out(band: &Band, places: &[f64], rate_hz: f64) -> Vec<f64> {
    if places.is_empty() {
        return Vec::new();
    }
    let powers = band.powers();
    let noise = band.noise_bin();
    let count = powers.len();
    let bins: Vec<usize> = places.iter().map(|place| bin_of(*place, count)).collect();
    let mut is_known = vec![false; count];
    for &bin in &bins {
        (count + bin - BINS..=count + bin + BINS).for_each(|near| is_known[near % count] = true);
    }
    let reach = ((NEIGHBOURS_HZ / rate_hz * count as f64) as usize).min(count / 2);
    let strongest_other = |bin: usize| {
        let near = (bin + count - reach..=bin + count + reach).map(|index| index % count);
        near.filter(|&index| !is_known[index])
            .map(|index| powers.around(index))
            .max_by(f64::total_cmp)
    };
    let is_peak = |bin: usize| {
        let most = (count + bin - 1..=count + bin + 1).map(|near| powers.at(near));
        let most = most.fold(0.0, f64::max);
        (count + bin - BINS..=count + bin + BINS).all(|near| powers.at(near) <= most)
    };
    let stands_out = |bin: usize| {
        let power = powers.around(bin);
        power > OVER_NOISE * noise
            && is_peak(bin)
            && match strongest_other(bin) {
                Some(most) => power > OVER_NEIGHBOURS * most,
                None => power > OVER_NOISE_ALONE * noise,
            }
    };
    let chosen = places
        .iter()
        .zip(&bins)
        .filter(|&(_, &bin)| stands_out(bin));
    chosen.map(|(&place, _)| place).collect()
}

/// The `places` where anything at all is above the noise of `band`.
pub(super) fn above_noise(band: &Band, places: &[f64]) -> Vec<f64> {
    let powers = band.powers();
    let least = OVER_NOISE * band.noise_bin();
    let is_above = |place: &&f64| powers.around(bin_of(**place, powers.len())) > least;
    places.iter().filter(is_above).copied().collect()
}

/// The `places` where `values`, of which noise alone has `noise_power` each, have a line.
pub(super) fn present(values: &[Complex32], places: &[f64], noise_power: f64) -> Vec<f64> {
    let mut bins = values.to_vec();
    bins.resize(fourier::fast_length(2 * values.len()), Complex32::default());
    fourier::forward(&mut bins);
    let least = OVER_NOISE * noise_power * values.len() as f64;
    let is_present = |place: &&f64| {
        let power = bins[bin_of(**place, bins.len())].norm_sqr();
        f64::from(power) > least
    };
    places.iter().filter(is_present).copied().collect()
}

/// The bin of a frequency in cycles per value among `count`.
fn bin_of(place: f64, count: usize) -> usize {
    (place * count as f64).round().rem_euclid(count as f64) as usize % count
}

/// Takes the lines at exactly `places` (cycles per value) out of `values`, at `rate_hz`.
pub(super) fn remove(values: &mut [Complex32], places: &[f64], rate_hz: f64) -> Vec<Line> {
    let mut amplitudes = vec![Complex64::default(); places.len()];
    let turns = if places.len() > 1 { TURNS } else { 1 };
    for _ in 0..turns {
        for (amplitude, &place) in amplitudes.iter_mut().zip(places) {
            *amplitude += subtract(values, place);
        }
    }
    let line = |(amplitude, &place): (Complex64, &f64)| Line {
        offset_hz: place * rate_hz,
        level_dbc: 20.0 * amplitude.norm().max(1e-30).log10(),
    };
    amplitudes.into_iter().zip(places).map(line).collect()
}

/// Takes a e^(j2πft) out, with the a that leaves least, and returns a.
fn subtract(values: &mut [Complex32], frequency: f64) -> Complex64 {
    let turn = Complex64::cis(TAU * frequency);
    let mut phasor = Complex64::from(1.0);
    let mut sum = Complex64::default();
    for value in values.iter() {
        sum += phasor.conj() * Complex64::new(value.re.into(), value.im.into());
        phasor *= turn;
    }
    let amplitude = sum / values.len().max(1) as f64;
    let mut tone = amplitude;
    for value in values.iter_mut() {
        *value -= Complex32::new(tone.re as f32, tone.im as f32);
        tone *= turn;
    }
    amplitude
}
