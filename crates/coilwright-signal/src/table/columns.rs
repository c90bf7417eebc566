//! What the columns of a table over frequency hold, by the words over them.

use crate::capture::delimited::heading::parts;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Frequency,
    Magnitude,
    Phase,
    Resistance,
    Reactance,
    SeriesInductance,
    ParallelInductance,
    Q,
    /// The dissipation factor `D = 1/Q`.
    Dissipation,
    ParallelResistance,
    /// Voltage, current or their ratio, linear.
    Amplitude,
    /// The same in decibels.
    Decibels,
    /// Real part of a complex ratio or voltage.
    Real,
    /// Its imaginary part.
    Imaginary,
}

/// How ohm is spelled.
const OHM: &[&str] = &["ohms", "ohm"];

/// A column and the factor to hertz, ohm, radians, henry or one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) kind: Kind,
    pub(super) factor: f64,
}

impl Column {
    /// Of the words over a column; `None` if they say nothing of use. Names are common practice of impedance meters, no source.
    pub(super) fn of(words: &str) -> Option<Self> {
        let spelled = with_ohm(words);
        let mut words = parts(&spelled);
        let name = words.next()?.to_lowercase();
        let unit = words.next_back();
        let kind = match name.as_str() {
            "f" | "freq" | "freq." | "frequency" => Kind::Frequency,
            "|z|" | "z" | "zmag" | "mag" | "impedance" | "magnitude" => Kind::Magnitude,
            "phase" | "theta" | "θ" | "phi" | "φ" | "arg" | "angle" | "θz" => Kind::Phase,
            "r" | "rs" | "esr" | "resistance" => Kind::Resistance,
            "x" | "xs" | "reactance" => Kind::Reactance,
            "l" | "ls" | "inductance" => Kind::SeriesInductance,
            "lp" => Kind::ParallelInductance,
            "rp" => Kind::ParallelResistance,
            "q" => Kind::Q,
            "d" | "df" | "dissipation" => Kind::Dissipation,
            "re" | "real" => Kind::Real,
            "im" | "imag" | "imaginary" => Kind::Imaginary,
            "amplitude" | "amp" | "voltage" | "volts" | "v" | "u" | "vpp" | "vrms" | "rms"
            | "current" | "level" | "gain" | "|h|" | "|s21|" | "s21" => Kind::Amplitude,
            _ => return None,
        };
        if matches!(kind, Kind::Real | Kind::Imaginary) {
            return Self::of_part(kind, words.chain(unit));
        }
        let kind = of_amplitude(kind, unit);
        Some(Self {
            kind,
            factor: factor(kind, unit)?,
        })
    }

    /// Of a real or imaginary part, by what it is said to be of and its unit, such as `Re(Z) (kOhm)`, `Im S21` or `Re [mV]`.
    fn of_part<'w>(kind: Kind, words: impl Iterator<Item = &'w str>) -> Option<Self> {
        let of_impedance = if kind == Kind::Real {
            Kind::Resistance
        } else {
            Kind::Reactance
        };
        let mut column = Self { kind, factor: 1.0 };
        for word in words {
            if word.eq_ignore_ascii_case("z") {
                column = Self::plain(of_impedance);
            } else if let Some(factor) = amplitude_factor(word) {
                column = Self { kind, factor };
            } else if prefix(word, OHM).is_some() {
                column = Self {
                    kind: of_impedance,
                    factor: factor(of_impedance, Some(word))?,
                };
            }
        }
        Some(column)
    }

    /// Of the words over a column, nearest first: a name with or without its unit, or a unit in a line of its own under the name.
    pub(super) fn over(words: impl Iterator<Item = String>) -> Option<Self> {
        let mut unit: Option<String> = None;
        for words in words {
            if let Some(mut column) = Self::of(&words) {
                if let Some(unit) = unit.filter(|_| parts(&words).count() < 2) {
                    let unit = plain_unit(&unit);
                    column.kind = of_amplitude(column.kind, Some(&unit));
                    column.factor = factor(column.kind, Some(&unit))?;
                }
                return Some(column);
            }
            let is_number = words.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
            if !words.is_empty() && !is_number {
                unit.get_or_insert(words);
            }
        }
        Self::of_unit(&plain_unit(&unit?))
    }

    /// Of a unit that stands for its quantity: hertz a frequency, ohm a magnitude, degrees a phase, henry a series inductance.
    fn of_unit(unit: &str) -> Option<Self> {
        let kinds = [
            Kind::Frequency,
            Kind::Magnitude,
            Kind::Phase,
            Kind::SeriesInductance,
        ];
        kinds.into_iter().find_map(|kind| {
            let factor = factor(kind, Some(unit))?;
            Some(Self { kind, factor })
        })
    }

    /// Of a table without names: hertz, ohm, degrees, henry.
    pub(super) fn plain(kind: Kind) -> Self {
        let factor = if kind == Kind::Phase {
            1_f64.to_radians()
        } else {
            1.0
        };
        Self { kind, factor }
    }
}

