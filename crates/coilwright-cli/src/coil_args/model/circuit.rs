use clap::{Args, ValueEnum};

use crate::args::positive;

/// The circuit that the coil is tuned and driven in.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Antenna circuit")]
pub(crate) struct CircuitArgs {
    /// Working frequency.
    #[arg(long, value_name = "HZ", value_parser = positive, default_value_t = 125e3)]
    pub(crate) frequency: f64,

    /// Capacitor that is there, farad; default: the one that tunes the coil to --frequency.
    #[arg(long, value_name = "F", value_parser = positive)]
    pub(crate) tune: Option<f64>,

    /// Resistance of the coil as it was measured at --frequency, in place of the modelled one.
    #[arg(long, value_name = "OHM", value_parser = positive)]
    pub(crate) coil_ohm: Option<f64>,

    /// Resistance of the driver and what lies between it and the tank.
    #[arg(long, value_name = "OHM", value_parser = not_negative)]
    pub(crate) series_ohm: Option<f64>,

    /// How coil and capacitor lie to the driver.
    #[arg(long, value_name = "TANK", value_enum, default_value_t = TankArg::Series)]
    pub(crate) tank: TankArg,

    /// Peak volts of the driver's fundamental: of a square wave 2/π of the supply, of a bridge 4/π.
    #[arg(long, value_name = "V", value_parser = positive)]
    pub(crate) drive: Option<f64>,

    /// Bits a second that have to pass.
    #[arg(long, value_name = "RATE", value_parser = positive)]
    pub(crate) bit_rate: Option<f64>,
}

impl CircuitArgs {
    /// Whether a tank was asked for.
    pub(crate) const fn is_given(&self) -> bool {
        self.tune.is_some()
            || self.series_ohm.is_some()
            || self.drive.is_some()
            || self.bit_rate.is_some()
            || matches!(self.tank, TankArg::Parallel)
    }
}

/// How coil and capacitor lie to their driver.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum TankArg {
    /// In series.
    Series,
    /// Beside each other.
    Parallel,
}

fn not_negative(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(value),
        _ => Err("a resistance in ohm from 0 up is needed, such as 22".to_owned()),
    }
}
