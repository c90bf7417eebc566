use std::path::PathBuf;

use clap::{Args, Subcommand};
use coilwright_coil::condition::{Range, Toleranced};

use crate::args::positive;

const FIT_EXAMPLES: &str = "\
Examples:
  coilwright coil fit ring-down.wav             a ring tapped by a pulse
  coilwright coil fit coil.s1p                  a network analyser's reflection
  coilwright coil fit coil.csv --at 125e3       an impedance meter's table
  coilwright coil fit chirp-and-pickup.wav      stimulus left, pickup right
  coilwright coil fit sweep.csv --plot sweep.svg   a frequency and an amplitude
  coilwright coil fit coil.s1p --against good.s1p --ohms 9.4
  coilwright coil fit coil.csv --limit q=15.. --limit resonance_hz=120e3..130e3

Exit codes:
  0  measured, and sound where it was compared
  1  compared, and a fault was found
  2  wrong arguments, or a file could not be read or fitted
  3  nothing could be measured, or the numbers do not tell";

const MODEL_EXAMPLES: &str = "\
Examples:
  coilwright coil model multilayer --diameter 35e-3 --turns 100 --layers 5
      --wire 0.2e-3
  coilwright coil model loop --diameter 0.3 --wire 1e-3
All lengths in metres, resistances at 20 degrees Celsius.";

const DESIGN_EXAMPLES: &str = "\
Examples:
  coilwright coil design --former 32e-3 --outer 42e-3 --length 10e-3
      --inductance 700e-6 --wire 0.125e-3,0.16e-3,0.2e-3
  coilwright coil design --former 32e-3 --outer 42e-3 --length 10e-3
      --inductance 700e-6 --wire 0.1e-3,0.2e-3 --least-q 20 --distance 12e-3
All lengths in metres. Wire is enamelled copper at 20 degrees Celsius, 10 %
thicker over the enamel.";

const PICKUP_EXAMPLES: &str = "\
Examples:
  coilwright coil pickup --former 20e-3 --length 5e-3 --wire 0.2e-3
      --wire-length 10
  coilwright coil pickup --former 20e-3 --length 5e-3 --wire 0.2e-3
      --wire-length 10 --input-ohm 10e3 --full-scale 1";

const STIMULUS_EXAMPLES: &str = "\
Examples:
  coilwright coil stimulus --out chirp.wav --low 100e3 --high 150e3
      --sample-rate 384e3
  coilwright coil stimulus --out noise.wav --kind noise --low 10e3 --high 80e3";

/// Measure, model and compare coils.
#[derive(Debug, Args)]
pub(crate) struct CoilArgs {
    #[command(subcommand)]
    pub(crate) command: CoilCommand,
}

#[derive(Debug, Subcommand)]
pub(crate) enum CoilCommand {
    /// Resonance, Q, L, R and C from a measurement, and whether the coil is sound.
    #[command(after_help = FIT_EXAMPLES)]
    Fit(FitArgs),
    /// A table of several measured coils.
    Compare(CompareArgs),
    /// Inductance, resistance and self-capacitance of a coil from its geometry.
    #[command(after_help = MODEL_EXAMPLES)]
    Model(ModelArgs),
    /// Windings that meet an aim, the best of each kind in a table.
    #[command(after_help = DESIGN_EXAMPLES)]
    Design(DesignArgs),
    /// Plan a pickup coil from the wire and former at hand.
    #[command(after_help = PICKUP_EXAMPLES)]
    Pickup(PickupArgs),
    /// Write a signal to play into a coil while its pickup is recorded.
    #[command(after_help = STIMULUS_EXAMPLES)]
    Stimulus(StimulusArgs),
}

/// How coil results are printed.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Output")]
pub(crate) struct SheetArgs {
    /// Print JSON: one object for one coil, a list for several.
    #[arg(long, conflicts_with = "csv")]
    pub(crate) json: bool,

    /// Print comma-separated values: one row a number.
    #[arg(long)]
    pub(crate) csv: bool,
}

/// How a measurement is understood.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Reading")]
pub(crate) struct MeasureArgs {
    /// Frequency at which resistance and Q of an untuned coil are given.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) at: Option<f64>,

    /// Samples per second, where the file does not say.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) sample_rate: Option<f64>,
}

#[derive(Debug, Args)]
pub(crate) struct FitArgs {
    /// Ring-down captures, Touchstone files, impedance tables, amplitude
    /// sweeps, or two-channel recordings of stimulus and pickup.
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) standard: StandardArgs,

    #[command(flatten)]
    pub(crate) ohmmeter: OhmmeterArgs,

    #[command(flatten)]
    pub(crate) measure: MeasureArgs,

    #[command(flatten)]
    pub(crate) picture: PictureArgs,

    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

/// A picture of the fit.
#[derive(Debug, Args)]
#[command(next_help_heading = "Files")]
pub(crate) struct PictureArgs {
    /// Draw what was measured with its fit as an SVG picture; needs one file.
    #[arg(long, value_name = "PATH.svg")]
    pub(crate) plot: Option<PathBuf>,

