use std::fmt;

use serde::Serialize;

/// What a line of a spectrum is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[non_exhaustive]
pub enum LineKind {
    /// The carrier.
    Carrier,
    /// The strongest line of a key within half a bit rate of this multiple of the bit rate beside the carrier.
    Sideband {
        /// Multiple of the bit rate; negative below the carrier in the air.
        order: i32,
    },
    /// A key's subcarrier beside the carrier.
    Subcarrier {
        /// Carrier periods in a period of the subcarrier; negative below the carrier in the air.
        clocks: i32,
    },
    /// A harmonic of the carrier.
    Harmonic {
        /// Which one; 2 is twice the carrier.
        order: u32,
        /// Whether it lies above half the sample rate and is seen folded.
        folded: bool,
    },
    /// Mains hum, by itself or on the carrier.
    Hum {
        /// Multiple of the mains frequency, in hertz.
        hum_hz: u32,
        /// Whether it stands beside the carrier rather than at the bottom of the spectrum.
        on_carrier: bool,
    },
    /// A line that is no key's, which was taken out before the key was read.
    TakenOut,
    /// A line that stands out and is none of these.
    Unknown,
}

impl fmt::Display for LineKind {
    /// A short label for a plot.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Carrier => formatter.write_str("carrier"),
            Self::Sideband { order } => write!(formatter, "{order:+} × bit rate"),
            Self::Subcarrier { clocks } if *clocks < 0 => {
                write!(formatter, "subcarrier −RF/{}", clocks.unsigned_abs())
            }
            Self::Subcarrier { clocks } => write!(formatter, "subcarrier +RF/{clocks}"),
            Self::Harmonic {
                order,
                folded: true,
            } => write!(formatter, "harmonic {order}, folded"),
            Self::Harmonic { order, .. } => write!(formatter, "harmonic {order}"),
            Self::Hum {
                hum_hz,
                on_carrier: true,
            } => write!(formatter, "hum ±{hum_hz} Hz"),
            Self::Hum { hum_hz, .. } => write!(formatter, "hum {hum_hz} Hz"),
            Self::TakenOut => formatter.write_str("line taken out"),
            Self::Unknown => formatter.write_str("unknown"),
        }
    }
}

/// A line of a spectrum with what it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LabelledLine {
    /// What it is.
    #[serde(flatten)]
    pub kind: LineKind,
    /// Where it is seen in the samples.
    pub frequency_hz: f64,
    /// Its level over the carrier's, in decibels.
    pub level_dbc: f64,
}
