use super::deviation::{Deviation, Stretch};
use super::key::Symbols;
use super::model::{Baseband, BitTimes, Detection, ListenOptions, Listening};
use super::rate::{ComplexSums, RateScore, score};
use super::signal::{Along, Sampling, Signal};
use super::{axis, clock, collision, timing};
use crate::capture::SampleKind;
use crate::carrier::Carrier;
use crate::dsp::RunningSum;
use crate::{Estimate, Span};

/// The bit length that the first look is made for; faster bits still get 8 values.
const FIRST_LOOK_CLOCKS: u32 = 64;
/// The search for the bit length looks at this much of the stretch.
const SEARCH_S: f64 = 0.3;
/// Noise alone gives this contrast in fewer than 1 of 1000 stretches (see `docs/limits-signal.md`).
const CONTRAST_THRESHOLD: f64 = 6.0;

/// Returns what a stretch of samples with the field on has to say: the carrier measured, whether a key modulates it,
/// and what the key sends.
///
/// `samples` is the stretch, I, Q pairs for complex samples; `first_sample` is its place in the capture, so that the
/// results carry positions in the capture. A second of signal is plenty; a stretch may begin and end inside a frame.
/// Too short a stretch gives a result without detection.
///
/// ```
/// use coilwright_signal::capture::SampleKind;
/// use coilwright_signal::carrier::Carrier;
/// use coilwright_signal::demodulate::{ListenOptions, listen};
///
/// let carrier_alone: Vec<f32> = (0..50_000).map(|n| (n as f32 * std::f32::consts::FRAC_PI_4).cos()).collect();
/// let heard = listen(&carrier_alone, SampleKind::Real, 1e6, 0, &Carrier::direct(125e3), &ListenOptions::default());
/// assert!((heard.amplitude.value - 1.0).abs() < 1e-3);
/// assert!(!heard.detection.modulated);
/// ```
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
    let mut listening = nothing(span, carrier);
    // A stretch that is too short leaves the result as it is.
    let _ = hear(&stretch, options, &mut listening);
    listening
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

fn hear(stretch: &Stretch<'_>, options: &ListenOptions, listening: &mut Listening) -> Option<()> {
    let expected = options.expected_clocks_per_bit;
    let sampling = Sampling::of(
        stretch,
        expected
            .map_or(FIRST_LOOK_CLOCKS, |clocks| clocks.min(FIRST_LOOK_CLOCKS))
            .into(),
    );
    let deviation = Deviation::of(stretch, sampling.decimation)?;
    let rate_hz = stretch.sample_rate_hz / deviation.step;
    let true_hz = true_hz(stretch.carrier, &deviation);
    let bit_rates_hz: Vec<f64> = options
        .clocks_per_bit
        .iter()
        .map(|&clocks| true_hz / f64::from(clocks))
        .collect();
    let middle = deviation.middle((SEARCH_S * rate_hz) as usize);
    let signal = Signal::of(middle, stretch.sample_rate_hz, sampling, &bit_rates_hz);
    let seconds = deviation.values.len() as f64 / rate_hz;
    let amplitude_std = deviation.amplitude * (signal.noise_per_hz / (2.0 * seconds)).sqrt();
    listening.carrier_hz = Estimate::new(true_hz, deviation.offset_std_hz);
    listening.amplitude = Estimate::new(deviation.amplitude, amplitude_std);
    listening.noise_dbc_hz = 10.0 * signal.noise_per_hz.max(1e-30).log10();
    listening.lines.clone_from(&signal.lines);
    let found = search(&signal, stretch.carrier, true_hz, options)?;
    listening.detection.clocks_per_bit = Some(found.clocks);
    listening.detection.statistic = found.score.contrast;
    listening.detection.modulated = found.score.contrast >= CONTRAST_THRESHOLD;
    if listening.detection.modulated {
        let axis_rad = axis::principal(found.score.second_moment);
        listening.axis_rad = Some(axis_rad);
        let finer = Sampling::of(stretch, found.clocks.into());
        let deviation = if finer.decimation == sampling.decimation {
            deviation
        } else {
            Deviation::of(stretch, finer.decimation)?
        };
        let along = Along::of(
            deviation,
            stretch.sample_rate_hz,
            finer,
            axis_rad,
            &signal.lines,
        );
        decode(
            along,
            signal.noise_per_hz,
            stretch.carrier,
            &found,
            listening,
            options,
        );
    }
    Some(())
}

/// The carrier in the air, from how far it appears off its expected place.
fn true_hz(carrier: &Carrier, deviation: &Deviation) -> f64 {
    let sign = if carrier.is_inverted() { -1.0 } else { 1.0 };
    carrier.true_hz + sign * deviation.offset_hz
}

/// A bit length and how well it fits.
struct Found {
    clocks: u32,
    /// Frequency that the bit clock is divided from.
    clock_hz: f64,
    score: RateScore,
}

/// The bit length with the largest contrast; the expected one alone if it reaches the threshold.
fn search(
    signal: &Signal,
    carrier: &Carrier,
    true_hz: f64,
    options: &ListenOptions,
) -> Option<Found> {
    let sums = ComplexSums::of(&signal.values);
    let rate_hz = signal.grid.rate_hz;
    let try_clocks = |clocks: u32| {
        let clock_hz = if carrier.has_exact_clock() {
            true_hz
        } else {
            rate_hz / clock::carrier_period(&signal.values, clocks, rate_hz)?
        };
        let score = score(
            &sums,
            f64::from(clocks) * rate_hz / clock_hz,
            signal.noise_per_hz * rate_hz,
        )?;
        Some(Found {
            clocks,
            clock_hz,
            score,
        })
    };
    let expected = options.expected_clocks_per_bit.and_then(try_clocks);
    if expected
        .as_ref()
        .is_some_and(|found| found.score.contrast >= CONTRAST_THRESHOLD)
    {
        return expected;
    }
    let all = options
        .clocks_per_bit
        .iter()
        .filter_map(|&clocks| try_clocks(clocks));
    all.max_by(|a, b| a.score.contrast.total_cmp(&b.score.contrast))
}

/// Reads the key at the bit length that was found.
fn decode(
    along: Along,
    noise_per_hz: f64,
    carrier: &Carrier,
    found: &Found,
    listening: &mut Listening,
    options: &ListenOptions,
) {
    let Along { values, grid } = along;
    let mut period = f64::from(found.clocks) * grid.rate_hz / found.clock_hz;
    if !carrier.has_exact_clock() {
        period = clock::refine(&values, clock::refine(&values, period));
        listening.carrier_hz.value = f64::from(found.clocks) * grid.rate_hz / period;
    }
    let sums = RunningSum::of(&values);
    let start = timing::best_start(&sums, period);
    let first = listening.span.start as f64;
    let noise_variance = noise_per_hz * grid.rate_hz / (2.0 * period);
    let symbols = Symbols {
        values: timing::symbols(&sums, start, period)
            .map(|m| m as f32)
            .collect(),
        noise_variance,
        times: BitTimes {
            first: first + grid.position(start),
            period: period * grid.step,
        },
        clocks_per_bit: found.clocks,
    };
    listening.keys = vec![symbols.read()];
    listening.collision = collision::find(&sums, start, period, noise_variance);
    if options.keep_baseband {
        listening.baseband = Some(Baseband {
            values,
            first: first + grid.position(0.5),
            step: grid.step,
        });
    }
}