    /// Replace a file that is there already.
    #[arg(long, requires = "plot")]
    pub(crate) force: bool,
}

/// What coils are held against.
#[derive(Debug, Args)]
#[command(next_help_heading = "Standard")]
pub(crate) struct StandardArgs {
    /// A measurement of a sound coil of the same kind, taken the same way.
    #[arg(long, value_name = "GOOD", group = "standard")]
    pub(crate) against: Option<PathBuf>,

    /// Limits of a number, such as q=15.. or resonance_hz=120e3..130e3; may be
    /// given several times.
    ///
    /// Numbers: resonance_hz, q, inductance_henry, resistance_ohm, capacitance_farad, direct_ohm.
    #[arg(long, value_name = "NUMBER=LOW..HIGH", value_parser = limit, group = "standard")]
    pub(crate) limit: Vec<Limit>,

    /// A part of the design with its relative tolerance, such as
    /// inductance_henry=1.62e-3:0.02; may be given several times.
    ///
    /// Numbers: inductance_henry (always needed), capacitance_farad, resistance_ohm, direct_ohm.
    #[arg(long, value_name = "NUMBER=VALUE:TOLERANCE", value_parser = nominal, group = "standard")]
    pub(crate) nominal: Vec<Nominal>,

    /// Turns of the coil, to tell shorted turns as a number.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub(crate) turns: Option<f64>,
}

/// What an ohmmeter showed.
#[derive(Clone, Copy, Debug, Default, Args)]
#[command(next_help_heading = "Ohmmeter")]
pub(crate) struct OhmmeterArgs {
    /// What an ohmmeter shows across the coil alone, leads taken off; `open` beyond its range.
    #[arg(long, value_name = "OHM", value_parser = ohms, requires = "standard")]
    pub(crate) ohms: Option<Ohms>,

    /// The same of the sound coil.
    #[arg(long, value_name = "OHM", value_parser = positive, requires = "against")]
    pub(crate) good_ohms: Option<f64>,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    /// Measurements, as for `coil fit`.
    #[arg(required = true, num_args = 2.., value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,

    #[command(flatten)]
    pub(crate) standard: StandardArgs,

    #[command(flatten)]
    pub(crate) measure: MeasureArgs,

    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

#[derive(Debug, Args)]
pub(crate) struct DesignArgs {
    /// Diameter of the former, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) former: f64,
    /// Largest outer diameter of the winding, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) outer: f64,
    /// Largest length of the winding, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) length: f64,
    /// Diameters of the bare wires at hand, metres, with commas between them.
    #[arg(long, value_name = "M,...", value_parser = positive, value_delimiter = ',', required = true)]
    pub(crate) wire: Vec<f64>,
    /// Wanted inductance, henry.
    #[arg(long, value_name = "H", value_parser = positive)]
    pub(crate) inductance: f64,
    /// Largest relative deviation from it.
    #[arg(long, value_name = "PART", value_parser = positive, default_value_t = 0.03)]
    pub(crate) tolerance: f64,
    /// Working frequency.
    #[arg(long, value_name = "HZ", value_parser = positive, default_value_t = 125e3)]
    pub(crate) frequency: f64,
    /// Least Q of the coil alone.
    #[arg(long, value_name = "Q", value_parser = positive, default_value_t = 1.0)]
    pub(crate) least_q: f64,
    /// Largest Q of the coil alone.
    #[arg(long, value_name = "Q", value_parser = positive)]
    pub(crate) most_q: Option<f64>,
    /// Distance of the key's coil on the axis, metres; gives the coupling.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) distance: Option<f64>,
    /// Least coupling coefficient at that distance.
    #[arg(long, value_name = "K", value_parser = positive, default_value_t = 1e-6, requires = "distance")]
    pub(crate) least_coupling: f64,
    /// Mean diameter of the key's coil, metres.
    #[arg(long, value_name = "M", value_parser = positive, default_value_t = 3e-3)]
    pub(crate) key_diameter: f64,
    /// Length of the key's coil, metres.
    #[arg(long, value_name = "M", value_parser = positive, default_value_t = 8e-3)]
    pub(crate) key_length: f64,
    /// Turns of the key's coil.
    #[arg(long, value_name = "N", value_parser = positive, default_value_t = 300.0)]
    pub(crate) key_turns: f64,
    /// Show windings too that another beats in everything.
    #[arg(long)]
    pub(crate) all: bool,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

/// A number of a coil by its key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Key {
    Resonance,
    Q,
    Inductance,
    Resistance,
    Capacitance,
    Direct,
}

impl Key {
    const ALL: [Self; 6] = [
        Self::Resonance,
        Self::Q,
        Self::Inductance,
        Self::Resistance,
        Self::Capacitance,
        Self::Direct,
    ];

