/// What stands between the fields of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Delimiter {
    Tab,
    Semicolon,
    Comma,
    /// One or more spaces or tabs.
    Spaces,
    /// There is one field.
    Nothing,
}

impl Delimiter {
    /// In the order in which they are preferred.
    pub(crate) const ALL: [Self; 5] = [
        Self::Tab,
        Self::Semicolon,
        Self::Comma,
        Self::Spaces,
        Self::Nothing,
    ];

    /// In words.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Tab => "tabs",
            Self::Semicolon => "semicolons",
            Self::Comma => "commas",
            Self::Spaces => "spaces",
            Self::Nothing => "one column",
        }
    }

    const fn separates(self, byte: u8) -> bool {
        match self {
            Self::Tab => byte == b'\t',
            Self::Semicolon => byte == b';',
            Self::Comma => byte == b',',
            Self::Spaces => matches!(byte, b' ' | b'\t'),
            Self::Nothing => false,
        }
    }

    /// The fields of a row, trimmed, without empty ones at the end.
    pub(crate) fn fields(self, row: &[u8]) -> impl Iterator<Item = &[u8]> {
        let mut row = row.trim_ascii();
        while let Some((&last, rest)) = row.split_last()
            && self.separates(last)
        {
            row = rest.trim_ascii_end();
        }
        row.split(move |&byte| self.separates(byte))
            .map(trim)
            .filter(move |field| self != Self::Spaces || !field.is_empty())
    }
}

/// Without white space and quotation marks.
fn trim(field: &[u8]) -> &[u8] {
    let field = field.trim_ascii();
    match field {
        [b'"', inside @ .., b'"'] => inside.trim_ascii(),
        _ => field,
    }
}

/// Reads numbers with a decimal point or a decimal comma, whichever comes first, but not both.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct NumberReader {
    mark: Option<u8>,
}

/// Longest number that is read.
const NUMBER_BYTES: usize = 64;

impl NumberReader {
    /// The number in a trimmed field, if it is one.
    pub(crate) fn number(&mut self, field: &[u8]) -> Option<f64> {
        let mut plain = [0; NUMBER_BYTES];
        let plain = plain.get_mut(..field.len())?;
        plain.copy_from_slice(field);
        if let Some(place) = plain.iter().position(|byte| matches!(byte, b'.' | b',')) {
            let digit_follows = plain.get(place + 1).is_some_and(u8::is_ascii_digit);
            let mark = plain.get_mut(place)?;
            if self.mark.is_some_and(|known| known != *mark) {
                return None;
            }
            // A comma without digits behind it stands between fields.
            if *mark == b',' && !digit_follows {
                return None;
            }
            self.mark = Some(*mark);
            *mark = b'.';
        }
        std::str::from_utf8(plain).ok()?.parse().ok()
    }
}

/// How finely a number is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Digits {
    /// Digits from the first that is not zero.
    pub(super) significant: i32,
    /// Power of ten of the last digit.
    pub(super) last_power: i32,
}

impl Digits {
    /// Of a field that is a number.
    pub(super) fn of(field: &[u8]) -> Self {
        let mut digits = Self {
            significant: 0,
            last_power: 0,
        };
        let mut behind_mark = false;
        let mut bytes = field.iter();
        for byte in bytes.by_ref() {
            match byte {
                b'.' | b',' => behind_mark = true,
                b'0'..=b'9' => {
                    digits.significant += i32::from(*byte != b'0' || digits.significant > 0);
                    digits.last_power -= i32::from(behind_mark);
                }
                b'e' | b'E' => break,
                _ => {}
            }
        }
        let exponent = std::str::from_utf8(bytes.as_slice())
            .ok()
            .and_then(|text| text.parse::<i32>().ok());
        digits.last_power = digits.last_power.saturating_add(exponent.unwrap_or(0));
        digits
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_point_or_a_decimal_comma_but_not_both() {
        let mut point = NumberReader::default();
        assert_eq!(point.number(b"-1.25e-3"), Some(-1.25e-3));
        assert_eq!(point.number(b"1,5"), None);
        let mut comma = NumberReader::default();
        assert_eq!(comma.number(b"3"), Some(3.0));
        assert_eq!(comma.number(b"1,5"), Some(1.5));
        assert_eq!(comma.number(b"1.5"), None);
        assert_eq!(NumberReader::default().number(b"1.234,5"), None);
        assert_eq!(NumberReader::default().number(b""), None);
        assert_eq!(NumberReader::default().number(&[b'1'; 65]), None);
    }

    #[test]
    fn fields_are_trimmed_and_empty_ones_at_the_end_dropped() {
        let fields = |delimiter: Delimiter, row: &'static str| {
            delimiter.fields(row.as_bytes()).collect::<Vec<_>>()
        };
        assert_eq!(
            fields(Delimiter::Comma, " 1 ,\"2\",,3,, "),
            [&b"1"[..], b"2", b"", b"3"]
        );
        assert_eq!(fields(Delimiter::Spaces, "  1 \t 2  "), [b"1", b"2"]);
        assert_eq!(fields(Delimiter::Nothing, " 1,5 "), [b"1,5"]);
    }

    #[test]
    fn digits_of_printed_numbers() {
        let digits = |text: &str| {
            let digits = Digits::of(text.as_bytes());
            (digits.significant, digits.last_power)
        };
        assert_eq!(digits("0.00120"), (3, -5));
        assert_eq!(digits("-1,2340e-05"), (5, -9));
        assert_eq!(digits("0"), (0, 0));
        assert_eq!(digits("1200"), (4, 0));
    }
}
