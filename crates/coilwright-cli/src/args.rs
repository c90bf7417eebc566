use std::path::PathBuf;
use std::str::FromStr as _;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use coilwright_signal::capture::RawType;
use coilwright_signal::code::PhaseChange;
use coilwright_signal::frame::FrameKind;
use coilwright_simulate::Fault;
use coilwright_simulate::modulate::LineCode;
use coilwright_simulate::scenario::{KeyChoice, KeyModulation};

use crate::coil_args::CoilArgs;
use crate::status::EXIT_CODES;

const EXAMPLES: &str = "\
Examples:
  coilwright check lock.wav
  coilwright check lock.wav --against same-boat-last-year.wav
  coilwright check scope.csv --json
  recorder | coilwright check -
  coilwright decode key.wav
  coilwright coil fit coil.s1p --against good.s1p
  coilwright synth --fault metal_near --seed 7 --out captures/";

const CHECK_EXAMPLES: &str = "\
Examples:
  coilwright check lock.wav                     the verdict on one capture
  coilwright check *.wav                        several captures, one verdict each
  coilwright check lock.wav --against good.wav  compare with a known-good capture
  coilwright check scope.csv --sample-rate 1e6  a bare column of voltages
  coilwright check ping.csv --nominal 125000    a ring-down: the ring tapped by a pulse
  recorder | coilwright check -                 a WAV stream from standard input
  coilwright check iq.raw --raw-type cf32le --sample-rate 250e3";

const DECODE_EXAMPLES: &str = "\
Examples:
  coilwright decode key.wav
  coilwright decode key.wav --nominal 134200 --json
  coilwright decode key.wav --plot key.svg      spectrum, soft bits, eye, timing
  coilwright decode key.wav --export key.csv --export key.vcd
  coilwright decode key.wav --export key.jsonl --force
  coilwright decode tag.sigmf-meta --export tag-read.sigmf-meta";

const SYNTH_EXAMPLES: &str = "\
Examples:
  coilwright synth --out captures/
  coilwright synth --fault turns_shorted --seed 3 --out captures/
  coilwright synth --fault key_silent --sample-rate 500e3 --bits 12 --out captures/
  coilwright synth --modulation fsk --subcarrier 10,8 --clocks-per-bit 50 --out captures/
  coilwright synth --subcarrier 2 --phase-change on_one --out captures/
  coilwright synth --frame hdx --out captures/";

/// Listens to a start-interlock lock through a pickup coil and says what is wrong with it.
///
/// Gives a verdict on the field, the antenna ring and the key from a recorded capture: what is wrong, how sure that is,
/// and what to measure next. It only listens and measures.
#[derive(Debug, Parser)]
#[command(
    name = "coilwright",
    version,
    after_help = EXAMPLES,
    after_long_help = format!("{EXAMPLES}\n\n{EXIT_CODES}"),
    max_term_width = 80,
    propagate_version = true
)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Give a verdict on captures of a lock being switched on.
    #[command(after_help = format!("{CHECK_EXAMPLES}\n\n{EXIT_CODES}"))]
    Check(CheckArgs),
    /// Decode the keys that answer in captures.
    #[command(after_help = format!("{DECODE_EXAMPLES}\n\n{EXIT_CODES}"))]
    Decode(DecodeArgs),
    /// Measure, model and compare coils.
    Coil(CoilArgs),
    /// Make a capture with a known truth, from a simulated circuit.
    #[command(after_help = format!("{SYNTH_EXAMPLES}\n\n{EXIT_CODES}"))]
    Synth(SynthArgs),
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// Captures: WAV, delimited text, NPY, SigMF or raw samples; `-` reads standard input.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    /// A known-good capture of the same lock, taken the same way, to compare with.
    #[arg(long, value_name = "GOOD")]
    pub(crate) against: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

#[derive(Debug, Args)]
pub(crate) struct DecodeArgs {
    /// Captures: WAV, delimited text, NPY, SigMF or raw samples; `-` reads standard input.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) read: ReadArgs,

    #[command(flatten)]
    pub(crate) output: OutputArgs,

    #[command(flatten)]
    pub(crate) write: WriteArgs,
}

/// Files that are written besides.
#[derive(Debug, Args)]
#[command(next_help_heading = "Files")]
pub(crate) struct WriteArgs {
    /// Write what was decoded for another program; may be given several times.
    ///
    /// The name decides the format: .jsonl (one JSON object a line), .csv (one row a bit), .vcd (data, clock and line
    /// level as IEEE 1364 has them) or .sigmf-meta (annotations; those of a SigMF capture are kept). The file appears
    /// when it is complete. Needs one capture.
    #[arg(long, value_name = "PATH")]
    pub(crate) export: Vec<PathBuf>,

    /// Draw spectrum, soft bits, eye, timing and constellation of the best stretch.
    ///
    /// The name decides the kind: .svg, which any browser shows at any size, or .png.
    #[arg(long, value_name = "PATH")]
    pub(crate) plot: Vec<PathBuf>,

    /// Replace files that are there already.
    #[arg(long)]
    pub(crate) force: bool,
}

impl WriteArgs {
    /// Whether no file is asked for.
    pub(crate) fn is_empty(&self) -> bool {
        self.export.is_empty() && self.plot.is_empty()
    }
}

/// How to read and understand the samples.
#[derive(Debug, Args)]
#[command(next_help_heading = "Reading")]
pub(crate) struct ReadArgs {
    #[command(flatten)]
    pub(crate) samples: SampleArgs,