    /// As in sheets.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Resonance => "resonance_hz",
            Self::Q => "q",
            Self::Inductance => "inductance_henry",
            Self::Resistance => "resistance_ohm",
            Self::Capacitance => "capacitance_farad",
            Self::Direct => "direct_ohm",
        }
    }
}

/// Limits of one number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Limit {
    pub(crate) key: Key,
    pub(crate) range: Range,
}

/// One part of a design.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Nominal {
    pub(crate) key: Key,
    pub(crate) value: Toleranced,
}

/// What an ohmmeter shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Ohms {
    /// Beyond its range.
    Open,
    /// A number.
    Shown(f64),
}

#[derive(Debug, Args)]
pub(crate) struct ModelArgs {
    #[command(subcommand)]
    pub(crate) shape: ShapeArgs,
}

#[derive(Debug, Subcommand)]
pub(crate) enum ShapeArgs {
    /// One layer of wire on a round former.
    Solenoid(WoundArgs),
    /// Several layers of wire on a round former.
    Multilayer(WoundArgs),
    /// One round turn.
    Loop(LoopArgs),
    /// One rectangular turn.
    Rectangle(RectangleArgs),
    /// A flat round spiral.
    Spiral(SpiralArgs),
}

#[derive(Debug, Args)]
pub(crate) struct WoundArgs {
    /// Diameter of the former, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) diameter: f64,
    /// Turns in all.
    #[arg(long, value_name = "N")]
    pub(crate) turns: usize,
    /// Layers.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) layers: usize,
    /// Diameter of the bare wire, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire: f64,
    /// Distance of turns and layers, metres; default: 1.1 wires.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) pitch: Option<f64>,
    /// Working frequency.
    #[arg(long, value_name = "HZ", value_parser = positive, default_value_t = 125e3)]
    pub(crate) frequency: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

#[derive(Debug, Args)]
pub(crate) struct LoopArgs {
    /// Diameter between the wire's centres, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) diameter: f64,
    /// Diameter of the wire, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

#[derive(Debug, Args)]
pub(crate) struct RectangleArgs {
    /// One side between the wire's centres, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) width: f64,
    /// The other side, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) height: f64,
    /// Diameter of the wire, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

#[derive(Debug, Args)]
pub(crate) struct SpiralArgs {
    /// Inner diameter, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) inner: f64,
    /// Outer diameter, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) outer: f64,
    /// Turns.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub(crate) turns: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

#[derive(Debug, Args)]
pub(crate) struct PickupArgs {
    /// Diameter of the former, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) former: f64,
    /// Room along the former, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) length: f64,
    /// Diameter of the bare wire, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire: f64,
    /// Length of wire at hand, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire_length: f64,
    /// Resistance of the recorder's input.
    #[arg(long, value_name = "OHM", value_parser = positive, default_value_t = 1e6)]
    pub(crate) input_ohm: f64,
    /// Capacitance of input and cable, farad.
    #[arg(long, value_name = "F", value_parser = positive, default_value_t = 120e-12)]
    pub(crate) capacitance: f64,
    /// Peak volts that the input takes.
    #[arg(long, value_name = "V", value_parser = positive, default_value_t = 10.0)]
    pub(crate) full_scale: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

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

fn ohms(text: &str) -> Result<Ohms, String> {
    if text == "open" {
        return Ok(Ohms::Open);
    }
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(Ohms::Shown(value)),
        _ => Err("a resistance in ohm is needed, such as 9.4, or the word open".to_owned()),
    }
}

/// A number's key and what stands behind it.
fn keyed(text: &str) -> Result<(Key, &str), String> {
    let (name, rest) = text
        .split_once('=')
        .ok_or("a number and a value are needed, such as q=15..")?;
    let key = Key::ALL.into_iter().find(|key| key.name() == name);
    let key = key.ok_or_else(|| {
        let names: Vec<&str> = Key::ALL.into_iter().map(Key::name).collect();
        format!("no such number; there are {}", names.join(", "))
    })?;
    Ok((key, rest))
}

fn limit(text: &str) -> Result<Limit, String> {
    let (key, rest) = keyed(text)?;
    let (low, high) = rest
        .split_once("..")
        .ok_or("two limits are needed, such as 15..30, or 15.. without a highest")?;
    let low = positive(low)?;
    let high = match high {
        "" => f64::INFINITY,
        high => positive(high)?,
    };
    if low >= high {
        return Err("the lower limit is needed first".to_owned());
    }
    let range = Range { low, high };
    Ok(Limit { key, range })
}

fn nominal(text: &str) -> Result<Nominal, String> {
    let (key, rest) = keyed(text)?;
    let (value, tolerance) = rest
        .split_once(':')
        .ok_or("a value and its relative tolerance are needed, such as 1.62e-3:0.02")?;
    let value = Toleranced {
        value: positive(value)?,
        relative_tolerance: positive(tolerance)?,
    };
    Ok(Nominal { key, value })
}
