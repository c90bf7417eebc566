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
