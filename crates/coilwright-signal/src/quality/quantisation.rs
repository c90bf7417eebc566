use super::clipping::CarrierSampling;
use super::result::Quantisation;

/// Values that are looked at.
const VALUES: usize = 16_384;
/// Below this part of the range a step is the rounding of `f32`.
const SMALLEST_PART: f64 = 1e-7;
/// Largest denominator of rate over carrier that counts as synchronous.
const DENOMINATORS: u32 = 4;

/// Smallest step of the values and how many the whole range spans.
pub(super) fn quantisation(
    stretches: &[Vec<f32>],
    range: f64,
    carrier: Option<CarrierSampling>,
) -> Option<Quantisation> {
    let share = VALUES / stretches.len().max(1);
    let mut values: Vec<f32> = stretches
        .iter()
        .flat_map(|stretch| stretch.iter().take(share))
        .copied()
        .collect();
    values.sort_unstable_by(f32::total_cmp);
    let step = values
        .windows(2)
        .map(|pair| f64::from(pair[1]) - f64::from(pair[0]))
        .filter(|step| *step > SMALLEST_PART * range)
        .min_by(f64::total_cmp)?;
    let steps_spanned = range / step;
    Some(Quantisation {
        step,
        steps_spanned,
        bits_used: (steps_spanned + 1.0).log2(),
        synchronous: carrier.is_some_and(|carrier| carrier.synchronous),
    })
}

/// How the carrier is sampled: synchronous if the phases move by less than one sample a second.
pub(super) fn carrier_sampling(
    sample_rate_hz: f64,
    carrier_hz: f64,
    samples: u64,
) -> CarrierSampling {
    let samples_per_cycle = sample_rate_hz / carrier_hz.abs();
    let cycles = (samples as f64).min(sample_rate_hz) / samples_per_cycle;
    let synchronous = (1..=DENOMINATORS).map(f64::from).any(|denominator| {
        let nearest = (denominator * samples_per_cycle).round() / denominator;
        (samples_per_cycle - nearest).abs() * cycles < 1.0
    });
    CarrierSampling {
        samples_per_cycle,
        synchronous,
    }
}
