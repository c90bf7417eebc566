use clap::{Args, ValueEnum};

use super::super::ohmmeter::celsius;
use crate::args::positive;

/// The wire.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Wire")]
pub(crate) struct WireArgs {
    #[command(flatten)]
    pub(crate) size: WireSizeArgs,
    #[command(flatten)]
    pub(crate) make: WireMakeArgs,
}

/// How thick it is.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Wire")]
#[group(required = true, multiple = false)]
pub(crate) struct WireSizeArgs {
    /// Diameter of the bare wire, of litz that of a strand, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) wire: Option<f64>,

    /// The same as an American wire gauge (ASTM B258): 0000, 000, 00, 0, 1 to 56.
    #[arg(long, value_name = "AWG", value_parser = gauge, allow_hyphen_values = true)]
    pub(crate) gauge: Option<i32>,

    /// Side of a bare square wire, metres.
    #[arg(long, value_name = "M", value_parser = positive, conflicts_with_all = ["strands", "bundle"])]
    pub(crate) square: Option<f64>,
}

/// How it is made.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Wire")]
pub(crate) struct WireMakeArgs {
    /// Strands of litz wire, each insulated.
    #[arg(long, value_name = "N", value_parser = super::whole)]
    pub(crate) strands: Option<usize>,

    /// Diameter of the litz bundle, metres; default: 1.27 strands times the root of their number.
    #[arg(long, value_name = "M", value_parser = positive, requires = "strands")]
    pub(crate) bundle: Option<f64>,

    /// Metal of the wire.
    #[arg(long, value_name = "METAL", value_enum, default_value_t = MetalArg::Copper)]
    pub(crate) metal: MetalArg,

    /// Temperature of the winding, degrees Celsius.
    #[arg(long, value_name = "CELSIUS", value_parser = celsius, default_value_t = 20.0, allow_hyphen_values = true)]
    pub(crate) temperature: f64,
}

/// Metal of a wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum MetalArg {
    /// Annealed copper.
    Copper,
    /// Aluminium for conductors.
    Aluminium,
}

/// A gauge as the trade writes it; the gauges thicker than 0 are the negative numbers of the formula.
fn gauge(text: &str) -> Result<i32, String> {
    let found = match text {
        "0000" => Some(-3),
        "000" => Some(-2),
        "00" => Some(-1),
        _ => text.parse::<i32>().ok().filter(|n| (0..=56).contains(n)),
    };
    found.ok_or_else(|| {
        "a gauge from 0000, 000, 00, 0 to 56 is needed, such as 30; other sizes with --wire"
            .to_owned()
    })
}
