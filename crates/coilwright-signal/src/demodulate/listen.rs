use super::band::{Band, HIGH_PASS_HZ};
use super::deviation::{Deviation, Stretch};
use super::key::Symbols;
use super::model::{Baseband, BitTimes, Detection, ListenOptions, Listening};
use super::rate::{ComplexSums, RateScore, score};
use super::{axis, timing};
use crate::capture::SampleKind;
use crate::carrier::Carrier;
use crate::dsp::RunningSum;
use crate::{Estimate, Span};

/// Values a bit that decoding needs: the matched filter then loses 0.14 dB.
const VALUES_PER_BIT: f64 = 32.0;
/// The bit length that the first look is made for; faster bits still get 8 values.
const FIRST_LOOK_CLOCKS: f64 = 64.0;
/// The search for the bit length looks at this much of the stretch.
const SEARCH_S: f64 = 0.3;
/// Noise alone gives this contrast in fewer than 1 of 1000 stretches (see `docs/limits-signal.md`).
const CONTRAST_THRESHOLD: f64 = 6.0;
/// The high pass keeps at least this far below the bit rate.
const HIGH_PASS_OF_BIT_RATE: f64 = 0.27;

/// Returns what a stretch of samples with the field on has to say: the carrier measured, whether a key modulates it,
/// and what the key sends.
///
/// `samples` is the stretch, I, Q pairs for complex samples; `first_sample` is its place in the capture, so that the
/// results carry positions in the capture. A second of signal is plenty; a stretch may begin and end inside a frame.
/// Too short a stretch gives a result without detection.
#[must_use]
pub fn listen(
    samples: &[f32],
    kind: SampleKind,
    sample_rate_hz: f64,
    first_sample: u64,
    carrier: &Carrier,
    options: &ListenOptions,
) -> Listening {
    let length = (samples.len() / kind.width()) as u64;
    let span = Span::new(first_sample, first_sample + length);
    let stretch = Stretch {
        samples,
        kind,
        sample_rate_hz,
        carrier,
    };
    hear(&stretch, span, options).unwrap_or_else(|| nothing(span, carrier))
}

fn nothing(span: Span, carrier: &Carrier) -> Listening {
    Listening {
        span,
        carrier_hz: Estimate::new(carrier.true_hz, f64::INFINITY),
        amplitude: Estimate::new(0.0, f64::INFINITY),
        noise_dbc_hz: f64::NAN,
        axis_rad: None,
        detection: Detection {
            modulated: false,
            statistic: 0.0,
            threshold: CONTRAST_THRESHOLD,
            clocks_per_bit: None,
        },
        keys: Vec::new(),
        collision: None,
        lines: Vec::new(),
        baseband: None,
    }
}

/// How a deviation is brought to at least the wanted number of values a bit.
struct Sampling {
    decimation: usize,
    factor: usize,
}

impl Sampling {
    fn of(stretch: &Stretch<'_>, clocks: f64) -> Self {
        let wanted_hz = VALUES_PER_BIT * stretch.carrier.true_hz / clocks;
        let ratio = stretch.sample_rate_hz / wanted_hz;
        let decimation = if stretch.carrier.kind == crate::carrier::SignalKind::Envelope {
            1
        } else {
            (ratio as usize).max(1)
        };
        let factor = (decimation as f64 / ratio).ceil().max(1.0) as usize;
        Self {
            decimation,
            factor: factor.next_power_of_two(),
        }
    }
}

fn hear(stretch: &Stretch<'_>, span: Span, options: &ListenOptions) -> Option<Listening> {
    let first_look = options
        .expected_clocks_per_bit
        .map_or(FIRST_LOOK_CLOCKS, f64::from)
        .min(FIRST_LOOK_CLOCKS);
    let sampling = Sampling::of(stretch, first_look);
    let deviation = Deviation::of(stretch, sampling.decimation)?;
    let rate_hz = stretch.sample_rate_hz / deviation.step;
    let band = Band::of(&deviation, rate_hz, HIGH_PASS_HZ);
    let noise_power = band.noise_power();
    let true_hz = true_hz(stretch.carrier, &deviation);
    let mut listening = nothing(span, stretch.carrier);
    let count = deviation.values.len() as f64;
    listening.carrier_hz = Estimate::new(true_hz, deviation.offset_std_hz);
    listening.amplitude = Estimate::new(
        deviation.amplitude,
        deviation.amplitude * (noise_power / (2.0 * count)).sqrt(),
    );
    listening.noise_dbc_hz = 10.0 * (noise_power / rate_hz).max(1e-30).log10();
    let values = band.to_time(sampling.factor);
    let tuned = Tuned {
        clock_hz: true_hz,
        rate_hz: rate_hz * sampling.factor as f64,
        noise_power: noise_power * sampling.factor as f64,
    };
    let (clocks, best) = tuned.search(&values, options)?;
    listening.detection.clocks_per_bit = Some(clocks);
    listening.detection.statistic = best.contrast;
    listening.detection.modulated = best.contrast >= CONTRAST_THRESHOLD;
    if listening.detection.modulated {
        listening.axis_rad = Some(axis::principal(best.second_moment));
        decode(
            stretch,
            &deviation,
            true_hz,
            clocks,
            options,
            &mut listening,
        );
    }
    Some(listening)
}

