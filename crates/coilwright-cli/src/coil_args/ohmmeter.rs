use clap::Args;

use crate::args::positive;

/// What an ohmmeter showed.
#[derive(Clone, Copy, Debug, Default, Args)]
#[command(next_help_heading = "Ohmmeter")]
pub(crate) struct OhmmeterArgs {
    /// What an ohmmeter shows across the coil alone; `open` where it shows OL, beyond its range. Needs no file.
    #[arg(long, value_name = "OHM", value_parser = ohms)]
    pub(crate) ohms: Option<Ohms>,

    /// The same of the sound coil, at the same temperature and with the same leads.
    #[arg(long, value_name = "OHM", value_parser = positive, requires = "ohms", conflicts_with_all = ["limit", "nominal"])]
    pub(crate) good_ohms: Option<f64>,

    /// What it shows with the tips together, to be taken off both.
    #[arg(long, value_name = "OHM", value_parser = positive, requires = "ohms")]
    pub(crate) leads: Option<f64>,

    /// Temperature of the winding, degrees Celsius; about 20 where it is not given.
    #[arg(long, value_name = "CELSIUS", value_parser = celsius, requires = "ohms", allow_hyphen_values = true)]
    pub(crate) temperature: Option<f64>,
}

/// What an ohmmeter shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Ohms {
    /// Beyond its range.
    Open,
    /// A number.
    Shown(f64),
}

/// How meters and people write that a reading is beyond the range.
const OVER_RANGE: [&str; 5] = ["open", "ol", "o.l", "inf", "infinite"];
/// Temperatures at which copper's resistance is known well enough.
const CELSIUS: std::ops::RangeInclusive<f64> = -60.0..=200.0;

fn ohms(text: &str) -> Result<Ohms, String> {
    if OVER_RANGE.contains(&text.to_lowercase().as_str()) {
        return Ok(Ohms::Open);
    }
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(Ohms::Shown(value)),
        _ => Err(
            "a resistance in ohm is needed, such as 9.4, or open where the meter shows OL"
                .to_owned(),
        ),
    }
}

pub(super) fn celsius(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if CELSIUS.contains(&value) => Ok(value),
        _ => Err("degrees Celsius from -60 to 200 are needed, such as 23.5".to_owned()),
    }
}
