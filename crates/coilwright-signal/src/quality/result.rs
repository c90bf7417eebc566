use serde::Serialize;

use crate::Span;

/// The quality of a recording: measured numbers, and findings where one crosses its limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Quality {
    /// Samples that were seen.
    pub samples: u64,
    /// Values that were no number or infinite; they count as 0.
    pub not_finite: u64,
    /// Lowest value, in the capture's unit; of both components of a complex capture.
    pub minimum: f64,
    /// Highest value.
    pub maximum: f64,
    /// Root mean square about 0, of all values.
    pub rms: f64,
    /// Mean; the magnitude of the mean for a complex capture.
    pub dc_offset: f64,
    /// Whether the highest and lowest values are cut off.
    pub clipping: Clipping,
    /// Runs of one repeated value inside a live signal: samples that were lost and filled up.
    pub stuck: LostSamples,
    /// Stretches that repeat what was recorded shortly before: a buffer that was written twice.
    pub repeated: LostSamples,
    /// Mains hum; `None` for complex captures and below 40 ms.
    pub hum: Option<Hum>,
    /// Lines that are neither the carrier nor a harmonic nor a sideband, strongest first, at most 16.
    pub interference: Vec<InterferenceLine>,
    /// Steps of the recorded values; `None` without a varying signal.
    pub quantisation: Option<Quantisation>,
    /// What crosses its limit.
    pub findings: Vec<QualityFinding>,
}

/// Samples at the highest and lowest level.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Clipping {
    /// Whether the signal is cut off.
    pub clipped: bool,
    /// Whether that happens at the full scale of the stored format, rather than before it.
    pub at_full_scale: bool,
    /// Magnitude of the level at which it is cut off, or of the highest value.
    pub level: f64,
    /// Values at that level, on both sides.
    pub count: u64,
    /// `count` over all values.
    pub fraction: f64,
    /// Longest run at that level, in samples.
    pub longest_run_samples: u64,
}

/// Samples that the recorder lost.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LostSamples {
    /// How many stretches.
    pub count: u64,
    /// How many samples they hold.
    pub samples: u64,
    /// The first stretches, at most 64.
    pub spans: Vec<Span>,
}

/// Mains hum.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hum {
    /// Fundamental of the stronger family: 50 or 60 Hz.
    pub mains_hz: f64,
    /// Root sum square of the amplitudes of the fundamental and its harmonics up to the sixth.
    pub amplitude: f64,
    /// Amplitude over that of the whole signal less DC, in decibel.
    pub level_db: f64,
    /// Power of the family over that of the frequencies beside it, in decibel.
    pub above_floor_db: f64,
}

/// A narrow line that does not belong to the carrier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct InterferenceLine {
    /// Frequency as it appears in the capture.
    pub frequency_hz: f64,
    /// Amplitude in the capture's unit.
    pub amplitude: f64,
    /// Amplitude over that of the carrier, in decibel; over the whole signal where no carrier is known.
    pub level_db: f64,
    /// Power over that of the frequencies beside it, in decibel.
    pub above_floor_db: f64,
}

/// Steps of the recorded values.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantisation {
    /// Smallest step between two recorded values.
    pub step: f64,
    /// How many such steps the signal spans.
    pub steps_spanned: f64,
    /// Bits that the signal uses: the binary logarithm of the steps spanned.
    pub bits_used: f64,
    /// Whether the sampling clock is so close to a multiple of the carrier that each cycle meets the same steps.
    pub synchronous: bool,
}

/// What can be wrong with a recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum QualityKind {
    /// Values at full scale: more than 2 of them. The limit is common practice, no source.
    ClippedAtFullScale,
    /// Values pile up below full scale: four times as many in the outermost half per cent of the amplitude as a sine
    /// would leave there against the next one and a half per cent. From the arcsine law.
    ClippedBelowFullScale,
    /// Values that are no numbers.
    NotFinite,
    /// Samples that were lost and filled with one value.
    StuckSamples,
    /// Samples that were recorded twice.
    RepeatedSamples,
    /// DC above a tenth of the root mean square; common practice, no source.
    DcOffset,
    /// Hum above −40 dB of the signal; common practice, no source.
    MainsHum,
    /// A line 15 dB above the floor beside it and above −60 dB of the carrier; common practice, no source. Load
    /// modulation that can be read lies above that. Not stated of a clipped recording, since clipping makes lines.
    InterferenceLine,
    /// The signal spans fewer than 64 steps; common practice, no source.
    FewSteps,
    /// Fewer than 9 bits and a sampling clock that is a multiple of the carrier, so that the rounding errors repeat
    /// in each cycle instead of averaging out.
    SynchronousSampling,
    /// Nothing but one value.
    Flat,
}

/// Unit of a finding's value and limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum QualityUnit {
    /// Values or samples.
    Count,
    /// Decibel.
    Decibel,
    /// A ratio.
    Ratio,
    /// Quantisation steps.
    Steps,
}

/// A number that crosses its limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct QualityFinding {
    /// What it is.
    pub kind: QualityKind,
    /// The number.
    pub value: f64,
    /// Its limit.
    pub limit: f64,
    /// Unit of both.
    pub unit: QualityUnit,
    /// The first place where it was seen, if it has one.
    pub span: Option<Span>,
    /// The frequency that it belongs to, if any.
    pub frequency_hz: Option<f64>,
}
