use std::f64::consts::TAU;

use num_complex::Complex64;

use crate::dsp::fourier;

/// The power spectrum of real samples under a Hann window, from 0 to half the sample rate.
#[derive(Clone, Debug)]
pub(crate) struct Spectrum {
    /// Magnitude of each bin, scaled so that a tone in the middle of a bin shows its amplitude.
    pub magnitude: Vec<f64>,
    /// Width of a bin in cycles per sample.
    pub bin: f64,
}

impl Spectrum {
    /// The spectrum of `samples` after their mean was taken off; zeros fill them up to a fast length.
    pub(crate) fn of(samples: &[f32]) -> Self {
        let mean = samples.iter().map(|&x| f64::from(x)).sum::<f64>() / samples.len().max(1) as f64;
        let length = fourier::fast_length(samples.len());
        let mut values = Vec::with_capacity(length);
        let windowed = samples
            .iter()
            .zip(hann(samples.len()))
            .map(|(&x, w)| (f64::from(x) - mean) as f32 * w);
        values.extend(windowed);
        values.resize(length, 0.0);
        let scale = 4.0 / samples.len().max(1) as f64;
        Self {
            magnitude: fourier::forward_real(&values)
                .iter()
                .map(|z| f64::from(z.norm()) * scale)
                .collect(),
            bin: 1.0 / length as f64,
        }
    }

    /// The median magnitude, which the noise alone decides.
    pub(crate) fn floor(&self) -> f64 {
        let mut sorted = self.magnitude.clone();
        let middle = sorted.len() / 2;
        *sorted.select_nth_unstable_by(middle, f64::total_cmp).1
    }

    /// The strongest peaks above `least`, strongest first, at most `count`; what is only the skirt of a stronger
    /// peak is left out.
    pub(crate) fn peaks(&self, least: f64, count: usize) -> Vec<usize> {
        /// A Hann window is down by more than its side lobes outside of this many bins.
        const SKIRT: usize = 12;
        /// Side lobes of a Hann window under its peak.
        const SIDE_LOBE: f64 = 0.026;
        let at = |k: usize| self.magnitude.get(k).copied().unwrap_or_default();
        let mut local: Vec<usize> = (2..self.magnitude.len())
            .filter(|&k| at(k) > least && at(k) >= at(k - 1) && at(k) > at(k + 1))
            .collect();
        local.sort_by(|&a, &b| at(b).total_cmp(&at(a)));
        let mut peaks: Vec<usize> = Vec::new();
        for bin in local {
            let skirt =
                |&peak: &usize| peak.abs_diff(bin) <= SKIRT && at(bin) < SIDE_LOBE * 2.0 * at(peak);
            if !peaks.iter().any(skirt) {
                peaks.push(bin);
            }
            if peaks.len() == count {
                break;
            }
        }
        peaks
    }

    /// The strongest bin with its frequency inside `low..high` cycles per sample, if there is one.
    pub(crate) fn strongest(&self, low: f64, high: f64) -> Option<usize> {
        let first = (low / self.bin).ceil().max(1.0) as usize;
        let last = ((high / self.bin).floor() as usize).min(self.magnitude.len().saturating_sub(2));
        (first..=last).max_by(|&a, &b| self.magnitude[a].total_cmp(&self.magnitude[b]))
    }

    /// The frequency of the tone behind the peak at `bin`, by the parabola through the logarithms, in cycles per
    /// sample. Good to a few hundredths of a bin.
    pub(crate) fn interpolate(&self, bin: usize) -> f64 {
        let at = |k: usize| {
            self.magnitude
                .get(k)
                .copied()
                .unwrap_or_default()
                .max(1e-300)
                .ln()
        };
        let (left, middle, right) = (at(bin.saturating_sub(1)), at(bin), at(bin + 1));
        let curvature = left - 2.0 * middle + right;
        let offset = if curvature < 0.0 {
            (0.5 * (left - right) / curvature).clamp(-0.5, 0.5)
        } else {
            0.0
        };
        (bin as f64 + offset) * self.bin
    }
}

/// A Hann window of `length` points.
pub(crate) fn hann(length: usize) -> impl Iterator<Item = f32> {
    let step = Complex64::cis(TAU / length.max(1) as f64);
    let mut turn = Complex64::cis(0.5 * TAU / length.max(1) as f64);
    (0..length).map(move |_| {
        let value = 0.5 - 0.5 * turn.re;
        turn *= step;
        value as f32
    })
}
