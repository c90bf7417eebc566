use clap::Args;

use crate::args::positive;

/// A second coil, usually the key's.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Second coil, such as a key's")]
pub(crate) struct PartnerArgs {
    /// Distance of its middle along the axis, metres; gives coupling, and with --drive field and volts.
    #[arg(long, value_name = "M", value_parser = finite, allow_hyphen_values = true)]
    pub(crate) distance: Option<f64>,

    /// Distance of its middle from the axis, metres.
    #[arg(long, value_name = "M", value_parser = finite, default_value_t = 0.0, requires = "distance", allow_hyphen_values = true)]
    pub(crate) offset: f64,

    /// Angle between the axes, degrees, tilted along the offset.
    #[arg(long, value_name = "DEGREES", value_parser = finite, default_value_t = 0.0, requires = "distance", allow_hyphen_values = true)]
    pub(crate) tilt: f64,

    /// Its mean diameter, metres.
    #[arg(long, value_name = "M", value_parser = positive, default_value_t = 3e-3, requires = "distance")]
    pub(crate) key_diameter: f64,

    /// Its length, metres.
    #[arg(long, value_name = "M", value_parser = positive, default_value_t = 8e-3, requires = "distance")]
    pub(crate) key_length: f64,

    /// Its turns.
    #[arg(long, value_name = "N", value_parser = positive, default_value_t = 300.0, requires = "distance")]
    pub(crate) key_turns: f64,

    /// Its loaded Q; 1 where it is not tuned.
    #[arg(long, value_name = "Q", value_parser = positive, default_value_t = 1.0, requires = "distance")]
    pub(crate) key_q: f64,

    /// What a ferrite rod multiplies its area by: `coil model rod`.
    #[arg(long, value_name = "MU", value_parser = positive, requires = "distance")]
    pub(crate) key_rod: Option<f64>,

    /// Peak volts that it needs to wake; gives the range.
    #[arg(long, value_name = "V", value_parser = positive, requires_all = ["distance", "drive"])]
    pub(crate) key_needs: Option<f64>,
}

/// Metal near the coil: a closed ring, or a wide plate.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Metal nearby")]
pub(crate) struct MetalArgs {
    /// Mean diameter of a closed metal ring on the coil's axis, metres.
    #[arg(long, value_name = "M", value_parser = positive, conflicts_with = "plate_gap")]
    pub(crate) ring_diameter: Option<f64>,

    /// Thickness of the ring, round, metres.
    #[arg(long, value_name = "M", value_parser = positive, default_value_t = 2e-3, requires = "ring_diameter")]
    pub(crate) ring_wire: f64,

    /// Distance of the ring from the coil's middle along the axis, metres.
    #[arg(long, value_name = "M", value_parser = finite, default_value_t = 0.0, requires = "ring_diameter", allow_hyphen_values = true)]
    pub(crate) ring_distance: f64,

    /// Gap between the coil's end and a wide, thick metal plate across its axis, metres.
    #[arg(long, value_name = "M", value_parser = positive)]
    pub(crate) plate_gap: Option<f64>,

    /// Resistivity of ring or plate, ohm metres; default: aluminium, 2.83e-8; copper 1.72e-8, zinc die casting about 6e-8, brass 6.4e-8, mild steel 1.5e-7 (from memory).
    #[arg(long, value_name = "OHM_M", value_parser = positive, default_value_t = 2.8264e-8, hide_default_value = true)]
    pub(crate) metal_resistivity: f64,

    /// Relative permeability of the plate: mild steel about 100 (from memory).
    #[arg(long, value_name = "MU", value_parser = positive, default_value_t = 1.0, requires = "plate_gap")]
    pub(crate) metal_permeability: f64,
}

fn finite(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err("a number is needed, such as 12e-3 or 0".to_owned()),
    }
}
