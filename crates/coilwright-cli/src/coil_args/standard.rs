use std::path::PathBuf;

use clap::Args;
use coilwright_coil::condition::{Number, Range, Toleranced};

use crate::args::positive;

/// What coils are held against.
#[derive(Debug, Args)]
#[command(next_help_heading = "Standard")]
pub(crate) struct StandardArgs {
    /// A measurement of a sound coil of the same kind, taken the same way.
    #[arg(long, value_name = "GOOD", group = "standard", requires = "files")]
    pub(crate) against: Option<PathBuf>,

    /// Limits of a number, such as `q=15..`, `q=..50` or `resonance_hz=120e3..130e3`; may
    /// be given several times.
    ///
    /// Numbers: `resonance_hz`, `q`, `inductance_henry`, `resistance_ohm`, `capacitance_farad`, `direct_ohm`.
    #[arg(long, value_name = "NUMBER=LOW..HIGH", value_parser = limit, group = "standard")]
    pub(crate) limit: Vec<Limit>,

    /// A part of the design with its relative tolerance, such as
    /// `inductance_henry=1.62e-3:0.02` or `inductance_henry=1.62e-3:2%`; may be given several times.
    ///
    /// Numbers: `inductance_henry` (always needed), `capacitance_farad`, `resistance_ohm`, `direct_ohm`.
    #[arg(long, value_name = "NUMBER=VALUE:TOLERANCE", value_parser = nominal, group = "standard")]
    pub(crate) nominal: Vec<Nominal>,

    /// Turns of the coil, to tell shorted turns as a number.
    #[arg(long, value_name = "N", value_parser = positive)]
    pub(crate) turns: Option<f64>,
}

impl StandardArgs {
    /// Whether there is anything to hold coils against.
    pub(crate) const fn is_given(&self) -> bool {
        self.against.is_some() || !self.limit.is_empty() || !self.nominal.is_empty()
    }
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

    /// The same for the library.
    pub(crate) const fn number(self) -> Number {
        match self {
            Self::Resonance => Number::Resonance,
            Self::Q => Number::Q,
            Self::Inductance => Number::Inductance,
            Self::Resistance => Number::Resistance,
            Self::Capacitance => Number::Capacitance,
            Self::Direct => Number::DirectResistance,
        }
    }

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

/// A number's key and what stands behind it.
fn keyed<'t>(text: &'t str, example: &str) -> Result<(Key, &'t str), String> {
    let (name, rest) = text
        .split_once('=')
        .ok_or_else(|| format!("a number and a value are needed, such as {example}"))?;
    let key = Key::ALL.into_iter().find(|key| key.name() == name);
    let key = key.ok_or_else(|| {
        let names: Vec<&str> = Key::ALL.into_iter().map(Key::name).collect();
        format!("no such number; there are {}", names.join(", "))
    })?;
    Ok((key, rest))
}

fn limit(text: &str) -> Result<Limit, String> {
    const FORM: &str = "two limits are needed, such as 15..30, or one, such as 15.. or ..30";
    let (key, rest) = keyed(text, "q=15..")?;
    let (low, high) = rest.split_once("..").ok_or(FORM)?;
    let low = match low {
        "" => 0.0,
        low => positive(low)?,
    };
    let high = match high {
        "" => f64::INFINITY,
        high => positive(high)?,
    };
    if low == 0.0 && high.is_infinite() {
        return Err(FORM.to_owned());
    }
    if low >= high {
        return Err("the lower limit is needed first".to_owned());
    }
    let range = Range { low, high };
    Ok(Limit { key, range })
}

fn nominal(text: &str) -> Result<Nominal, String> {
    let (key, rest) = keyed(text, "inductance_henry=1.62e-3:0.02")?;
    let (value, tolerance) = rest
        .split_once(':')
        .ok_or("a value and its relative tolerance are needed, such as 1.62e-3:0.02")?;
    let value = Toleranced {
        value: positive(value)?,
        relative_tolerance: relative(tolerance)?,
    };
    Ok(Nominal { key, value })
}

/// A tolerance as a part of one, or in percent.
pub(super) fn relative(text: &str) -> Result<f64, String> {
    let part = match text.trim_end().strip_suffix('%') {
        Some(percent) => 0.01 * positive(percent.trim_end())?,
        None => positive(text)?,
    };
    if part < 1.0 {
        return Ok(part);
    }
    Err(format!(
        "a tolerance below 1 is needed, and {text} is {:.0} %: write 5 % as 0.05 or 5%",
        100.0 * part
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn either_end_of_a_limit_may_be_left_out() {
        let range = |text| limit(text).map(|limit| (limit.range.low, limit.range.high));
        assert_eq!(range("q=15..30"), Ok((15.0, 30.0)));
        assert_eq!(range("q=15.."), Ok((15.0, f64::INFINITY)));
        assert_eq!(range("q=..50"), Ok((0.0, 50.0)));
        assert!(range("q=..").is_err() && range("q=30..15").is_err() && range("q=0..5").is_err());
    }
}
