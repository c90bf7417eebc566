use num_complex::Complex64;

use crate::dsp::ComplexSums;

/// Quarters of a half-bit that are tried as bit phase; each serves two phases, half a bit apart.
const OFFSETS: usize = 4;
/// Fewer bits than this decide nothing.
const MIN_BITS: usize = 32;

/// Noise alone gives this statistic in fewer than 1 of 1000 stretches of many symbols (see `docs/limits-signal.md`).
const THRESHOLD: f64 = 7.0;
/// How much the threshold rises for few symbols.
const FEW_SYMBOLS: f64 = 4.0;

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
    /// Start of the first symbol at the best phase.
    start: f64,
    /// How many symbols went in.
    bits: usize,
}

impl RateScore {
    /// The contrast, less the energy that it leaves unexplained beyond its own size.
    ///
    /// A Manchester or biphase key has a contrast of 0.8 to 0.95 of its energy, however narrow the ring. A strong
    /// line near a multiple of half the bit rate, or the spurs of a converter of few bits, has less than half.
    pub(super) fn statistic(&self) -> f64 {
        self.contrast - (self.energy - 2.0 * self.contrast).max(0.0)
    }

    /// Where the statistic counts. Few symbols have a longer tail than the normal distribution.
    pub(super) fn threshold(&self) -> f64 {
        THRESHOLD * (1.0 + FEW_SYMBOLS / (self.bits as f64).sqrt())
    }

    pub(super) fn is_modulated(&self) -> bool {
        self.statistic() >= self.threshold()
    }
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
    let step = period / (2 * OFFSETS) as f64;
    let mut trials = Vec::with_capacity(2 * OFFSETS);
    for offset in 0..OFFSETS {
        let start = offset as f64 * step;
        let halves: Vec<Complex64> = sums.cells(start, period / 2.0, 2 * bits + 1).collect();
        for shift in 0..2 {
            let moments = Moments::of(&halves[shift..]);
            trials.push((
                moments.energy() * scale,
                start + shift as f64 * period / 2.0,
                moments.square,
            ));
        }
    }
    let deviation = (bits as f64).sqrt();
    let best = trials.iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let least = trials
        .iter()
        .map(|trial| trial.0)
        .fold(f64::INFINITY, f64::min);
    Some(RateScore {
        contrast: (best.0 - least) / deviation,
        energy: (best.0 - bits as f64) / deviation,
        second_moment: best.2,
        start: best.1,
        bits,
    })
}

/// The power of the signal that the bit length `period` explains, at the best bit phase near that of its score, less
/// what noise alone gives.
///
/// The contrast alone cannot choose between bit lengths: the bits of a long run of equal ones look like alternating
/// bits of half the length, but for the symbols that then have no transition.
pub(super) fn explained_power(
    sums: &ComplexSums,
    period: f64,
    noise_power: f64,
    score: &RateScore,
) -> f64 {
    let at = |offset: i32| {
        let start = (score.start + f64::from(offset) / 32.0 * period).rem_euclid(period);
        let halves: Vec<Complex64> = sums.cells(start, period / 2.0, 2 * score.bits).collect();
        Moments::of(&halves).energy() / period - score.bits as f64 * noise_power
    };
    let most = (-3..=3).map(at).fold(f64::NEG_INFINITY, f64::max);
    most / (score.bits as f64 * period)
}

/// Second moments of the symbols of one bit phase.
struct Moments {
    square: Complex64,
    power: f64,
}

impl Moments {
    /// Moments of the first half-bit less the second, for each pair of half-bits.
    fn of(halves: &[Complex64]) -> Self {
        let start = Self {
            square: Complex64::default(),
            power: 0.0,
        };
        halves
            .as_chunks::<2>()
            .0
            .iter()
            .map(|[first, second]| first - second)
            .fold(start, |sum, m| Self {
                square: sum.square + m * m,
                power: sum.power + m.norm_sqr(),
            })
    }

    /// The energy along the best axis, and the noise's across it.
    fn energy(&self) -> f64 {
        self.power + self.square.norm()
    }
}
