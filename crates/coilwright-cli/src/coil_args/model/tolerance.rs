use clap::{Args, ValueEnum};

/// How much the parts of the circuit scatter.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Tolerance")]
pub(crate) struct ToleranceArgs {
    /// Tolerance of a part, such as inductance=3% or capacitance=0.05; also resistance and series.
    #[arg(long, value_name = "PART=SIZE", value_parser = part, value_delimiter = ',')]
    pub(crate) tolerance: Vec<(PartArg, f64)>,

    /// How values spread within their tolerance.
    #[arg(long, value_name = "SPREAD", value_enum, default_value_t = SpreadArg::Even, requires = "tolerance")]
    pub(crate) spread: SpreadArg,

    /// Circuits that are drawn at random.
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = clap::value_parser!(u32).range(100..=1_000_000), requires = "tolerance")]
    pub(crate) trials: u32,

    /// Seed of the draws; the same seed gives the same numbers.
    #[arg(long, value_name = "N", default_value_t = 1, requires = "tolerance")]
    pub(crate) seed: u64,
}

/// A part of the tuned circuit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PartArg {
    Inductance,
    Capacitance,
    Resistance,
    Series,
}

impl PartArg {
    pub(crate) const ALL: [Self; 4] = [
        Self::Inductance,
        Self::Capacitance,
        Self::Resistance,
        Self::Series,
    ];

    /// As the option and the results call it.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Inductance => "inductance",
            Self::Capacitance => "capacitance",
            Self::Resistance => "resistance",
            Self::Series => "series",
        }
    }
}

/// How values spread within a tolerance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SpreadArg {
    /// Evenly over all of it: what a parts bin may hold.
    Even,
    /// Normally, the tolerance being three standard deviations, cut there.
    ThreeSigma,
    /// Triangular: the middle is likeliest.
    Triangle,
}

fn part(text: &str) -> Result<(PartArg, f64), String> {
    let (name, size) = text.split_once('=').ok_or_else(needed)?;
    let part = PartArg::ALL
        .into_iter()
        .find(|part| part.name() == name.trim())
        .ok_or_else(needed)?;
    let size = size.trim();
    let (digits, scale) = size.strip_suffix('%').map_or((size, 1.0), |d| (d, 0.01));
    match digits.trim().parse::<f64>() {
        Ok(value) if value > 0.0 && scale * value < 1.0 => Ok((part, scale * value)),
        _ => Err(format!(
            "a tolerance above 0 and below 100 % is needed, such as {}=3% or {0}=0.03",
            part.name()
        )),
    }
}

fn needed() -> String {
    "inductance, capacitance, resistance or series with a tolerance is needed, such as inductance=3%"
        .to_owned()
}
