use num_complex::Complex32;
use serde::Serialize;

use super::follow::Track;
use super::modulation::Modulation;
use super::sequence::Smear;
use crate::code::{LineCode, PhaseChange};
use crate::frame::Frame;
use crate::frame::soft::Repetition;
use crate::{Estimate, Span};

/// How to listen.
#[derive(Clone, Debug, PartialEq)]
pub struct ListenOptions {
    /// Bit lengths to look for first, in carrier periods.
    pub clocks_per_bit: Vec<u32>,
    /// Bit lengths to look for where those give no frame.
    pub other_clocks_per_bit: Vec<u32>,
    /// What an earlier stretch of the capture showed: it alone is tried first.
    pub expected: Option<Expected>,
    /// Whether to look for subcarriers where the carrier itself shows no frame.
    pub subcarriers: Look,
    /// Step of the converter in the unit of the samples, if it is known: what moves the carrier by less than a fifth
    /// of it and gives no frame is taken for the converter's own spurs.
    pub quantisation_step: Option<f64>,
    /// Whether to keep the deviation, along the modulation axis and in the plane, for plots.
    pub keep_baseband: bool,
}

impl Default for ListenOptions {
    fn default() -> Self {
        Self {
            clocks_per_bit: vec![64, 40, 32, 16, 50, 100, 128],
            other_clocks_per_bit: (8..=128).collect(),
            expected: None,
            subcarriers: Look::WhereNeeded,
            quantisation_step: None,
            keep_baseband: false,
        }
    }
}

/// What a stretch of a capture lets the next one expect.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// How the key modulates.
    pub modulation: Modulation,
    /// Its bit length in carrier periods.
    pub clocks_per_bit: u32,
    /// How it looked if it answered alone.
    pub(super) alone: Option<Alone>,
    /// What a quick look can follow it by.
    pub(super) track: Option<Track>,
}

impl Expected {
    /// Returns the expectation of a key of which no more is known.
    #[must_use]
    pub const fn new(modulation: Modulation, clocks_per_bit: u32) -> Self {
        Self {
            modulation,
            clocks_per_bit,
            alone: None,
            track: None,
        }
    }
}

/// A key beside which no other was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Alone {
    /// Its pulse behind a ring, if the ring smears it.
    pub smear: Option<Smear>,
    /// What looks like another key in what it leaves unexplained, in parts of its own power.
    pub rest: f64,
}

/// Whether to look for something that takes time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Where nothing simpler explains the signal.
    WhereNeeded,
    /// Not at all.
    Never,
}

/// What a stretch of signal with the field on has to say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Listening {
    /// The stretch, in samples from the start of the capture.
    pub span: Span,
    /// Carrier frequency in the air, measured over the stretch.
    pub carrier_hz: Estimate,
    /// Carrier amplitude (peak), in the unit of the samples; the level for an envelope.
    pub amplitude: Estimate,
    /// Noise beside the carrier: power per hertz over the carrier's power, in dB/Hz, on one side.
    pub noise_dbc_hz: f64,
    /// Direction of the modulation against the carrier's phase, −π/2 to π/2: 0 is pure amplitude, ±π/2 pure phase.
    /// `None` when nothing modulates.
    pub axis_rad: Option<f64>,
    /// Whether anything modulates the carrier the way a key does.
    pub detection: Detection,
    /// The keys that answer: none or one; two where they collide and the weaker could be read as well, the stronger first.
    pub keys: Vec<KeyRead>,
    /// A second key on top of the first, if there is one.
    pub collision: Option<Collision>,
    /// Narrow lines that were taken out because they outweighed all else.
    pub lines: Vec<Line>,
    /// Harmonics of the drive that fold next to the carrier and stood out; they were taken out too.
    pub harmonics: Vec<Line>,
    /// What the next stretch of the capture may expect, where a frame was read.
    #[serde(skip)]
    pub expected: Option<Expected>,
    /// The deviation along the modulation axis, if it was asked for. Of a key on a subcarrier: by how much its matched
    /// filters tell a 1 from a 0 at every instant.
    #[serde(skip)]
    pub baseband: Option<Baseband>,
    /// The deviation in the plane of in-phase and quadrature, of the middle of the stretch, if it was asked for. Of a key on
    /// a subcarrier: what its matched filters give at every instant, in phase with the subcarrier and beside it, or for the
    /// faster tone and the slower one.
    #[serde(skip)]
    pub plane: Option<Plane>,
}

