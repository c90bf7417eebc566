//! Arguments of `coil model`: one struct a shape, and groups that the shapes share.

mod circuit;
mod near;
mod tolerance;
mod wire;

use clap::{Args, Subcommand, ValueEnum};

pub(crate) use circuit::{CircuitArgs, TankArg};
pub(crate) use near::{MetalArgs, PartnerArgs};
pub(crate) use tolerance::{PartArg, SpreadArg, ToleranceArgs};
pub(crate) use wire::{MetalArg, WireArgs, WireMakeArgs};

use super::{PictureArgs, SheetArgs};
use crate::args::positive;

pub(super) const EXAMPLES: &str = "\
Examples:
  coilwright coil model multilayer --diameter 35e-3 --turns 100 --layers 5
      --wire 0.2e-3
  coilwright coil model solenoid --diameter 20e-3 --turns 50 --gauge 30
      --temperature 80
  coilwright coil model rectangle --width 0.2 --height 0.1 --turns 20
      --gauge 26 --drive 5 --series-ohm 20 --bit-rate 1953
  coilwright coil model multilayer --diameter 35e-3 --turns 100 --layers 5
      --wire 0.2e-3 --drive 5 --series-ohm 20 --distance 12e-3 --key-needs 4
  coilwright coil model multilayer --diameter 35e-3 --turns 100 --layers 5
      --wire 0.2e-3 --tolerance inductance=3%,capacitance=5% --plot spread.svg
All lengths in metres.";

#[derive(Debug, Args)]
pub(crate) struct ModelArgs {
    #[command(subcommand)]
    pub(crate) shape: ShapeArgs,
}

#[derive(Debug, Subcommand)]
pub(crate) enum ShapeArgs {
    /// One layer of wire on a round former.
    Solenoid(Box<WoundArgs>),
    /// Several layers of wire on a round former.
    Multilayer(Box<WoundArgs>),
    /// One round turn.
    Loop(Box<LoopArgs>),
    /// A rectangle of one turn or several.
    Rectangle(Box<RectangleArgs>),
    /// A flat spiral.
    Spiral(Box<SpiralArgs>),
    /// A ferrite rod: what it multiplies a coil's area by.
    Rod(RodArgs),
}

/// What is asked of every coil at the end.
#[derive(Debug, Args)]
pub(crate) struct WorkArgs {
    #[command(flatten)]
    pub(crate) tolerance: ToleranceArgs,
    #[command(flatten)]
    pub(crate) picture: PictureArgs,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

/// What is asked of round coils only.
#[derive(Debug, Args)]
pub(crate) struct RoundArgs {
    #[command(flatten)]
    pub(crate) partner: PartnerArgs,
    #[command(flatten)]
    pub(crate) metal: MetalArgs,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Shape")]
pub(crate) struct WoundArgs {
    /// Diameter of the former, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) diameter: f64,
    /// Turns in all.
    #[arg(long, value_name = "N", value_parser = whole)]
    pub(crate) turns: usize,
    /// Layers.
    #[arg(long, value_name = "N", value_parser = whole, default_value_t = 1)]
    pub(crate) layers: usize,
    /// Distance of turns and layers, metres; default: 1.1 wires.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) pitch: Option<f64>,
    #[command(flatten)]
    pub(crate) wire: WireArgs,
    #[command(flatten)]
    pub(crate) circuit: CircuitArgs,
    #[command(flatten)]
    pub(crate) round: RoundArgs,
    #[command(flatten)]
    pub(crate) work: WorkArgs,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Shape")]
pub(crate) struct LoopArgs {
    /// Diameter between the wire's centres, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) diameter: f64,
    #[command(flatten)]
    pub(crate) wire: WireArgs,
    #[command(flatten)]
    pub(crate) circuit: CircuitArgs,
    #[command(flatten)]
    pub(crate) round: RoundArgs,
    #[command(flatten)]
    pub(crate) work: WorkArgs,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Shape")]
pub(crate) struct RectangleArgs {
    /// One side between the wire's centres, of several turns to the middle of the bundle, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) width: f64,
    /// The other side, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) height: f64,
    /// Turns in all.
    #[arg(long, value_name = "N", value_parser = whole, default_value_t = 1)]
    pub(crate) turns: usize,
    /// Layers, each round the one before.
    #[arg(long, value_name = "N", value_parser = whole, default_value_t = 1)]
    pub(crate) layers: usize,
    /// Distance of turns and layers, metres; default: 1.1 wires.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) pitch: Option<f64>,
    #[command(flatten)]
    pub(crate) wire: WireArgs,
    #[command(flatten)]
    pub(crate) circuit: CircuitArgs,
    #[command(flatten)]
    pub(crate) work: WorkArgs,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Shape", mut_group("WireSizeArgs", |group| group.required(false)))]
pub(crate) struct SpiralArgs {
    /// Inner diameter, metres; of polygons between flats.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) inner: f64,
    /// Outer diameter, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) outer: f64,
    /// Turns; a whole number where the wire is given.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub(crate) turns: f64,
    /// Outline; with wire, round only.
    #[arg(long, value_name = "OUTLINE", value_enum, default_value_t = OutlineArg::Circle)]
    pub(crate) outline: OutlineArg,
    #[command(flatten)]
    pub(crate) wire: WireArgs,
    #[command(flatten)]
    pub(crate) circuit: CircuitArgs,
    #[command(flatten)]
    pub(crate) round: RoundArgs,
    #[command(flatten)]
    pub(crate) work: WorkArgs,
}

/// Outline of a spiral.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum OutlineArg {
    /// Round.
    Circle,
    /// Square.
    Square,
    /// Six sides.
    Hexagon,
    /// Eight sides.
    Octagon,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Shape")]
pub(crate) struct RodArgs {
    /// Length of the rod, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) length: f64,
    /// Diameter of the rod, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) diameter: f64,
    /// Initial permeability of the ferrite, from its data sheet.
    #[arg(long, value_name = "MU", value_parser = positive)]
    pub(crate) permeability: f64,
    /// Turns of a short coil at its middle; gives the volts in a field.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub(crate) turns: Option<f64>,
    /// Mean diameter of that coil, metres; default: the rod's.
    #[arg(long, value_name = "M", value_parser = positive, requires = "turns")]
    pub(crate) coil_diameter: Option<f64>,
    /// Working frequency.
    #[arg(long, value_name = "HZ", value_parser = positive, default_value_t = 125e3)]
    pub(crate) frequency: f64,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}

fn whole(text: &str) -> Result<usize, String> {
    match text.parse::<usize>() {
        Ok(value) if value > 0 => Ok(value),
        _ => Err("a whole number from 1 up is needed, such as 100".to_owned()),
    }
}
