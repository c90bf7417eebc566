use num_complex::{Complex32, Complex64};

use super::path::{self, CYCLES, Level, Model, Step};
use super::tones::{Reply, Tone};
use crate::capture::SampleKind;
use crate::carrier::SignalKind;
use crate::demodulate::band::BandPass;
use crate::demodulate::deviation::Stretch;
use crate::dsp::DownConverter;

/// The tone of a 0 and of a 1 (NCD1015ZP data sheet, p. 1 and clause 2.3).
const TONES_HZ: [f64; 2] = [134_200.0, 124_200.0];
/// Filter length in output values.
const SPANS: usize = 6;
/// Values to a bit.
const VALUES: f64 = 32.0;
/// The ring has rung down when the next block of this length holds more than half of the one before.
const BLOCK_S: f64 = 0.25e-3;
/// Shortest telegram, in bits, that is worth a search.
const MIN_BITS: f64 = 32.0;
/// Places in a bit at which the first one may begin; bits of noise before the telegram give finer ones.
const STARTS: usize = 6;
/// Longest reply that is followed, in bits.
const MOST_BITS: f64 = 160.0;
/// Bits that a telegram lasts; the strength is first taken over this much.
const TELEGRAM_BITS: f64 = 100.0;
/// A telegram begins where what twelve bits hold reaches this share of the most.
const BEGIN_SHARE: f64 = 0.5;
const BEGIN_WINDOWS: usize = 36;
/// There is a reply where twelve bits hold this much in the stronger of their tones over what noise puts into one tone:
/// noise alone gives 1.5 with a spread of 0.3, a reply at 4 dB of energy a bit 3.7.
const LEAST_HELD: f64 = 2.5;
/// Windows to a bit for the first look.
const WINDOWS: f64 = 3.0;
/// Rounds in which strength, frequencies and phase are learned.
const ROUNDS: usize = 3;
/// From this consistency of the phase from bit to bit on, it is relied on; the memory then spans some ten bits.
const CONSISTENT: f64 = 0.45;
const MEMORY: f64 = 0.9;
/// Fastest fall of a reply's amplitude: by a factor e in 5 ms.
const MOST_DECAY_PER_S: f64 = 200.0;

/// The bits of a half-duplex reply.
pub(super) struct ReplyBits {
    pub steps: Vec<Step>,
    /// Mean energy of a bit over noise density.
    pub eb_n0: f64,
    /// Mean amplitude in the unit of the samples.
    pub amplitude: f64,
    /// End of the last bit, in seconds from the start of the stretch.
    pub end_s: f64,
}

/// The bits of a reply in a stretch that begins where the field goes off.
pub(super) fn read(stretch: &Stretch<'_>) -> Option<ReplyBits> {
    let (reply, noise_per_hz, skipped_s) = front_end(stretch)?;
    let nominal = TONES_HZ.map(|hz| reply.tone(hz));
    let bit_s = CYCLES / TONES_HZ[0];
    if reply.seconds() < MIN_BITS * bit_s || !holds_reply(&reply, &nominal, noise_per_hz) {
        return None;
    }
    let mut tones = TONES_HZ.map(|hz| reply.find(hz, CYCLES));
    let (begin_s, mut levels) = first_levels(&reply, &tones, noise_per_hz)?;
    let mut start_s = begin_s;
    let end_s = reply.seconds().min(begin_s + MOST_BITS * bit_s);
    let mut phase_between = Complex64::new(1.0, 0.0);
    let mut memory = 0.0;
    let mut found = (Vec::new(), 0.0);
    for _ in 0..ROUNDS {
        let model = Model {
            tones: [&tones[0], &tones[1]],
            levels,
            noise_per_hz,
            phase_between,
            memory,
        };
        let starts = (0..STARTS).map(|k| start_s + (k as f64 / STARTS as f64 - 0.5) * bit_s);
        let best = starts
            .filter(|&start| start >= 0.0)
            .map(|start| (start, path::best(&model, start, end_s)))
            .max_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
        start_s = best.0;
        found = best.1;
        if found.0.is_empty() {
            return None;
        }
        let learned = Learned::of(&tones, &found.0, start_s, noise_per_hz);
        levels = learned.levels;
        phase_between = learned.phase_between;
        memory = if learned.consistency > CONSISTENT {
            MEMORY
        } else {
            0.0
        };
        tones = [0, 1].map(|tone| reply.tone(tones[tone].hz * learned.corrections[tone]));
    }
    let model = Model {
        tones: [&tones[0], &tones[1]],
        levels,
        noise_per_hz,
        phase_between,
        memory,
    };
    let (bits, _) = found;
    let middle_s = start_s + 0.5 * bits.len() as f64 * bit_s;
    let amplitude = 0.5 * (levels[0].at(middle_s) + levels[1].at(middle_s));
    let mut steps = path::steps(&model, &bits, start_s);
    let end_s = steps
        .last()
        .map_or(start_s, |last| last.start_s + model.bit_s(last.bit));
    for step in &mut steps {
        step.start_s += skipped_s;
    }
    Some(ReplyBits {
        steps,
        eb_n0: amplitude * amplitude * bit_s / noise_per_hz,
        amplitude: amplitude * gain(stretch.kind),
        end_s: end_s + skipped_s,
    })
}