    /// Nominal carrier of the lock: 125000 or 134200.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) nominal: Option<f64>,

    /// What the samples are; decided from the samples where it is not given.
    #[arg(long, value_name = "KIND")]
    pub(crate) signal_kind: Option<SignalKindArg>,
}

/// Where the samples lie in their file.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Reading")]
pub(crate) struct SampleArgs {
    /// Channel to read, counted from 0.
    #[arg(long, value_name = "N")]
    pub(crate) channel: Option<usize>,

    /// Samples per second, where the file does not say.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) sample_rate: Option<f64>,

    /// Type of raw samples, such as `i16le`, `f32le`, `ci16le` or `cf32le`.
    #[arg(long, value_name = "TYPE", value_parser = raw_type)]
    pub(crate) raw_type: Option<RawType>,

    /// How many channels are interleaved in raw samples.
    #[arg(long, value_name = "N", requires = "raw_type")]
    pub(crate) raw_channels: Option<usize>,
}

/// How to print the result.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Output")]
pub(crate) struct OutputArgs {
    /// Print JSON: one object for one capture, a list for several.
    #[arg(long)]
    pub(crate) json: bool,

    /// Exit with 0 also when a fault is found or nothing can be told; what is refused still exits with 2.
    #[arg(long)]
    pub(crate) exit_zero: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SignalKindArg {
    /// The carrier is seen directly.
    Direct,
    /// The carrier lies above half the sample rate and is seen folded.
    Aliased,
    /// The envelope from a diode detector.
    Envelope,
    /// Complex samples round the carrier.
    Complex,
    /// A ring that is tapped by a pulse and rings, without a drive.
    RingDown,
}

#[derive(Debug, Args)]
pub(crate) struct SynthArgs {
    /// Folder for the captures and their truth files; made where it is missing.
    #[arg(long, value_name = "FOLDER")]
    pub(crate) out: PathBuf,

    /// What is wrong with the simulated lock.
    #[arg(long, value_name = "FAULT", default_value = "none", value_parser = known(Fault::ALL, Fault::identifier))]
    pub(crate) fault: Fault,

    /// Seed of everything that is random; the same seed makes the same files.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,

    /// How many captures to make, each with the next seed.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) count: u32,

    /// Samples per second; drawn from usual recorders where it is not given.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) sample_rate: Option<f64>,

    /// Bits of the recorder's converter; drawn where it is not given.
    #[arg(long, value_name = "BITS", value_parser = clap::value_parser!(u32).range(2..=24))]
    pub(crate) bits: Option<u32>,

    /// Length of the capture in seconds; drawn where it is not given.
    #[arg(long, value_name = "S", value_parser = positive)]
    pub(crate) length: Option<f64>,

    #[command(flatten)]
    pub(crate) key: KeyArgs,

    /// Print JSON: a list of what was written.
    #[arg(long)]
    pub(crate) json: bool,
}

/// What the simulated key is; drawn where it is not given.
#[derive(Debug, Args)]
#[command(next_help_heading = "Key")]
pub(crate) struct KeyArgs {
    /// The frame that the key sends.
    #[arg(long, value_name = "FRAME", value_parser = known(FrameKind::ALL, FrameKind::identifier))]
    pub(crate) frame: Option<FrameKind>,

    /// How the key modulates; without it, what the other options ask for.
    #[arg(long, value_name = "MODULATION", value_parser = known(KeyModulation::ALL, KeyModulation::identifier))]
    pub(crate) modulation: Option<KeyModulation>,

    /// The line code.
    #[arg(long, value_name = "CODE", value_parser = known(LineCode::ALL, LineCode::identifier))]
    pub(crate) line_code: Option<LineCode>,

    /// Carrier cycles in a bit.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(2..=4096))]
    pub(crate) clocks_per_bit: Option<u32>,

    /// Carrier cycles in a period of the subcarrier: of 1 and of 0 for fsk, one number for psk.
    #[arg(long, value_name = "N[,N]", value_delimiter = ',', value_parser = clap::value_parser!(u32).range(2..=1024))]
    pub(crate) subcarrier: Option<Vec<u32>>,

    /// When the phase of the subcarrier turns.
    #[arg(long, value_name = "RULE", value_parser = known(PhaseChange::ALL, PhaseChange::identifier))]
    pub(crate) phase_change: Option<PhaseChange>,
}

impl KeyArgs {
    /// The choice of the simulator.
    pub(crate) fn choice(&self) -> KeyChoice {
        KeyChoice {
            frame: self.frame,
            modulation: self.modulation,
            line_code: self.line_code,
            clocks_per_bit: self.clocks_per_bit,
            subcarrier_clocks: self.subcarrier.clone(),
            phase_change: self.phase_change,
        }
    }
}

/// Values by their identifiers, which `--help` lists.
fn known<T: Copy + Send + Sync + 'static, const N: usize>(
    all: [T; N],
    identifier: fn(T) -> &'static str,
) -> impl TypedValueParser<Value = T> {
    PossibleValuesParser::new(all.map(identifier)).try_map(move |name| {
        let found = all.into_iter().find(|&value| identifier(value) == name);
        found.ok_or("not known")
    })
}

pub(crate) fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value > 0.0 => Ok(value),
        _ => Err("a number above 0 is needed, such as 1e6 or 125000".to_owned()),
    }
}

fn raw_type(text: &str) -> Result<RawType, String> {
    RawType::from_str(text).map_err(|error| {
        error
            .to_string()
            .replace("; ", "\n  ")
            .replace(", then", ",\n  then")
    })
}
