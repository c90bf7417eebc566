use num_complex::Complex64;

use super::ends;
use super::first_look::{first_levels, holds_reply};
use super::front::{front_end, gain};
use super::learned::Learned;
use super::model::{CYCLES, Level, Model, TONES_HZ};
use super::odds::odds;
use super::path::{self, Path, Step};
use super::tones::{Reply, Tone};
use crate::demodulate::deviation::Stretch;

/// Shortest telegram, in bits, that is worth a search.
const MIN_BITS: f64 = 32.0;
/// Places in a bit at which the first one may begin, in the first round and in later ones.
const ANY_START: [f64; 6] = [0.0, 1.0 / 6.0, 2.0 / 6.0, 3.0 / 6.0, 4.0 / 6.0, 5.0 / 6.0];
const NEAR_STARTS: [f64; 3] = [-1.0 / 12.0, 0.0, 1.0 / 12.0];
/// So many bits before its likely place a telegram is looked for.
const BITS_BEFORE: f64 = 8.0;
/// Longest reply that is followed, in bits.
const MOST_BITS: f64 = 160.0;
/// Rounds in which strength, frequencies and phase are learned.
const ROUNDS: usize = 4;
/// Steps to a bit in which the clock is then brought to its place, and how many of them to each side.
const FINE: f64 = 48.0;
const FINE_STEPS: i32 = 5;
/// How often bits are decided anew with the phase that both sides give.
const DECISIONS: usize = 3;

/// The bits of a half-duplex reply.
pub(super) struct ReplyBits {
    /// Log-likelihood ratios of 1 against 0.
    pub ratios: Vec<f64>,
    /// Begin of each bit, in seconds from the start of the stretch.
    pub starts_s: Vec<f64>,
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
    let tones = [0, 1].map(|tone| reply.find(&nominal[tone], &nominal[1 - tone], CYCLES));
    let (begin_s, levels) = first_levels(&reply, &tones, noise_per_hz)?;
    let mut search = Search {
        noise_per_hz,
        end_s: reply.seconds().min(begin_s + MOST_BITS * bit_s),
        reply,
        tones,
        levels,
        phase_between: Complex64::new(1.0, 0.0),
        memory: 0.0,
    };
    let steps = search.follow(begin_s)?;
    let model = search.model();
    let amplitude = search.amplitude(&steps);
    let end_s = steps
        .last()
        .map_or(begin_s, |last| last.start_s + model.bit_s(last.bit));
    Some(ReplyBits {
        ratios: odds(&model, &steps).ratios,
        starts_s: steps.iter().map(|step| step.start_s + skipped_s).collect(),
        eb_n0: amplitude * amplitude * bit_s / noise_per_hz,
        amplitude: amplitude * gain(stretch.kind),
        end_s: end_s + skipped_s,
    })
}

/// What is known of a reply so far.
struct Search {
    reply: Reply,
    noise_per_hz: f64,
    /// Where the last bit ends at the latest.
    end_s: f64,
    tones: [Tone; 2],
    levels: [Level; 2],
    phase_between: Complex64,
    memory: f64,
}

impl Search {
    fn model(&self) -> Model<'_> {
        Model {
            tones: [&self.tones[0], &self.tones[1]],
            levels: self.levels,
            noise_per_hz: self.noise_per_hz,
            phase_between: self.phase_between,
            memory: self.memory,
        }
    }

    /// The bits of the telegram that begins about `begin_s`; what they tell of the tones is learned in rounds.
    fn follow(&mut self, begin_s: f64) -> Option<Vec<Step>> {
        let (mut start_s, mut steps) = (begin_s, Vec::new());
        for round in 0..ROUNDS {
            let starts: &[f64] = if round == 0 { &ANY_START } else { &NEAR_STARTS };
            let best = self.best(start_s, starts)?;
            let (learned, path) = self.in_place(&best);
            self.learn(&learned);
            let model = self.model();
            steps = decided(&model, path::steps(&model, &path.bits, path.start_s));
            start_s = path.start_s;
        }
        let model = self.model();
        Some(decided(&model, ends::complete(&model, steps, self.end_s)))
    }

    /// The best way on the clocks through `start_s` and so many bits later.
    fn best(&self, start_s: f64, later: &[f64]) -> Option<Path> {
        let model = self.model();
        let bit_s = model.bit_s(0);
        let first_s = |later: f64| {
            let start_s = (start_s + later * bit_s).max(0.0);
            start_s - (start_s / bit_s).floor().min(BITS_BEFORE) * bit_s
        };
        let ways = later
            .iter()
            .map(|&later| path::best(&model, first_s(later), self.end_s));
        let best = ways.max_by(|a, b| a.score.total_cmp(&b.score))?;
        (!best.bits.is_empty()).then_some(best)
    }

    /// The same bits on the clock that fits them best, and what they tell there.
    fn in_place(&self, path: &Path) -> (Learned, Path) {
        let step_s = self.model().bit_s(0) / FINE;
        let at = |step: i32| {
            let path = Path {
                start_s: (path.start_s + f64::from(step) * step_s).max(0.0),
                ..path.clone()
            };
            let learned = Learned::of(&self.tones, &path, self.noise_per_hz);
            let model = Model {
                levels: learned.levels,
                phase_between: learned.phase_between,
                memory: learned.memory(),
                ..self.model()
            };
            let gain = total(&path::steps(&model, &path.bits, path.start_s));
            (gain, learned, path)
        };
        let (_, learned, path) = (-FINE_STEPS..=FINE_STEPS)
            .map(at)
            .fold(
                at(0),
                |best, other| if other.0 > best.0 { other } else { best },
            );
        (learned, path)
    }

    fn learn(&mut self, learned: &Learned) {
        self.levels = learned.levels;
        self.phase_between = learned.phase_between;
        self.memory = learned.memory();
        self.tones = [0, 1].map(|tone| {
            let hz = self.tones[tone].hz * learned.corrections[tone];
            self.reply.tone(hz)
        });
    }

    /// Mean amplitude of both tones over the bits.
    fn amplitude(&self, steps: &[Step]) -> f64 {
        let middle_s = steps.get(steps.len() / 2).map_or(0.0, |step| step.start_s);
        0.5 * (self.levels[0].at(middle_s) + self.levels[1].at(middle_s))
    }
}

/// The bits of a way, decided anew with the phase that both sides give while that changes any.
fn decided(model: &Model<'_>, mut steps: Vec<Step>) -> Vec<Step> {
    for _ in 0..DECISIONS {
        let odds = odds(model, &steps);
        let bits: Vec<u8> = odds
            .ratios
            .iter()
            .map(|ratio| u8::from(*ratio > 0.0))
            .collect();
        if bits.iter().eq(steps.iter().map(|step| &step.bit)) {
            break;
        }
        steps = path::steps(model, &bits, odds.start_s);
    }
    steps
}

fn total(steps: &[Step]) -> f64 {
    steps.iter().map(|step| step.gain).sum()
}