/// A magnitude in volts or amperes is an amplitude, and any amplitude in decibels is one of its own kind.
fn of_amplitude(kind: Kind, unit: Option<&str>) -> Kind {
    let is_amplitude = matches!(kind, Kind::Amplitude | Kind::Magnitude);
    match unit {
        Some(unit) if is_amplitude && unit.to_lowercase().starts_with("db") => Kind::Decibels,
        Some(unit) if is_amplitude && amplitude_factor(unit).is_some() => Kind::Amplitude,
        _ => kind,
    }
}

/// The factor to volts or amperes.
fn amplitude_factor(unit: &str) -> Option<f64> {
    match unit.to_lowercase().as_str() {
        "v" | "volt" | "volts" | "vpp" | "vrms" | "a" => Some(1.0),
        "mv" | "ma" => Some(1e-3),
        "uv" | "ua" | "µv" | "µa" => Some(1e-6),
        _ => None,
    }
}

/// With ohm spelled out.
fn with_ohm(words: &str) -> String {
    words.replace(['Ω', 'ω', '\u{2126}'], "ohm")
}

/// A unit in a line of its own, without brackets.
fn plain_unit(words: &str) -> String {
    let words = with_ohm(words);
    parts(&words).next().unwrap_or_default().to_owned()
}

/// The factor of a unit; `None` for a unit that does not fit.
fn factor(kind: Kind, unit: Option<&str>) -> Option<f64> {
    let Some(unit) = unit else {
        return Some(Column::plain(kind).factor);
    };
    if is_ambiguous_unit(unit) {
        return None;
    }
    // Without capitals the heading has no case to keep, and m before hertz is mega.
    let unit = if unit == "mhz" { "MHz" } else { unit };
    match kind {
        Kind::Frequency => prefix(unit, &["hz", "hertz"]).and_then(frequency_prefix),
        Kind::Magnitude | Kind::Resistance | Kind::Reactance | Kind::ParallelResistance => {
            prefix(unit, OHM).and_then(resistance_prefix)
        }
        Kind::SeriesInductance | Kind::ParallelInductance => {
            prefix(unit, &["h", "henry", "henries"]).and_then(inductance_prefix)
        }
        Kind::Phase => match unit.to_lowercase().as_str() {
            "deg" | "degrees" | "degree" | "°" => Some(1_f64.to_radians()),
            "rad" | "radians" => Some(1.0),
            _ => None,
        },
        Kind::Q | Kind::Dissipation | Kind::Decibels => Some(1.0),
        Kind::Amplitude | Kind::Real | Kind::Imaginary => amplitude_factor(unit),
    }
}

/// Whether the case of a unit leaves open which it is: milli or mega.
fn is_ambiguous_unit(unit: &str) -> bool {
    matches!(unit, "mHz" | "MOHM" | "MOHMS")
}

/// The part of the words over a column that leaves its unit open.
pub(super) fn ambiguous_unit(words: &str) -> Option<String> {
    let spelled = with_ohm(words);
    let found = parts(&spelled).find(|part| is_ambiguous_unit(part));
    found.map(str::to_owned)
}

/// What stands before the name of a unit, in its own case.
fn prefix<'a>(unit: &'a str, names: &[&str]) -> Option<&'a str> {
    names.iter().find_map(|name| {
        let (prefix, found) = unit.split_at_checked(unit.len().checked_sub(name.len())?)?;
        found.eq_ignore_ascii_case(name).then_some(prefix)
    })
}

fn frequency_prefix(prefix: &str) -> Option<f64> {
    match prefix {
        "" => Some(1.0),
        "k" | "K" => Some(1e3),
        "M" => Some(1e6),
        "G" | "g" => Some(1e9),
        _ => None,
    }
}

fn resistance_prefix(prefix: &str) -> Option<f64> {
    match prefix {
        "" => Some(1.0),
        "m" => Some(1e-3),
        "k" | "K" => Some(1e3),
        "M" => Some(1e6),
        "u" | "U" => Some(1e-6),
        _ => None,
    }
}