/// Real samples show half of a tone on each side of 0 Hz.
fn gain(kind: SampleKind) -> f64 {
    match kind {
        SampleKind::Real => 2.0,
        SampleKind::Complex => 1.0,
    }
}

/// The reply round the middle of the two tones once the ring has rung down, its noise power per hertz, and the time that
/// was left out.
fn front_end(stretch: &Stretch<'_>) -> Option<(Reply, f64, f64)> {
    let middle_hz = 0.5 * (TONES_HZ[0] + TONES_HZ[1]);
    let sample_rate_hz = stretch.sample_rate_hz;
    let frequency = match (stretch.carrier.kind, stretch.kind) {
        (SignalKind::Envelope | SignalKind::NoCarrier, _) => return None,
        (_, SampleKind::Real) => middle_hz,
        (_, SampleKind::Complex) => {
            stretch.carrier.apparent_hz + middle_hz - stretch.carrier.true_hz
        }
    } / sample_rate_hz;
    let decimation = ((sample_rate_hz * CYCLES / TONES_HZ[0] / VALUES) as usize).max(1);
    let mut values = Vec::new();
    let converter = match stretch.kind {
        SampleKind::Real => {
            let mut converter = DownConverter::new(frequency, decimation, SPANS);
            converter.process(stretch.samples, &mut values);
            converter
        }
        SampleKind::Complex => {
            let mut converter = DownConverter::for_complex(frequency, decimation, SPANS);
            converter.process_complex(stretch.samples, &mut values);
            converter
        }
    };
    let rate_hz = sample_rate_hz / decimation as f64;
    let skipped = rung_down(&values, ((BLOCK_S * rate_hz) as usize).max(1));
    values.drain(..skipped);
    if values.len() < 64 {
        return None;
    }
    let filter = BandPass::of_filter(Some(converter.low_pass()), decimation as f64, rate_hz, 0.0);
    let band = filter.band(values);
    let noise_per_hz = band.noise_power() / rate_hz;
    let reply = Reply {
        values: band.into_time(1),
        rate_hz,
        middle_hz,
    };
    let skipped_s = (skipped as f64 - 0.5) / rate_hz + converter.delay_samples() / sample_rate_hz;
    (noise_per_hz > 0.0).then_some((reply, noise_per_hz, skipped_s))
}

/// Values until the ring has rung down.
fn rung_down(values: &[Complex32], block: usize) -> usize {
    let powers: Vec<f32> = values
        .chunks_exact(block)
        .map(|chunk| chunk.iter().map(Complex32::norm_sqr).sum())
        .collect();
    let quiet = powers.windows(2).position(|pair| pair[1] > 0.25 * pair[0]);
    quiet.map_or(values.len(), |index| index * block)
}

/// The power of each tone in windows of a bit, `WINDOWS` to a bit.
fn window_powers(reply: &Reply, tones: &[Tone; 2]) -> Vec<[f64; 2]> {
    let bit_s = CYCLES / TONES_HZ[0];
    let step_s = bit_s / WINDOWS;
    let count = ((reply.seconds() - bit_s) / step_s).max(0.0) as usize;
    let power = |tone: &Tone, k: usize| {
        let start_s = k as f64 * step_s;
        tone.over(start_s, start_s + bit_s).norm_sqr()
    };
    (0..count)
        .map(|k| [power(&tones[0], k), power(&tones[1], k)])
        .collect()
}

/// What runs of windows hold in the stronger tone of each.
fn held(powers: &[[f64; 2]]) -> Vec<f64> {
    powers
        .windows(BEGIN_WINDOWS)
        .map(|windows| windows.iter().map(|pair| pair[0].max(pair[1])).sum())
        .collect()
}

fn holds_reply(reply: &Reply, tones: &[Tone; 2], noise_per_hz: f64) -> bool {
    let most = held(&window_powers(reply, tones))
        .into_iter()
        .fold(0.0, f64::max);
    most * CYCLES / TONES_HZ[0] > LEAST_HELD * BEGIN_WINDOWS as f64 * noise_per_hz
}

/// Where the telegram begins and how strong the tones are, from windows of a bit.
///
/// The ring and the key's own coil favour one tone by up to 8 dB, so that a telegram that begins with many bits of the
/// weaker one seems to begin late; with each tone counted in units of its own strength it does not.
fn first_levels(reply: &Reply, tones: &[Tone; 2], noise_per_hz: f64) -> Option<(f64, [Level; 2])> {
    let bit_s = CYCLES / TONES_HZ[0];
    let step_s = bit_s / WINDOWS;
    let powers = window_powers(reply, tones);
    let noise = noise_per_hz / bit_s;
    let unequal = mean_powers(&powers, begin(&powers)?, noise)?;
    let even: Vec<[f64; 2]> = powers
        .iter()
        .map(|pair| [pair[0] / unequal[0], pair[1] / unequal[1]])
        .collect();
    let begin = begin(&even)?;
    let levels = mean_powers(&powers, begin, noise)?.map(|power| Level {
        start: power.sqrt(),
        decay_per_s: 0.0,
    });
    Some((begin as f64 * step_s, levels))
}

