//! The bit clock where the carrier's frequency is not in the samples: behind a detector or a receiver.

use num_complex::Complex32;

use super::timing::best_start;
use crate::dsp::{RunningSum, fourier};

/// Carriers from 3 % under 125 kHz to 3 % over 134.2 kHz.
const CARRIER_HZ: (f64, f64) = (121_250.0, 138_200.0);
/// Bits in a block that is short enough for an uncertain clock.
const BLOCK_BITS: f64 = 96.0;

/// The carrier period in values that the signal's own bit clock shows, if bits are `clocks` carrier periods long.
///
/// The energy of the matched filter, sliding over the signal, has a line at the bit rate.
pub(super) fn carrier_period(values: &[Complex32], clocks: u32, rate_hz: f64) -> Option<f64> {
    let middle_hz = 0.5 * (CARRIER_HZ.0 + CARRIER_HZ.1);
    let half = (f64::from(clocks) * rate_hz / middle_hz / 2.0).round() as usize;
    let mut energy = sliding_energy(values, half.max(1));
    if energy.len() < 24 * half.max(1) {
        return None;
    }
    let length = energy.len();
    let mean = energy.iter().map(|z| z.re).sum::<f32>() / length as f32;
    for (n, value) in energy.iter_mut().enumerate() {
        let window = (std::f32::consts::PI * (n as f32 + 0.5) / length as f32)
            .sin()
            .powi(2);
        *value = Complex32::from((value.re - mean) * window);
    }
    energy.resize(fourier::fast_length(2 * length), Complex32::default());
    fourier::forward(&mut energy);
    let bin_of = |carrier_hz: f64| carrier_hz / f64::from(clocks) / rate_hz * energy.len() as f64;
    let bins = bin_of(CARRIER_HZ.0).floor() as usize..=bin_of(CARRIER_HZ.1).ceil() as usize;
    let at = |bin: usize| energy.get(bin).map_or(0.0, |z| f64::from(z.norm()));
    let best = bins.max_by(|&a, &b| at(a).total_cmp(&at(b)))?;
    let (left, centre, right) = (at(best - 1), at(best), at(best + 1));
    let curvature = left - 2.0 * centre + right;
    let offset = if curvature < 0.0 {
        0.5 * (left - right) / curvature
    } else {
        0.0
    };
    let bit_period = energy.len() as f64 / (best as f64 + offset);
    Some(bit_period / f64::from(clocks))
}

/// |first half-bit less second|² at every position.
fn sliding_energy(values: &[Complex32], half: usize) -> Vec<Complex32> {
    let mut sum = Complex32::default();
    let sums: Vec<Complex32> = std::iter::once(sum)
        .chain(values.iter().map(|value| {
            sum += value;
            sum
        }))
        .collect();
    sums.windows(2 * half + 1)
        .map(|window| {
            Complex32::from((window[half] * 2.0 - window[0] - window[2 * half]).norm_sqr())
        })
        .collect()
}

/// The bit period, refined from one that drifts by less than half a bit over a block of bits: a line through the bit
/// phases of the blocks.
pub(super) fn refine(along: &[f32], period: f64) -> f64 {
    let block = (BLOCK_BITS * period).round();
    let starts: Vec<f64> = along
        .chunks_exact(block as usize)
        .map(|chunk| best_start(&RunningSum::of(chunk), period))
        .collect();
    if starts.len() < 2 {
        return period;
    }
    // The symbols of block k begin at k·block + start; off by a whole number of periods plus a drift.
    let mut drift = 0.0;
    let mut before = starts[0];
    let drifts: Vec<f64> = starts
        .iter()
        .map(|&start| {
            let step = start - before + block - BLOCK_BITS * period;
            drift += step - (step / period).round() * period;
            before = start;
            drift
        })
        .collect();
    let centre = (drifts.len() as f64 - 1.0) / 2.0;
    let spread: f64 = (0..drifts.len()).map(|k| (k as f64 - centre).powi(2)).sum();
    let slope = drifts
        .iter()
        .enumerate()
        .map(|(k, drift)| (k as f64 - centre) * drift)
        .sum::<f64>()
        / spread;
    period * (1.0 + slope / block)
}