/// There is no megahenry.
fn inductance_prefix(prefix: &str) -> Option<f64> {
    match prefix {
        "" => Some(1.0),
        "m" | "M" => Some(1e-3),
        "u" | "U" => Some(1e-6),
        "n" | "N" => Some(1e-9),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_may_stand_in_a_line_of_its_own() {
        let over = |lines: &[&str]| Column::over(lines.iter().map(|&line| line.to_owned()));
        let column = |kind, factor| Some(Column { kind, factor });
        assert_eq!(over(&["(uH)", "Ls"]), column(Kind::SeriesInductance, 1e-6));
        assert_eq!(over(&["", "Q"]), column(Kind::Q, 1.0));
        assert_eq!(over(&["12.5", "Freq"]), column(Kind::Frequency, 1.0));
        assert_eq!(over(&["kHz", "Freq", "x"]), column(Kind::Frequency, 1e3));
        assert_eq!(over(&["s", "Freq"]), None);
        assert_eq!(over(&["Hz"]), column(Kind::Frequency, 1.0));
        assert_eq!(over(&["kOhm"]), column(Kind::Magnitude, 1e3));
        assert_eq!(over(&["V"]), column(Kind::Amplitude, 1.0));
        assert_eq!(
            over(&["remark", "Ls (mH)"]),
            column(Kind::SeriesInductance, 1e-3)
        );
    }

    #[test]
    fn names_and_units() {
        let of = |words| Column::of(words).map(|c| (c.kind, c.factor));
        assert_eq!(of("Frequency (kHz)"), Some((Kind::Frequency, 1e3)));
        assert_eq!(of("freq/MHz"), Some((Kind::Frequency, 1e6)));
        assert_eq!(of("|Z| [Ω]"), Some((Kind::Magnitude, 1.0)));
        assert_eq!(of("Ls (uH)"), Some((Kind::SeriesInductance, 1e-6)));
        assert_eq!(of("Lp_mH"), Some((Kind::ParallelInductance, 1e-3)));
        assert_eq!(of("phase (rad)"), Some((Kind::Phase, 1.0)));
        assert_eq!(of("R (kOhm)"), Some((Kind::Resistance, 1e3)));
        assert_eq!(of("R (MOhm)"), Some((Kind::Resistance, 1e6)));
        assert_eq!(of("R (MΩ)"), Some((Kind::Resistance, 1e6)));
        assert_eq!(of("R (mΩ)"), Some((Kind::Resistance, 1e-3)));
        assert_eq!(of("R (mohm)"), Some((Kind::Resistance, 1e-3)));
        assert_eq!(of("R (KOHM)"), Some((Kind::Resistance, 1e3)));
        assert_eq!(of("R (MOHM)"), None);
        assert_eq!(of("Freq (mHz)"), None);
        assert_eq!(of("FREQ (MHZ)"), Some((Kind::Frequency, 1e6)));
        assert_eq!(of("freq (mhz)"), Some((Kind::Frequency, 1e6)));
        assert_eq!(of("LS (MH)"), Some((Kind::SeriesInductance, 1e-3)));
        assert_eq!(of("inductance_henry"), Some((Kind::SeriesInductance, 1.0)));
        assert_eq!(of("theta [°]"), Some((Kind::Phase, 1_f64.to_radians())));
        assert_eq!(of("D"), Some((Kind::Dissipation, 1.0)));
        assert_eq!(of("Rp (kOhm)"), Some((Kind::ParallelResistance, 1e3)));
        assert_eq!(of("Q"), Some((Kind::Q, 1.0)));
        assert_eq!(of("Re(S21)"), Some((Kind::Real, 1.0)));
        assert_eq!(of("Im [mV]"), Some((Kind::Imaginary, 1e-3)));
        assert_eq!(of("Re(Z) (kOhm)"), Some((Kind::Resistance, 1e3)));
        assert_eq!(of("imag Z"), Some((Kind::Reactance, 1.0)));
        assert_eq!(of("Im(Z) (MOHM)"), None);
        assert_eq!(of("Phase (V)"), None);
        assert_eq!(of("Amplitude (mV)"), Some((Kind::Amplitude, 1e-3)));
        assert_eq!(of("Vpp"), Some((Kind::Amplitude, 1.0)));
        assert_eq!(of("Magnitude (dB)"), Some((Kind::Decibels, 1.0)));
        assert_eq!(of("Level [dBV]"), Some((Kind::Decibels, 1.0)));
        assert_eq!(of("amplitude (furlong)"), None);
        assert_eq!(of("Remark"), None);
        assert_eq!(of(""), None);
    }
}
