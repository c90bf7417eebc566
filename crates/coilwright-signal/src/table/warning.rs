use std::fmt;

/// What was doubtful in a table that could be read.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TableWarning {
    /// The last line has no end: it may be cut and was left out.
    PartialLine {
        /// The line, from 1.
        line: u64,
    },
    /// The last line of a table has no end; it is whole as far as can be told and was read.
    LastLineUnended {
        /// The line, from 1.
        line: u64,
    },
    /// A point at 0 Hz says nothing of an inductance and was left out.
    ZeroFrequency {
        /// The line, from 1.
        line: u64,
    },
    /// The real part of some impedances is negative, as no coil's is.
    NegativeResistance {
        /// How many.
        points: usize,
        /// The lowest frequency of one, hertz.
        first_hz: f64,
    },
    /// Fewer points than the file states.
    FewerPoints {
        /// Points read.
        found: usize,
        /// Points stated.
        stated: usize,
    },
    /// More points than the file states.
    MorePoints {
        /// Points read.
        found: usize,
        /// Points stated.
        stated: usize,
    },
    /// The file ends without its closing keyword.
    EndMissing,
    /// Noise parameters follow the network data; they are not read.
    NoiseSkipped {
        /// Where they start, from 1.
        line: u64,
    },
    /// The points ran from high to low frequency and were turned round.
    Reversed,
}

impl fmt::Display for TableWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PartialLine { line } => write!(
                f,
                "line {line} has no end and may be cut: it is left out; copy the file again"
            ),
            Self::LastLineUnended { line } => write!(
                f,
                "line {line} has no end: it is read as it stands; look whether it is whole"
            ),
            Self::ZeroFrequency { line } => {
                write!(f, "line {line} is a point at 0 Hz: it is left out")
            }
            Self::NegativeResistance { points, first_hz } => write!(
                f,
                "the resistance or Q is negative at {points} points, the lowest at {first_hz:.0} Hz: no coil has that; \
                 check the phase's sign and the fixture's compensation"
            ),
            Self::FewerPoints { found, stated } => write!(
                f,
                "{found} of {stated} stated points are there: the file may be cut; copy it again"
            ),
            Self::MorePoints { found, stated } => write!(
                f,
                "{found} points are there, {stated} are stated: all are read"
            ),
            Self::EndMissing => {
                f.write_str("the closing [End] is missing: the file may be cut; copy it again")
            }
            Self::NoiseSkipped { line } => {
                write!(f, "noise parameters from line {line} on are not read")
            }
            Self::Reversed => f.write_str("the points ran from high to low frequency"),
        }
    }
}
