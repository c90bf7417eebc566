use clap::Args;

use super::{PictureArgs, SheetArgs};
use crate::args::positive;

pub(super) const DESIGN_EXAMPLES: &str = "\
Examples:
  coilwright coil design --former 32e-3 --outer 42e-3 --length 10e-3
      --inductance 700e-6 --wire 0.125e-3,0.16e-3,0.2e-3
  coilwright coil design --former 32e-3 --outer 42e-3 --length 10e-3
      --inductance 700e-6 --wire 0.1e-3,0.2e-3 --least-q 20 --distance 12e-3
All lengths in metres. Wire is enamelled copper at 20 degrees Celsius, 10 %
thicker over the enamel.";

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
    pub(crate) picture: PictureArgs,
    #[command(flatten)]
    pub(crate) output: SheetArgs,
}
