use super::Parameter;
use num_complex::Complex64;

/// How a pair of numbers makes a complex one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Pair {
    /// Decibels (20 log10) and degrees.
    Decibel,
    /// Magnitude and degrees.
    #[default]
    Magnitude,
    /// Real and imaginary part.
    Real,
}

impl Pair {
    pub(super) fn complex(self, first: f64, second: f64) -> Complex64 {
        match self {
            Self::Decibel => Complex64::from_polar(10_f64.powf(first / 20.0), second.to_radians()),
            Self::Magnitude => Complex64::from_polar(first, second.to_radians()),
            Self::Real => Complex64::new(first, second),
        }
    }
}

/// The option line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Options {
    pub(super) unit_hz: f64,
    pub(super) parameter: Parameter,
    pub(super) pair: Pair,
    pub(super) reference_ohm: f64,
}

impl Options {
    /// Of the words after `#`, in any order and case; the word that is not understood otherwise.
    pub(super) fn parse<'a>(words: impl Iterator<Item = &'a str>) -> Result<Self, &'a str> {
        let mut options = Self {
            unit_hz: 1e9,
            parameter: Parameter::default(),
            pair: Pair::default(),
            reference_ohm: 50.0,
        };
        let mut words = words;
        while let Some(word) = words.next() {
            match word.to_ascii_uppercase().as_str() {
                "HZ" => options.unit_hz = 1.0,
                "KHZ" => options.unit_hz = 1e3,
                "MHZ" => options.unit_hz = 1e6,
                "GHZ" => options.unit_hz = 1e9,
                "S" => options.parameter = Parameter::Scattering,
                "Y" => options.parameter = Parameter::Admittance,
                "Z" => options.parameter = Parameter::Impedance,
                "DB" => options.pair = Pair::Decibel,
                "MA" => options.pair = Pair::Magnitude,
                "RI" => options.pair = Pair::Real,
                "R" => {
                    let value = words.next().ok_or(word)?;
                    options.reference_ohm = resistance(value).ok_or(value)?;
                }
                _ => return Err(word),
            }
        }
        Ok(options)
    }
}

/// Whether a line without its comment is an option line.
pub(crate) fn is_option_line(content: &str) -> bool {
    content
        .strip_prefix('#')
        .is_some_and(|words| Options::parse(words.split_whitespace()).is_ok())
}

/// A positive finite resistance.
pub(super) fn resistance(word: &str) -> Option<f64> {
    let value: f64 = word.parse().ok()?;
    (value.is_finite() && value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
    use super::*;

    #[test]
    fn any_order_and_case() {
        let options = Options::parse("r 75 ri KHz z".split(' ')).unwrap();
        assert_eq!(
            options,
            Options {
                unit_hz: 1e3,
                parameter: Parameter::Impedance,
                pair: Pair::Real,
                reference_ohm: 75.0
            }
        );
        assert_eq!(Options::parse("Hz H".split(' ')), Err("H"));
        assert_eq!(Options::parse("R -50".split(' ')), Err("-50"));
        assert_eq!(Options::parse("R".split(' ')), Err("R"));
    }

    #[test]
    fn pairs() {
        let near = |a: Complex64, b: Complex64| (a - b).norm() < 1e-12;
        let half = Complex64::new(0.0, 0.5);
        assert!(near(Pair::Magnitude.complex(0.5, 90.0), half));
        assert!(near(Pair::Real.complex(0.0, 0.5), half));
        assert!(near(
            Pair::Decibel.complex(-20.0, 180.0),
            Complex64::new(-0.1, 0.0)
        ));
    }
}
