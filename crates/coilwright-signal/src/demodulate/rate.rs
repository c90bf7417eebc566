use num_complex::{Complex32, Complex64};

use crate::dsp::RunningSum;

/// Quarters of a half-bit that are tried as bit phase; each serves two phases, half a bit apart.
const OFFSETS: usize = 4;
/// Fewer bits than this decide nothing.
const MIN_BITS: usize = 12;

/// Running sums of the two parts of a complex signal.
pub(super) struct ComplexSums {
    re: RunningSum,
    im: RunningSum,
}

impl ComplexSums {
    pub(super) fn of(values: &[Complex32]) -> Self {
        let part = |part: fn(&Complex32) -> f32| {
            RunningSum::of(&values.iter().map(part).collect::<Vec<_>>())
        };
        Self {
            re: part(|z| z.re),
            im: part(|z| z.im),
        }
    }

    pub(super) fn len(&self) -> usize {
        self.re.len()
    }

    fn up_to(&self, t: f64) -> Complex64 {
        Complex64::new(self.re.up_to(t), self.im.up_to(t))
    }

    /// Integrals over `count` half-bits from `start` on.
    fn half_bits(&self, start: f64, half: f64, count: usize) -> impl Iterator<Item = Complex64> {
        let mut before = self.up_to(start);
        (1..=count).map(move |k| {
            let now = self.up_to(start + k as f64 * half);
            let integral = now - before;
            before = now;
            integral
        })
    }
}

/// How well one bit length fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RateScore {
    /// Largest less smallest matched-filter energy over the bit phases, in standard deviations of noise alone.
    ///
    /// Anything that is not locked to the bit clock gives the same energy at every phase: noise of any colour, hum
    /// and interfering lines.
    pub contrast: f64,
    /// Largest matched-filter energy over what noise alone gives, in standard deviations.
    pub energy: f64,
    /// Σ m² over the symbols at the best phase: the modulation axis.
    pub second_moment: Complex64,
}

/// The score of the bit length `period`, in values, given the noise power of one value; `None` when there are too
/// few bits.
///
/// The matched filter for a Manchester symbol (and for the boundary pairs of biphase) is the first half-bit less the
/// second. Its outputs m enter as (Σ |m|² + |Σ m²|) / (T σ²), which is the energy along the best axis.
pub(super) fn score(sums: &ComplexSums, period: f64, noise_power: f64) -> Option<RateScore> {
    let bits = ((sums.len() as f64 - period) / period) as usize;
    if bits < MIN_BITS + 1 || noise_power <= 0.0 {
        return None;
    }
    let bits = bits - 1;
    let scale = 1.0 / (period * noise_power);
    let mut moments = Vec::with_capacity(2 * OFFSETS);
    for offset in 0..OFFSETS {
        let start = offset as f64 * period / (2 * OFFSETS) as f64;
        let halves: Vec<Complex64> = sums.half_bits(start, period / 2.0, 2 * bits + 1).collect();
        for shift in 0..2 {
            let symbols = halves[shift..]
                .chunks_exact(2)
                .map(|pair| pair[0] - pair[1]);
            moments.push(
                symbols.fold((Complex64::default(), 0.0), |(square, power), m| {
                    (square + m * m, power + m.norm_sqr())
                }),
            );
        }
    }
    let energy = |&(square, power): &(Complex64, f64)| scale * (power + square.norm());
    let deviation = (bits as f64).sqrt();
    let best = moments
        .iter()
        .max_by(|a, b| energy(a).total_cmp(&energy(b)))?;
    let least = moments.iter().map(energy).fold(f64::INFINITY, f64::min);
    Some(RateScore {
        contrast: (energy(best) - least) / deviation,
        energy: (energy(best) - bits as f64) / deviation,
        second_moment: best.0,
    })
}
