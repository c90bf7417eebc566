use super::band::HIGH_PASS_HZ;
use super::class::{ClassRead, Classes};
use super::deviation::{Deviation, Level, Stretch};
use super::follow::Track;
use super::model::{Detection, Expected, Line, ListenOptions, Listening};
use super::modulation::Modulation;
use super::read::{Read, Reader};
use super::search::Search;
use super::signal::{Sampling, Signal};
use super::subcarrier::Subcarriers;
use crate::capture::SampleKind;
use crate::carrier::Carrier;
use crate::{Estimate, Span};

/// The bit length that the first look is made for; faster bits still get 8 values.
const FIRST_LOOK_CLOCKS: u32 = 64;
/// The search for the bit length looks at this much of the stretch.
const SEARCH_S: f64 = 0.3;
/// Single precision alone moves a bare carrier by some 1e-7; no key is heard below ten times that.
const LEAST_DEPTH: f64 = 1e-6;
/// Spurs of a converter without dither moved bare carriers by up to 0.15 steps in 800 trials.
const SPUR_STEPS: f64 = 0.2;
/// The statistic of such spurs stays below this many times the threshold (see `docs/limits-signal.md`).
const SPUR_RATIO: f64 = 150.0;

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
/// let carrier_alone: Vec<f32> = (0..50_000).map(|n| (f64::from(n) * 0.785).cos() as f32).collect();
/// let heard = listen(&carrier_alone, SampleKind::Real, 1e6, 0, &Carrier::direct(124_936.6), &ListenOptions::default());
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
    if follow(&stretch, options, &mut listening).is_none() {
        // A stretch that is too short leaves the result as it is.
        let _ = hear(&stretch, options, &mut listening);
        begin_to_follow(&stretch, options, &mut listening);
    }
    listening
}

/// Fills in what a quick look shows of a key that was read before, if it is still that key and nothing else.
fn follow(stretch: &Stretch<'_>, options: &ListenOptions, listening: &mut Listening) -> Option<()> {
    let expected = options.expected.as_ref()?;
    let track = expected.track.as_ref().filter(|_| !options.keep_baseband)?;
    let followed = track.follow(stretch, listening.span.start)?;
    let seconds = listening.span.len() as f64 / stretch.sample_rate_hz;
    listening.detection = Detection {
        modulated: true,
        clocks_per_bit: Some(expected.clocks_per_bit),
        ..Detection::NONE
    };
    listening.noise_dbc_hz = followed.noise_dbc_hz;
    level(listening, stretch.carrier, &followed.level, seconds);
    listening.axis_rad = Some(followed.axis_rad);
    listening.keys = vec![followed.key];
    listening.expected = Some(Expected {
        track: Some(followed.track),
        ..expected.clone()
    });
    Some(())
}

/// Lets the next stretch follow the key of this one, where that is possible and what was known of it before agrees: a second
/// read knows more of a ring that smears it than the first.
fn begin_to_follow(stretch: &Stretch<'_>, options: &ListenOptions, listening: &mut Listening) {
    let is_alone = |expected: Option<&Expected>| expected.is_some_and(|it| it.alone.is_some());
    if options.keep_baseband || !is_alone(options.expected.as_ref()) {
        return;
    }
    if is_alone(listening.expected.as_ref()) {
        let track = Track::of(stretch, listening);
        if let Some(expected) = &mut listening.expected {
            expected.track = track;
        }
    }
}

/// Fills in the carrier as measured in `seconds` beside noise that is known.
fn level(listening: &mut Listening, carrier: &Carrier, level: &Level, seconds: f64) {
    let noise_per_hz = 10.0_f64.powf(listening.noise_dbc_hz / 10.0);
    let amplitude_std = level.size * (noise_per_hz / (2.0 * seconds)).sqrt();
    listening.carrier_hz = Estimate::new(carrier.true_hz_at(level.offset_hz), level.offset_std_hz);
    listening.amplitude = Estimate::new(level.size, amplitude_std);
}

fn nothing(span: Span, carrier: &Carrier) -> Listening {
    Listening {
        span,
        carrier_hz: Estimate::new(carrier.true_hz, f64::INFINITY),
        amplitude: Estimate::new(0.0, f64::INFINITY),
        noise_dbc_hz: f64::NAN,
        axis_rad: None,
        detection: Detection::NONE,
        keys: Vec::new(),
        collision: None,
        lines: Vec::new(),
        harmonics: Vec::new(),
        expected: None,
        baseband: None,
        plane: None,
    }
}

