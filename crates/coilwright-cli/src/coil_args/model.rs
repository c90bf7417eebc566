use clap::{Args, Subcommand};

use super::SheetArgs;
use crate::args::positive;

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
