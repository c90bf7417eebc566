//! Arguments of the coil commands.

mod design;
mod measure;
mod model;
mod ohmmeter;
mod standard;
mod stimulus;

use std::path::PathBuf;

use clap::{Args, Subcommand};

pub(crate) use design::DesignArgs;
pub(crate) use measure::MeasureArgs;
pub(crate) use model::{
    CircuitArgs, LoopArgs, MetalArg, MetalArgs, ModelArgs, OutlineArg, PartArg, PartnerArgs,
    RectangleArgs, RodArgs, RoundArgs, ShapeArgs, SpiralArgs, SpreadArg, TankArg, ToleranceArgs,
    WireArgs, WireMakeArgs, WorkArgs, WoundArgs,
};
pub(crate) use ohmmeter::{OhmmeterArgs, Ohms};
pub(crate) use standard::{Key, Limit, Nominal, StandardArgs};
pub(crate) use stimulus::{StimulusArgs, StimulusKind};

use crate::args::positive;

const FIT_EXAMPLES: &str = "\
Examples:
  coilwright coil fit ring-down.wav             a ring tapped by a pulse
  coilwright coil fit coil.s1p                  a network analyser's reflection
  coilwright coil fit coil.csv --at 125e3       an impedance meter's table
  coilwright coil fit spot.csv --accuracy 0.3%  a meter's L and Q at one frequency
  coilwright coil fit chirp-and-pickup.wav      stimulus left, pickup right
  coilwright coil fit sweep.csv --plot sweep.svg   amplitudes, or gain and phase
  coilwright coil fit pickup.csv --quantity coil-voltage   swept with a pickup
  coilwright coil fit coil.s1p --against good.s1p --ohms 9.4
  coilwright coil fit --ohms 0.2 --good-ohms 9.5   an ohmmeter and nothing else
  coilwright coil fit coil.csv --limit q=15.. --limit resonance_hz=120e3..130e3
  coilwright coil fit tap.wav --limit q=15.. --signal-kind ring-down
  coilwright coil fit stereo.wav --channel 1    a ring-down on one channel
  coilwright coil fit slow.wav --near 67e3      a recorder below twice 125 kHz
  recorder | coilwright coil fit -              any of these but two channels

Exit codes:
  0  measured, and sound where it was compared
  1  compared, and a fault was found
  2  wrong arguments, or a file could not be read or fitted
  3  nothing could be measured, or the numbers do not tell";

const PICKUP_EXAMPLES: &str = "\
Examples:
  coilwright coil pickup --former 20e-3 --length 5e-3 --wire 0.2e-3
      --wire-length 10
  coilwright coil pickup --former 20e-3 --length 5e-3 --wire 0.2e-3
      --wire-length 10 --input-ohm 10e3 --full-scale 1 --plot pickup.svg";

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
    /// A coil from its geometry: L, R and Q, tuned and driven, at a key, beside metal.
    #[command(after_help = model::EXAMPLES)]
    Model(ModelArgs),
    /// Windings that meet an aim, the best of each kind in a table.
    #[command(after_help = design::DESIGN_EXAMPLES)]
    Design(DesignArgs),
    /// Plan a pickup coil from the wire and former at hand.
    #[command(after_help = PICKUP_EXAMPLES)]
    Pickup(PickupArgs),
    /// Write a signal to play into a coil while its pickup is recorded.
    #[command(after_help = stimulus::EXAMPLES)]
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

#[derive(Debug, Args)]
pub(crate) struct FitArgs {
    /// Ring-down captures, Touchstone files, impedance tables, amplitude
    /// sweeps, or two-channel recordings of stimulus and pickup
    /// (with --channel, one record on that channel); `-` reads standard input.
    #[arg(required_unless_present = "ohms", value_name = "FILE")]
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

/// A picture of the result.
#[derive(Debug, Args)]
#[command(next_help_heading = "Files")]
pub(crate) struct PictureArgs {
    /// Draw it, as .svg or .png by the name: of `fit` one file with its fit, of `compare` the coils with error bars, of
    /// `design` the windings over Q, of `model` how it spreads, resonates or changes over frequency, of `pickup` what it gives over frequency.
    #[arg(long, value_name = "PATH")]
    pub(crate) plot: Option<PathBuf>,

    /// Replace a file that is there already.
    #[arg(long, requires = "plot")]
    pub(crate) force: bool,
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
    pub(crate) picture: PictureArgs,

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
    pub(crate) picture: PictureArgs,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}
