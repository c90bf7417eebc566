use std::fmt;
use std::str::FromStr;

use super::{ReadError, SampleKind};

/// How one number is stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Number {
    Signed8,
    Unsigned8,
    Signed16,
    Unsigned16,
    Signed24,
    Unsigned24,
    Signed32,
    Unsigned32,
    Signed64,
    Unsigned64,
    Float32,
    Float64,
}

impl Number {
    pub(super) const fn bytes(self) -> usize {
        match self {
            Self::Signed8 | Self::Unsigned8 => 1,
            Self::Signed16 | Self::Unsigned16 => 2,
            Self::Signed24 | Self::Unsigned24 => 3,
            Self::Signed32 | Self::Unsigned32 | Self::Float32 => 4,
            Self::Signed64 | Self::Unsigned64 | Self::Float64 => 8,
        }
    }

    pub(super) const fn is_float(self) -> bool {
        matches!(self, Self::Float32 | Self::Float64)
    }

    const fn letter(self) -> char {
        match self {
            Self::Signed8 | Self::Signed16 | Self::Signed24 | Self::Signed32 | Self::Signed64 => {
                'i'
            }
            Self::Unsigned8
            | Self::Unsigned16
            | Self::Unsigned24
            | Self::Unsigned32
            | Self::Unsigned64 => 'u',
            Self::Float32 | Self::Float64 => 'f',
        }
    }

    /// The number of this letter (`i`, `u`, `f`) and width.
    pub(super) const fn of(letter: char, bits: usize) -> Option<Self> {
        Some(match (letter, bits) {
            ('i', 8) => Self::Signed8,
            ('u', 8) => Self::Unsigned8,
            ('i', 16) => Self::Signed16,
            ('u', 16) => Self::Unsigned16,
            ('i', 24) => Self::Signed24,
            ('u', 24) => Self::Unsigned24,
            ('i', 32) => Self::Signed32,
            ('u', 32) => Self::Unsigned32,
            ('i', 64) => Self::Signed64,
            ('u', 64) => Self::Unsigned64,
            ('f', 32) => Self::Float32,
            ('f', 64) => Self::Float64,
            _ => return None,
        })
    }

    /// The number in words, such as `16-bit integer`.
    pub(super) fn words(self) -> String {
        let bits = 8 * self.bytes();
        match self.letter() {
            'i' => format!("{bits}-bit integer"),
            'u' => format!("{bits}-bit unsigned integer"),
            _ => format!("{bits}-bit float"),
        }
    }
}

/// Which byte of a number comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ByteOrder {
    Little,
    Big,
}

/// How a bare sample is stored: real or complex, the kind of number and its byte order.
///
/// Written as an optional `r` (real) or `c` (complex: I then Q), then `i` (signed), `u` (offset binary) or `f`
/// (float), the bits, and `le` or `be` for more than one byte: `u8`, `i16le`, `i24le`, `f32le`, `ci16le`, `cf32le`.
/// Underscores are ignored, so that the spelling of `SigMF` (`ci16_le`) is understood too.
///
/// ```
/// use coilwright_signal::capture::{RawType, SampleKind};
/// let stored: RawType = "ci16le".parse()?;
/// assert_eq!(stored.kind(), SampleKind::Complex);
/// assert_eq!(stored.bytes(), 4);
/// # Ok::<(), coilwright_signal::capture::ReadError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RawType {
    pub(super) kind: SampleKind,
    pub(super) number: Number,
    pub(super) order: ByteOrder,
}

impl RawType {
    /// Real samples, little-endian.
    pub(super) const fn real(number: Number) -> Self {
        Self {
            kind: SampleKind::Real,
            number,
            order: ByteOrder::Little,
        }
    }

    /// Real or complex.
    pub const fn kind(self) -> SampleKind {
        self.kind
    }

    /// Bytes that one sample takes; both parts of a complex one.
    pub const fn bytes(self) -> usize {
        self.kind.width() * self.number.bytes()
    }

    /// Smallest step once full scale is 1; `None` for floating point.
    pub(super) fn step(self) -> Option<f64> {
        (!self.number.is_float()).then(|| (1.0 - 8.0 * self.number.bytes() as f64).exp2())
    }

    /// The name that `SigMF` has for the type, such as `ri16_le`; `None` where it has none (24 and 64-bit integers).
    ///
    /// Source: `core:datatype` in the *Signal Metadata Format* specification, version 1.
    ///
    /// ```
    /// use coilwright_signal::capture::RawType;
    /// let stored: RawType = "i16le".parse()?;
    /// assert_eq!(stored.sigmf_name().as_deref(), Some("ri16_le"));
    /// # Ok::<(), coilwright_signal::capture::ReadError>(())
    /// ```
    #[must_use]
    pub fn sigmf_name(self) -> Option<String> {
        let (bytes, is_float) = (self.number.bytes(), self.number.is_float());
        if !matches!((bytes, is_float), (1 | 2 | 4, _) | (8, true)) {
            return None;
        }
        let kind = match self.kind {
            SampleKind::Real => "r",
            SampleKind::Complex => "c",
        };
        let order = match (bytes, self.order) {
            (1, _) => "",
            (_, ByteOrder::Little) => "_le",
            (_, ByteOrder::Big) => "_be",
        };
        Some(format!(
            "{kind}{}{}{order}",
            self.number.letter(),
            8 * bytes
        ))
    }

    /// The type in words, such as `complex 16-bit integer`.
    pub(super) fn words(self) -> String {
        match self.kind {
            SampleKind::Real => self.number.words(),
            SampleKind::Complex => format!("complex {}", self.number.words()),
        }
    }
}

impl fmt::Display for RawType {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.kind == SampleKind::Complex {
            formatter.write_str("c")?;
        }
        write!(
            formatter,
            "{}{}",
            self.number.letter(),
            8 * self.number.bytes()
        )?;
        match (self.number.bytes(), self.order) {
            (1, _) => Ok(()),
            (_, ByteOrder::Little) => formatter.write_str("le"),
            (_, ByteOrder::Big) => formatter.write_str("be"),
        }
    }
}

impl FromStr for RawType {
    type Err = ReadError;

    fn from_str(text: &str) -> Result<Self, ReadError> {
        parse(text).ok_or_else(|| ReadError::RawTypeUnknown {
            found: text.to_owned(),
        })
    }
}

fn parse(text: &str) -> Option<RawType> {
    let plain: String = text
        .chars()
        .filter(|&c| c != '_')
        .collect::<String>()
        .to_ascii_lowercase();
    let (kind, rest) = match plain.strip_prefix('c') {
        Some(rest) => (SampleKind::Complex, rest),
        None => (SampleKind::Real, plain.strip_prefix('r').unwrap_or(&plain)),
    };
    let (order, rest) = match (rest.strip_suffix("le"), rest.strip_suffix("be")) {
        (Some(rest), _) => (Some(ByteOrder::Little), rest),
        (_, Some(rest)) => (Some(ByteOrder::Big), rest),
        _ => (None, rest),
    };
    let mut characters = rest.chars();
    let letter = characters.next()?;
    let number = Number::of(letter, characters.as_str().parse().ok()?)?;
    let order = match order {
        Some(order) => order,
        None if number.bytes() == 1 => ByteOrder::Little,
        None => return None,
    };
    Some(RawType {
        kind,
        number,
        order,
    })
}
