use std::path::PathBuf;

use clap::Args;

use super::SheetArgs;
use crate::args::positive;

pub(super) const EXAMPLES: &str = "\
Examples:
  coilwright coil stimulus --out chirp.wav --low 100e3 --high 150e3
      --sample-rate 384e3
  coilwright coil stimulus --out noise.wav --kind noise --low 10e3 --high 80e3";

/// What is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum StimulusKind {
    /// A tone that runs through the band.
    Chirp,
    /// Noise of even power in the band.
    Noise,
    /// Sixty-four tones.
    Tones,
}

#[derive(Debug, Args)]
pub(crate) struct StimulusArgs {
    /// The WAV file to write.
    #[arg(long, value_name = "FILE.wav")]
    pub(crate) out: PathBuf,
    /// Kind of signal.
    #[arg(long, value_enum, default_value_t = StimulusKind::Chirp)]
    pub(crate) kind: StimulusKind,
    /// Lowest frequency.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) low: f64,
    /// Highest frequency.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) high: f64,
    /// Samples per second of the sound card.
    #[arg(long, value_name = "HZ", value_parser = positive, default_value_t = 192e3)]
    pub(crate) sample_rate: f64,
    /// Length, seconds.
    #[arg(long, value_name = "S", value_parser = positive, default_value_t = 5.0)]
    pub(crate) duration: f64,
    /// Replace a file that is there already.
    #[arg(long)]
    pub(crate) force: bool,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}