/// The carrier in the air, from how far it appears off its expected place.
fn true_hz(carrier: &Carrier, deviation: &Deviation) -> f64 {
    let sign = if carrier.is_inverted() { -1.0 } else { 1.0 };
    carrier.true_hz + sign * deviation.offset_hz
}

/// The clock and noise of a signal in time.
struct Tuned {
    clock_hz: f64,
    rate_hz: f64,
    noise_power: f64,
}

impl Tuned {
    fn period(&self, clocks: u32) -> f64 {
        f64::from(clocks) * self.rate_hz / self.clock_hz
    }

    /// The bit length with the largest contrast; the expected one alone if it reaches the threshold.
    fn search(
        &self,
        values: &[num_complex::Complex32],
        options: &ListenOptions,
    ) -> Option<(u32, RateScore)> {
        let wanted = ((SEARCH_S * self.rate_hz) as usize).min(values.len());
        let skipped = (values.len() - wanted) / 2;
        let sums = ComplexSums::of(&values[skipped..skipped + wanted]);
        let score_of = |clocks: u32| {
            score(&sums, self.period(clocks), self.noise_power).map(|score| (clocks, score))
        };
        let expected = options.expected_clocks_per_bit.and_then(score_of);
        if let Some((_, score)) = expected
            && score.contrast >= CONTRAST_THRESHOLD
        {
            return expected;
        }
        options
            .clocks_per_bit
            .iter()
            .filter_map(|&clocks| score_of(clocks))
            .max_by(|(_, a), (_, b)| a.contrast.total_cmp(&b.contrast))
    }
}

/// Reads the key at the bit length that was found, from a deviation that is sampled finely enough for it.
fn decode(
    stretch: &Stretch<'_>,
    first_look: &Deviation,
    true_hz: f64,
    clocks: u32,
    options: &ListenOptions,
    listening: &mut Listening,
) {
    let sampling = Sampling::of(stretch, f64::from(clocks));
    let finer = if sampling.decimation as f64 == first_look.step || first_look.low_pass.is_none() {
        None
    } else {
        Deviation::of(stretch, sampling.decimation)
    };
    let deviation = finer.as_ref().unwrap_or(first_look);
    let rate_hz = stretch.sample_rate_hz / deviation.step;
    let high_pass_hz = HIGH_PASS_HZ.min(HIGH_PASS_OF_BIT_RATE * true_hz / f64::from(clocks));
    let band = Band::of(deviation, rate_hz, high_pass_hz);
    let factor = sampling.factor as f64;
    let noise_power = band.noise_power() * factor;
    let axis_rad = listening.axis_rad.unwrap_or_default();
    let along = axis::project(&band.to_time(sampling.factor), axis_rad);
    let period = f64::from(clocks) * rate_hz * factor / true_hz;
    let sums = RunningSum::of(&along);
    let start = timing::best_start(&sums, period);
    let step = deviation.step / factor;
    // Value k of the finer signal lies at k/factor of the coarser one; its middle is that of the value there.
    let position = |t: f64| {
        deviation.input_position((t - 0.5) / factor + 0.5) + listening.span.start as f64 - 0.5
    };
    let symbols = Symbols {
        values: timing::symbols(&sums, start, period)
            .map(|m| m as f32)
            .collect(),
        noise_variance: noise_power / (2.0 * period),
        times: BitTimes {
            first: position(start),
            period: period * step,
        },
        clocks_per_bit: clocks,
    };
    listening.keys = vec![symbols.read()];
    if options.keep_baseband {
        listening.baseband = Some(Baseband {
            values: along,
            first: position(0.5),
            step,
        });
    }
}