fn hear(stretch: &Stretch<'_>, options: &ListenOptions, listening: &mut Listening) -> Option<()> {
    let expected = match &options.expected {
        Some(expected) if expected.modulation == Modulation::Ask => Some(expected.clocks_per_bit),
        _ => None,
    };
    let first_look = expected.map_or(FIRST_LOOK_CLOCKS, |clocks| clocks.min(FIRST_LOOK_CLOCKS));
    let sampling = Sampling::of(stretch, first_look.into());
    let deviation = Deviation::of(stretch, sampling.decimation)?;
    let rate_hz = stretch.sample_rate_hz / deviation.step;
    let true_hz = stretch.carrier.true_hz_at(deviation.level.offset_hz);
    let bit_rates_hz: Vec<f64> = options
        .clocks_per_bit
        .iter()
        .map(|&clocks| true_hz / f64::from(clocks))
        .collect();
    // What is expected is read in the signal that shows it.
    let searched_s = expected.map_or(SEARCH_S, |_| f64::INFINITY);
    let middle = deviation.middle((searched_s * rate_hz) as usize);
    let signal = Signal::of(&middle, stretch, sampling, &bit_rates_hz);
    let seconds = deviation.values.len() as f64 / rate_hz;
    note_noise(listening, &signal);
    level(listening, stretch.carrier, &deviation.level, seconds);
    listening.plane = options
        .keep_baseband
        .then(|| signal.plane(listening.span.start));
    let search = Search::of(&signal, stretch.carrier, true_hz);
    let reader = Reader {
        stretch,
        deviation: &deviation,
        signal: &signal,
        sums: search.sums(),
        start: listening.span.start,
        options,
        sampling,
        true_hz,
        alone: None,
    };
    let subcarriers = Subcarriers {
        stretch,
        true_hz,
        offset_hz: deviation.level.offset_hz,
        noise_per_hz: signal.noise_per_hz,
        lines: &signal.lines,
        start: listening.span.start,
        options,
    };
    let heard = Classes {
        search: &search,
        reader: &reader,
        subcarriers: &subcarriers,
        options,
    }
    .hear();
    listening.detection = heard.detection;
    let is_nothing = |read: &Read| {
        let is_harmonics = || {
            let bare = Signal::without_harmonics(&middle, stretch, sampling);
            bare.is_some_and(|bare| {
                let search = Search::of(&bare, stretch.carrier, true_hz);
                search.modulated(read.found.clocks).is_none()
            })
        };
        depth(read) < LEAST_DEPTH
            || is_spur(read, deviation.level.size, options)
            || (!read.has_frame() && is_harmonics())
    };
    if heard.unusual.as_deref().is_some_and(is_nothing) {
        listening.detection.modulated = false;
    }
    match heard.read? {
        ClassRead::Load(read) => {
            if is_nothing(&read) {
                listening.detection.modulated = false;
                return None;
            }
            listening.axis_rad = Some(read.axis_rad);
            listening.carrier_hz.value = read.carrier_hz;
            listening.expected = read.expected();
            listening.collision = read.collision;
            listening.baseband = read.baseband;
            listening.keys = read.keys;
        }
        ClassRead::Subcarrier(read) => {
            let depth = read.key.depth.value;
            if !read.has_frame() && is_below_spurs(depth, deviation.level.size, options) {
                listening.detection.modulated = false;
                return None;
            }
            listening.axis_rad = Some(read.axis_rad);
            listening.expected = read.expected();
            listening.keys = vec![read.key];
            (listening.plane, listening.baseband) = read.views.unzip();
        }
    }
    Some(())
}

/// Fills in the noise, and what else was found beside the carrier.
fn note_noise(listening: &mut Listening, signal: &Signal) {
    listening.noise_dbc_hz = 10.0 * signal.noise_per_hz.max(1e-30).log10();
    let beside = |line: &&Line| line.offset_hz.abs() >= HIGH_PASS_HZ;
    listening.lines = signal.lines.iter().filter(beside).copied().collect();
    listening.harmonics = signal.harmonics.iter().filter(beside).copied().collect();
}

fn depth(read: &Read) -> f64 {
    let depths = read.keys.iter().map(|key| key.depth.value);
    depths.fold(0.0, f64::max)
}

/// Whether a deviation of `depth` is so far below the converter's step that its spurs explain it.
fn is_below_spurs(depth: f64, amplitude: f64, options: &ListenOptions) -> bool {
    let step = options.quantisation_step;
    step.is_some_and(|step| depth * amplitude < SPUR_STEPS * step)
}

/// Whether an unreadable modulation of the load is no more than spurs.
fn is_spur(read: &Read, amplitude: f64, options: &ListenOptions) -> bool {
    let is_strong = read.found.score.statistic() > SPUR_RATIO * read.found.score.threshold();
    !read.has_frame() && !is_strong && is_below_spurs(depth(read), amplitude, options)
}