/// The decision whether the carrier is modulated.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Detection {
    /// Whether the statistic reaches the threshold, and what reaches it is more than a converter's spurs.
    pub modulated: bool,
    /// How much the matched-filter energy depends on the bit phase, in standard deviations of noise alone; 0 where a quick look
    /// found nothing but the key of the stretch before.
    pub statistic: f64,
    /// Where the statistic counts: noise alone reaches it in fewer than 1 of 1000 stretches where the load itself is switched;
    /// for subcarriers how often has not been measured.
    pub threshold: f64,
    /// The bit length that fits best, in carrier periods.
    pub clocks_per_bit: Option<u32>,
}

impl Detection {
    /// No decision.
    pub(super) const NONE: Self = Self {
        modulated: false,
        statistic: 0.0,
        threshold: f64::INFINITY,
        clocks_per_bit: None,
    };
}

/// One key's answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KeyRead {
    /// How the key modulates.
    pub modulation: Modulation,
    /// The line code; `None` when no frame was found, since Manchester and biphase are the same process until then.
    pub line_code: Option<LineCode>,
    /// When the phase of a subcarrier turns; `None` without one or when no frame tells.
    pub phase_change: Option<PhaseChange>,
    /// Bit length in carrier periods.
    pub clocks_per_bit: u32,
    /// Peak deviation of the carrier along the modulation axis over the carrier's amplitude.
    pub depth: Estimate,
    /// Energy per bit over noise density, in decibels, as the matched filter sees it.
    pub eb_n0_db: f64,
    /// Smallest soft bit over the mean one.
    pub margin: f64,
    /// Hard bits (of the Manchester reading when no frame was found), first sent first.
    pub bits: Vec<u8>,
    /// Soft bits: positive for 1, in units of the deviation.
    pub soft_bits: Vec<f32>,
    /// When the bits were sent.
    pub bit_times: BitTimes,
    /// The frames that were read, in order of time.
    pub frames: Vec<FrameRead>,
    /// How often the first frame's payload was read, or how many repeats were added up to read it.
    pub repeats: usize,
    /// Where no frame was found: the line codes that explain the signal, the most likely first, and what repeats in them.
    pub readings: Vec<CodeReading>,
}

/// One line code as a reading of a signal without a known frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CodeReading {
    /// The line code.
    pub line_code: LineCode,
    /// Bit length in carrier periods.
    pub clocks_per_bit: u32,
    /// Natural logarithm of the odds of the code over half-bits at random. Manchester and biphase share it: they are the
    /// same process.
    pub evidence: f64,
    /// The block of bits that repeats, if one does.
    pub repetition: Option<Repetition>,
}

/// Times of a run of bits: bit k begins at `first + k * period`, in samples from the start of the capture.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BitTimes {
    /// Start of bit 0.
    pub first: f64,
    /// Length of a bit.
    pub period: f64,
}

impl BitTimes {
    /// Returns the samples that `count` bits from bit `index` on cover.
    #[must_use]
    pub fn span(&self, index: usize, count: usize) -> Span {
        let at = |k: usize| (self.first + k as f64 * self.period).round().max(0.0) as u64;
        Span::new(at(index), at(index + count))
    }
}

/// A frame and where it was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameRead {
    /// The frame; every check holds.
    pub frame: Frame,
    /// The samples it came from: one frame, or the whole stretch when repeats were added up.
    pub span: Span,
    /// Whether the bits are inverted against the usual convention (Manchester: 1 is high then low; biphase: 1 holds).
    pub inverted: bool,
    /// How many bits were corrected from the parity or check; 0 for a frame that was read as it is.
    pub corrected_bits: usize,
}

/// Two keys that answer at once.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Collision {
    /// The levels that the soft bits gather at, in units of the deviation.
    pub levels: Vec<f64>,
    /// What the stronger key does not explain, over what noise explains.
    pub statistic: f64,
    /// Where the statistic counts.
    pub threshold: f64,
}

/// A narrow line beside the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Line {
    /// Distance from the carrier as it appears in the samples.
    pub offset_hz: f64,
    /// Amplitude over the carrier's, in decibels.
    pub level_dbc: f64,
}

/// The deviation of the carrier along the modulation axis: value k stands for sample `first + k * step`.
#[derive(Clone, Debug, PartialEq)]
pub struct Baseband {
    /// Relative deviation; 0.01 is one per cent.
    pub values: Vec<f32>,
    /// Sample position of the first value, from the start of the capture.
    pub first: f64,
    /// Samples from one value to the next.
    pub step: f64,
}

/// The deviation of the carrier in the plane of in-phase (real part) and quadrature, cleaned of hum, drift and lines:
/// value k stands for sample `first + k * step`.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Relative deviation: real where the amplitude changes, imaginary where the phase does.
    pub values: Vec<Complex32>,
    /// Sample position of the first value, from the start of the capture.
    pub first: f64,
    /// Samples from one value to the next.
    pub step: f64,
}
