use crate::capture::input::Input;
use crate::capture::raw_type::{ByteOrder, Number, RawType};
use crate::capture::{ReadError, SampleKind};

/// Longest header that is read; the arrays that can be read need some hundred bytes.
const HEADER_LIMIT_BYTES: usize = 16 * 1024;

/// What the header says.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) stored: RawType,
    pub(super) shape: Shape,
}

/// Lengths of one or two axes and their order in the file.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    pub(super) rows: u64,
    pub(super) columns: Option<u64>,
    /// Fortran order: the rows of one column stand side by side.
    pub(super) column_by_column: bool,
}

/// Reads up to the first number.
pub(super) fn read(input: &mut Input) -> Result<Header, ReadError> {
    let [.., major, _minor] = input.header::<8>("the NPY magic and version")?;
    let length = match major {
        1 => usize::from(u16::from_le_bytes(input.header::<2>("the header length")?)),
        2 | 3 => u32::from_le_bytes(input.header::<4>("the header length")?) as usize,
        _ => {
            return Err(refused(
                input,
                format!("version {major}"),
                "version 1, 2 or 3",
            ));
        }
    };
    if length > HEADER_LIMIT_BYTES {
        return Err(refused(
            input,
            format!("a header of {length} bytes"),
            "at most 16384 bytes",
        ));
    }
    let bytes = input.fill(length)?;
    let Some(bytes) = bytes.get(..length) else {
        return Err(ReadError::HeaderCut {
            path: input.name().to_owned(),
            offset_bytes: input.offset(),
            part: "the NPY header",
            expected_bytes: length as u64,
            found_bytes: input.at_hand().len() as u64,
        });
    };
    let text = String::from_utf8_lossy(bytes).into_owned();
    let header = parse(input, &text)?;
    input.consume(length);
    Ok(header)
}

fn parse(input: &Input, text: &str) -> Result<Header, ReadError> {
    let descr =
        value_of(text, "descr").ok_or_else(|| refused(input, excerpt(text), "the key 'descr'"))?;
    let order = value_of(text, "fortran_order")
        .ok_or_else(|| refused(input, excerpt(text), "the key 'fortran_order'"))?;
    let shape =
        value_of(text, "shape").ok_or_else(|| refused(input, excerpt(text), "the key 'shape'"))?;
    let stored = stored_type(descr).ok_or_else(|| ReadError::NpyType {
        path: input.name().to_owned(),
        offset_bytes: input.offset(),
        found: excerpt(quoted(descr)),
    })?;
    let (rows, columns) = axes(shape).ok_or_else(|| ReadError::NpyShape {
        path: input.name().to_owned(),
        offset_bytes: input.offset(),
        found: excerpt(shape.split_inclusive(')').next().unwrap_or(shape)),
    })?;
    let column_by_column = match order.get(..4) {
        Some("True") => true,
        Some("Fals") => false,
        _ => {
            return Err(refused(
                input,
                excerpt(order),
                "True or False for 'fortran_order'",
            ));
        }
    };
    let shape = Shape {
        rows,
        columns,
        column_by_column,
    };
    Ok(Header { stored, shape })
}

/// What stands behind the key of the dictionary.
fn value_of<'text>(text: &'text str, key: &str) -> Option<&'text str> {
    let (place, _) = text.match_indices(key).find(|&(place, _)| {
        text.get(..place)
            .is_some_and(|before| before.ends_with(['\'', '"']))
    })?;
    let rest = text.get(place + key.len()..)?.strip_prefix(['\'', '"'])?;
    Some(rest.trim_start().strip_prefix(':')?.trim_start())
}

/// The type of a quoted description such as `'<i2'`.
fn stored_type(descr: &str) -> Option<RawType> {
    let quote = descr
        .chars()
        .next()
        .filter(|quote| ['\'', '"'].contains(quote))?;
    let (name, _) = descr.get(1..)?.split_once(quote)?;
    let mut characters = name.chars();
    let order = match characters.next()? {
        '<' | '|' | '=' => ByteOrder::Little,
        '>' => ByteOrder::Big,
        _ => return None,
    };
    let letter = characters.next()?;
    let bits = 8 * characters
        .as_str()
        .parse::<usize>()
        .ok()
        .filter(|&bytes| bytes <= 16)?;
    let (kind, number) = match letter {
        'c' => (SampleKind::Complex, Number::of('f', bits / 2)?),
        'i' | 'u' | 'f' => (SampleKind::Real, Number::of(letter, bits)?),
        _ => return None,
    };
    Some(RawType {
        kind,
        number,
        order,
    })
}

/// Lengths in a tuple of one or two.
fn axes(shape: &str) -> Option<(u64, Option<u64>)> {
    let (inside, _) = shape.strip_prefix('(')?.split_once(')')?;
    let inside = inside.trim();
    let inside = inside.strip_suffix(',').unwrap_or(inside);
    // Python 2 wrote long integers as `10L`.
    let lengths: Result<Vec<u64>, _> = inside
        .splitn(3, ',')
        .map(|length| length.trim().trim_end_matches('L').parse())
        .collect();
    match *lengths.ok()? {
        [rows] => Some((rows, None)),
        [rows, columns] => Some((rows, Some(columns))),
        _ => None,
    }
}

/// The text up to the end of its quotation, where it starts with one.
fn quoted(text: &str) -> &str {
    let quote = text
        .chars()
        .next()
        .filter(|quote| ['\'', '"'].contains(quote));
    let end = quote.and_then(|quote| text.get(1..)?.find(quote));
    end.and_then(|end| text.get(..end + 2)).unwrap_or(text)
}

/// The start of a text as messages show it.
fn excerpt(text: &str) -> String {
    let start: String = text.chars().take(40).collect();
    format!("`{}`", start.trim_end())
}

fn refused(input: &Input, found: String, expected: &'static str) -> ReadError {
    ReadError::NpyHeader {
        path: input.name().to_owned(),
        offset_bytes: input.offset(),
        found,
        expected,
    }
}
