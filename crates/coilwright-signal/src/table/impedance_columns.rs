use crate::capture::delimited::heading::parts;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Which two numbers of a row make the impedance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ImpedanceLayout {
    /// Magnitude and phase.
    MagnitudePhase,
    /// Series resistance and reactance.
    ResistanceReactance,
    /// Series inductance and Q.
    SeriesInductanceQ,
    /// Parallel inductance and Q.
    ParallelInductanceQ,
    /// Series inductance and series resistance.
    SeriesInductanceResistance,
}

impl ImpedanceLayout {
    /// All, in the order in which they are preferred where a table has more than one pair.
    pub(super) const ALL: [Self; 5] = [
        Self::ResistanceReactance,
        Self::MagnitudePhase,
        Self::SeriesInductanceResistance,
        Self::SeriesInductanceQ,
        Self::ParallelInductanceQ,
    ];

    pub(super) const fn pair(self) -> (Kind, Kind) {
        match self {
            Self::MagnitudePhase => (Kind::Magnitude, Kind::Phase),
            Self::ResistanceReactance => (Kind::Resistance, Kind::Reactance),
            Self::SeriesInductanceQ => (Kind::SeriesInductance, Kind::Q),
            Self::ParallelInductanceQ => (Kind::ParallelInductance, Kind::Q),
            Self::SeriesInductanceResistance => (Kind::SeriesInductance, Kind::Resistance),
        }
    }

    /// The impedance of two values in ohm, radians, henry and ones.
    pub(super) fn impedance(self, frequency_hz: f64, first: f64, second: f64) -> Complex64 {
        let reactance = TAU * frequency_hz * first;
        match self {
            Self::MagnitudePhase => Complex64::from_polar(first, second),
            Self::ResistanceReactance => Complex64::new(first, second),
            Self::SeriesInductanceQ => Complex64::new(reactance / second, reactance),
            Self::ParallelInductanceQ => {
                Complex64::new((reactance * second).recip(), -reactance.recip()).inv()
            }
            Self::SeriesInductanceResistance => Complex64::new(second, reactance),
        }
    }
}

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
    /// Voltage, current or their ratio, linear.
    Amplitude,
    /// The same in decibels.
    Decibels,
}

/// A column and the factor to hertz, ohm, radians, henry or one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) kind: Kind,
    pub(super) factor: f64,
}

impl Column {
    /// Of the words over a column; `None` if they say nothing of use. Names are common practice of impedance meters, no source.
    pub(super) fn of(words: &str) -> Option<Self> {
        let lower = in_ascii(words);
        let mut words = parts(&lower);
        let name = words.next()?;
        let unit = words.next_back();
        let kind = match name {
            "f" | "freq" | "freq." | "frequency" => Kind::Frequency,
            "|z|" | "z" | "zmag" | "impedance" | "magnitude" => Kind::Magnitude,
            "phase" | "theta" | "θ" | "phi" | "φ" | "arg" | "angle" => Kind::Phase,
            "r" | "rs" | "esr" | "resistance" => Kind::Resistance,
            "x" | "xs" | "reactance" => Kind::Reactance,
            "l" | "ls" | "inductance" => Kind::SeriesInductance,
            "lp" => Kind::ParallelInductance,
            "q" => Kind::Q,
            "amplitude" | "amp" | "voltage" | "volts" | "v" | "u" | "vpp" | "vrms" | "rms"
            | "current" | "level" | "gain" | "|h|" | "|s21|" | "s21" => Kind::Amplitude,
            _ => return None,
        };
        let kind = of_amplitude(kind, unit);
        Some(Self {
            kind,
            factor: factor(kind, unit)?,
        })
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
                unit = Some(words);
            }
        }
        None
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
        Some(unit) if is_amplitude && unit.starts_with("db") => Kind::Decibels,
        Some(unit) if is_amplitude && amplitude_factor(unit).is_some() => Kind::Amplitude,
        _ => kind,
    }
}

/// The factor to volts or amperes.
fn amplitude_factor(unit: &str) -> Option<f64> {
    match unit {
        "v" | "volt" | "volts" | "vpp" | "vrms" | "a" => Some(1.0),
        "mv" | "ma" => Some(1e-3),
        "uv" | "ua" | "µv" | "µa" => Some(1e-6),
        _ => None,
    }
}

/// In small letters, ohm spelled out.
fn in_ascii(words: &str) -> String {
    words.to_lowercase().replace(['Ω', 'ω', '\u{2126}'], "ohm")
}

/// A unit in a line of its own, without brackets.
fn plain_unit(words: &str) -> String {
    let words = in_ascii(words);
    parts(&words).next().unwrap_or_default().to_owned()
}

/// The factor of a unit; `None` for a unit that does not fit.
fn factor(kind: Kind, unit: Option<&str>) -> Option<f64> {
    let Some(unit) = unit else {
        return Some(Column::plain(kind).factor);
    };
    let base = match kind {
        Kind::Frequency => "hz",
        Kind::Magnitude | Kind::Resistance | Kind::Reactance => "ohm",
        Kind::SeriesInductance | Kind::ParallelInductance => "h",
        Kind::Phase => {
            return match unit {
                "deg" | "degrees" | "degree" | "°" => Some(1_f64.to_radians()),
                "rad" | "radians" => Some(1.0),
                _ => None,
            };
        }
        Kind::Q | Kind::Decibels => return Some(1.0),
        Kind::Amplitude => return amplitude_factor(unit),
    };
    let unit = unit.strip_suffix('s').unwrap_or(unit);
    match unit.strip_suffix(base)? {
        "" => Some(1.0),
        "k" => Some(1e3),
        "u" => Some(1e-6),
        "n" => Some(1e-9),
        // No meter shows milliohms of a coil over megahertz: m is mega for frequency only.
        "m" if kind == Kind::Frequency => Some(1e6),
        "m" => Some(1e-3),
        "g" if kind == Kind::Frequency => Some(1e9),
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
        assert_eq!(of("Q"), Some((Kind::Q, 1.0)));
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
