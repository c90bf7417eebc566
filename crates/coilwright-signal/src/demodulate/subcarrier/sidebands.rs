use num_complex::{Complex32, Complex64};

use super::residual::Residual;
use crate::capture::SampleKind;
use crate::demodulate::band::BandPass;
use crate::dsp::{ComplexSums, DownConverter};

/// Filter length in output values.
const SPANS: usize = 6;
/// A sideband must keep this far from the ends of its zone, in cycles per sample.
const ZONE_MARGIN: f64 = 0.01;

/// The complex envelopes of some sidebands over the carrier's amplitude, all on one grid of time.
///
/// The envelope of the sideband at offset f from the carrier is that of the deviation: d(t) e^(−j2πft).
pub(super) struct Sidebands {
    sums: Vec<ComplexSums>,
    /// Samples of the capture to a value.
    step: f64,
    /// Sample position of the middle of value 0.
    first: f64,
    /// Offsets from the carrier in cycles per sample.
    offsets: Vec<f64>,
}

impl Sidebands {
    /// The envelopes at `offsets` from the carrier, in cycles of the key's clock, with at least `values` values to
    /// `period` samples.
    pub(super) fn of(residual: &Residual, offsets: &[f64], period: f64, values: f64) -> Self {
        let ratio = period / values;
        let decimation = (ratio as usize).max(1);
        let factor = (decimation as f64 / ratio).ceil().max(1.0) as usize;
        let factor = factor.next_power_of_two();
        let offsets: Vec<f64> = offsets
            .iter()
            .map(|offset| offset * residual.clock_frequency)
            .collect();
        let mut first = 0.0;
        let sums = offsets
            .iter()
            .map(|offset| {
                let (envelope, delay) = envelope(
                    residual,
                    residual.carrier_frequency + offset,
                    decimation,
                    factor,
                );
                first = delay;
                ComplexSums::of(&envelope)
            })
            .collect();
        Self {
            sums,
            step: decimation as f64 / factor as f64,
            first,
            offsets,
        }
    }

    /// Number of sidebands.
    pub(super) fn lines(&self) -> usize {
        self.sums.len()
    }

    /// Offset of a sideband from the carrier, in cycles per sample.
    pub(super) fn offset(&self, line: usize) -> f64 {
        self.offsets[line]
    }

    /// How many intervals of `period` samples fit from sample position `start` on.
    pub(super) fn count(&self, start: f64, period: f64) -> usize {
        let length = self.sums.first().map_or(0, ComplexSums::len) as f64;
        let left = length * self.step - (start - self.begin());
        (left / period).floor().max(0.0) as usize
    }

    /// The sample position where the first value begins.
    pub(super) fn begin(&self) -> f64 {
        self.first - 0.5 * self.step
    }

    /// The mean envelope of a sideband over `period` samples from sample position `start` on.
    pub(super) fn mean(&self, line: usize, start: f64, period: f64) -> Complex64 {
        self.means(line, start, period, 1)
            .next()
            .unwrap_or_default()
    }

    /// The mean envelope of a sideband over `count` intervals of `period` samples from sample position `start` on.
    pub(super) fn means(
        &self,
        line: usize,
        start: f64,
        period: f64,
        count: usize,
    ) -> impl Iterator<Item = Complex64> + '_ {
        let sums = &self.sums[line];
        let at = move |position: f64| sums.up_to((position - self.begin()) / self.step);
        let scale = self.step / period;
        let mut before = at(start);
        (1..=count).map(move |k| {
            let now = at(start + k as f64 * period);
            let mean = (now - before) * scale;
            before = now;
            mean
        })
    }
}

/// The orders k up to `most` of a subcarrier of `clocks` carrier periods whose sidebands, k/`clocks` from the carrier,
/// the samples show without folding one onto another.
///
/// Half an even number of carrier periods is high, half is low: only odd orders occur. An odd number cannot be halved.
pub(super) fn orders(residual: &Residual, clocks: u32, most: i32) -> Vec<i32> {
    let zone = |frequency: f64| (2.0 * frequency).floor() as i64;
    let carrier = residual.carrier_frequency;
    let fits = |order: &i32| {
        let offset = f64::from(*order) / f64::from(clocks) * residual.clock_frequency;
        let frequency = carrier + offset;
        match residual.kind {
            SampleKind::Complex => frequency.abs() < 0.5 - ZONE_MARGIN,
            SampleKind::Real => {
                let folded = (2.0 * frequency).fract();
                zone(frequency) == zone(carrier)
                    && folded > 2.0 * ZONE_MARGIN
                    && folded < 1.0 - 2.0 * ZONE_MARGIN
            }
        }
    };
    (-most..=most)
        .filter(|&order| order != 0 && (order % 2 != 0 || !clocks.is_multiple_of(2)))
        .filter(fits)
        .collect()
}

/// The lesser of the amplitudes of the two sidebands of order 1 over the greater; 1 where the samples show but one.
///
/// A load that is switched makes both. One alone is another transmitter's.
pub(super) fn balance(orders: &[i32], amplitude: impl Fn(usize) -> f64) -> f64 {
    let side = |order: i32| orders.iter().position(|&found| found == order);
    let (Some(upper), Some(lower)) = (side(1), side(-1)) else {
        return 1.0;
    };
    let (upper, lower) = (amplitude(upper), amplitude(lower));
    upper.min(lower) / upper.max(lower).max(1e-300)
}

/// The envelope at `frequency` over the carrier's amplitude, and the sample position of its first value.
fn envelope(
    residual: &Residual,
    frequency: f64,
    decimation: usize,
    factor: usize,
) -> (Vec<Complex32>, f64) {
    let mut values = Vec::with_capacity(residual.samples.len() / decimation + 1);
    let (converter, gain) = match residual.kind {
        SampleKind::Real => {
            let mut converter = DownConverter::new(frequency, decimation, SPANS);
            converter.process(&residual.samples, &mut values);
            (converter, 2.0)
        }
        SampleKind::Complex => {
            let mut converter = DownConverter::for_complex(frequency, decimation, SPANS);
            converter.process_complex(&residual.samples, &mut values);
            (converter, 1.0)
        }
    };
    let scale = gain / residual.carrier;
    let scale = Complex32::new(scale.re as f32, scale.im as f32);
    for value in &mut values {
        *value *= scale;
    }
    let rate_hz = residual.sample_rate_hz / decimation as f64;
    let filter = BandPass::of_filter(Some(converter.low_pass()), decimation as f64, rate_hz, 0.0);
    (
        filter.band(values).into_time(factor),
        converter.delay_samples(),
    )
}