/// The first window of those that hold a good share of the most.
fn begin(powers: &[[f64; 2]]) -> Option<usize> {
    let held = held(powers);
    let most = held.iter().copied().fold(0.0, f64::max);
    held.iter().position(|&held| held > BEGIN_SHARE * most)
}

/// The mean power of each tone in a telegram from window `begin` on, where it is the stronger one by far.
fn mean_powers(powers: &[[f64; 2]], begin: usize, noise: f64) -> Option<[f64; 2]> {
    let telegram = (TELEGRAM_BITS * WINDOWS) as usize;
    let within = powers.get(begin..(begin + telegram).min(powers.len()))?;
    Some([0, 1].map(|tone| {
        let (sum, count) = within
            .iter()
            .filter(|pair| pair[tone] > 2.0 * pair[1 - tone])
            .fold((0.0, 0.0), |(sum, count), pair| {
                (sum + pair[tone], count + 1.0)
            });
        (sum / f64::max(count, 1.0) - noise).max(noise)
    }))
}

/// What the bits of a way tell of the tones.
struct Learned {
    levels: [Level; 2],
    phase_between: Complex64,
    consistency: f64,
    /// By what the frequencies are to be multiplied.
    corrections: [f64; 2],
}

impl Learned {
    fn of(tones: &[Tone; 2], bits: &[u8], start_s: f64, noise_per_hz: f64) -> Self {
        let mut at = start_s;
        let seen: Vec<(usize, f64, Complex64)> = bits
            .iter()
            .map(|&bit| {
                let tone = usize::from(bit);
                let length_s = CYCLES / tones[tone].hz;
                let mean = tones[tone].over(at, at + length_s);
                at += length_s;
                (tone, at - 0.5 * length_s, mean)
            })
            .collect();
        let between: Complex64 = seen
            .windows(2)
            .map(|pair| match (pair[0].0, pair[1].0) {
                (0, 1) => pair[1].2 * pair[0].2.conj(),
                (1, 0) => pair[0].2 * pair[1].2.conj(),
                _ => Complex64::default(),
            })
            .sum();
        let phase_between = if between.norm() > 0.0 {
            between / between.norm()
        } else {
            Complex64::new(1.0, 0.0)
        };
        let level = |(tone, _, mean): &(usize, f64, Complex64)| {
            if *tone == 1 {
                mean * phase_between.conj()
            } else {
                *mean
            }
        };
        let mut turns = [Complex64::default(); 2];
        let mut sizes = 0.0;
        for pair in seen.windows(2) {
            let turn = level(&pair[1]) * level(&pair[0]).conj();
            turns[pair[0].0] += turn;
            sizes += turn.norm();
        }
        let sum = turns[0].norm() + turns[1].norm();
        // Over a bit of 16 cycles a relative error of the frequency turns the phase by 16 turns times as much.
        let correction = |turn: Complex64| 1.0 + turn.arg() / (std::f64::consts::TAU * CYCLES);
        Self {
            levels: levels(&seen, tones, noise_per_hz),
            phase_between,
            consistency: sum / f64::max(sizes, 1e-300),
            corrections: turns.map(correction),
        }
    }
}

/// The strength of both tones with a common decay, from the mean powers in the two halves of the telegram.
fn levels(seen: &[(usize, f64, Complex64)], tones: &[Tone; 2], noise_per_hz: f64) -> [Level; 2] {
    let power =
        |tone: usize, mean: &Complex64| mean.norm_sqr() - noise_per_hz * tones[tone].hz / CYCLES;
    let mean_of = |values: &mut dyn Iterator<Item = f64>| {
        let (sum, count) =
            values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
        if count > 0.0 { sum / count } else { 0.0 }
    };
    let means = [0, 1].map(|tone| {
        let of_tone = seen.iter().filter(|bit| bit.0 == tone);
        mean_of(&mut of_tone.map(|bit| power(tone, &bit.2))).max(1e-300)
    });
    let half = seen.len() / 2;
    let (first, second) = seen.split_at(half);
    let relative = |bits: &[(usize, f64, Complex64)]| {
        mean_of(&mut bits.iter().map(|bit| power(bit.0, &bit.2) / means[bit.0]))
    };
    let middle = |bits: &[(usize, f64, Complex64)]| mean_of(&mut bits.iter().map(|bit| bit.1));
    let ratio = relative(first).max(0.1) / relative(second).max(0.1);
    let apart_s = (middle(second) - middle(first)).max(1e-6);
    let decay_per_s = (0.5 * ratio.ln() / apart_s).clamp(0.0, MOST_DECAY_PER_S);
    [0, 1].map(|tone| {
        let of_tone = seen.iter().filter(|bit| bit.0 == tone);
        let shape = mean_of(&mut of_tone.map(|bit| (-2.0 * decay_per_s * bit.1).exp()));
        Level {
            start: (means[tone] / f64::max(shape, 1e-12)).sqrt(),
            decay_per_s,
        }
    })
}
