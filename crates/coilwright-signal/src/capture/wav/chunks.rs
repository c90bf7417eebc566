use super::format::Format;
use crate::capture::input::Input;
use crate::capture::{ReadError, ReadWarning};

/// What stands before the samples.
pub(super) struct Header {
    /// `WAV`, `RF64` or `BW64`.
    pub(super) container: &'static str,
    pub(super) format: Format,
    /// Bytes of samples that the header promises; `None` where it leaves that open.
    pub(super) data_bytes: Option<u64>,
    pub(super) start_time: Option<String>,
    pub(super) warnings: Vec<ReadWarning>,
}

/// Chunks that may follow an empty data chunk; anything else there is samples of a recorder that died.
const KNOWN_CHUNKS: [&[u8; 4]; 16] = [
    b"LIST", b"fact", b"bext", b"cue ", b"smpl", b"inst", b"PEAK", b"iXML", b"JUNK", b"junk",
    b"PAD ", b"FLLR", b"id3 ", b"ID3 ", b"axml", b"chna",
];

/// A size that a streaming or dying recorder leaves.
const OPEN_SIZE: u32 = u32::MAX;

/// Whether these are the first bytes of a WAV file, or all bytes of one that is cut.
pub(in crate::capture) fn is_wav(head: &[u8]) -> bool {
    let is_cut = head.len() < 12
        && [b"RIFF", b"RF64", b"BW64"]
            .iter()
            .any(|magic| head.starts_with(*magic));
    is_cut || container(head).is_some()
}

fn container(head: &[u8]) -> Option<&'static str> {
    let name = match head.first_chunk::<4>()? {
        b"RIFF" => "WAV",
        b"RF64" => "RF64",
        b"BW64" => "BW64",
        _ => return None,
    };
    (head.get(8..12)? == b"WAVE").then_some(name)
}

/// Reads chunks up to the first sample.
pub(super) fn read_header(input: &mut Input) -> Result<Header, ReadError> {
    let head = input.header::<12>("the RIFF header")?;
    let container = container(&head).unwrap_or("WAV");
    let mut walk = Walk::default();
    loop {
        let chunk_offset = input.offset();
        let Some(id) = input.take::<4>()? else {
            return Err(missing(
                input,
                if walk.format.is_none() {
                    "fmt "
                } else {
                    "data"
                },
            ));
        };
        let size = u32::from_le_bytes(input.header::<4>("the size of a chunk")?);
        if &id == b"data" {
            let format = walk
                .format
                .take()
                .ok_or_else(|| missing_before_data(input, chunk_offset))?;
            let data_bytes = data_size(input, size, walk.long_data_bytes, &mut walk.warnings)?;
            return Ok(Header {
                container,
                format,
                data_bytes,
                start_time: walk.start_time,
                warnings: walk.warnings,
            });
        }
        walk.chunk(input, id, size)?;
    }
}

#[derive(Default)]
struct Walk {
    format: Option<Format>,
    long_data_bytes: Option<u64>,
    start_time: Option<String>,
    warnings: Vec<ReadWarning>,
}

impl Walk {
    /// Reads one chunk other than `data`, its padding included.
    fn chunk(&mut self, input: &mut Input, id: [u8; 4], size: u32) -> Result<(), ReadError> {
        let end = input.offset() + u64::from(size);
        match &id {
            b"fmt " => self.format = Some(Format::read(input, size, &mut self.warnings)?),
            b"ds64" if size >= 16 => {
                let [.., a, b, c, d, e, f, g, h] = input.header::<16>("the ds64 chunk")?;
                self.long_data_bytes = Some(u64::from_le_bytes([a, b, c, d, e, f, g, h]));
            }
            b"bext" if size >= 338 => {
                input.skip(320)?;
                self.start_time = start_time(&input.header::<18>("the bext chunk")?);
            }
            _ => {}
        }
        input.skip(end.saturating_sub(input.offset()))?;
        if size % 2 == 1 {
            self.skip_padding(input)?;
        }
        Ok(())
    }

    /// Chunks of odd size are padded with one byte; some writers forget it. No chunk name starts with a zero.
    fn skip_padding(&mut self, input: &mut Input) -> Result<(), ReadError> {
        let next = input.fill(1)?.first().copied();
        match next {
            Some(byte) if byte.is_ascii_alphabetic() => {
                self.warnings.push(ReadWarning::PaddingMissing {
                    offset_bytes: input.offset(),
                });
            }
            _ => input.consume(1),
        }
        Ok(())
    }
}

/// Bytes of samples, or `None` with a warning where the recorder left the size open.
fn data_size(
    input: &mut Input,
    size: u32,
    long_size: Option<u64>,
    warnings: &mut Vec<ReadWarning>,
) -> Result<Option<u64>, ReadError> {
    let declared = match (size, long_size) {
        (OPEN_SIZE, Some(long)) => long,
        (OPEN_SIZE, None) => u64::MAX,
        (size, _) => u64::from(size),
    };
    let is_open = match declared {
        0 => samples_follow(input)?,
        u64::MAX => true,
        _ => false,
    };
    if is_open {
        warnings.push(ReadWarning::DataSizeMissing {
            offset_bytes: input.offset() - 4,
            found: size,
        });
    }
    Ok((!is_open).then_some(declared))
}

/// Whether a data chunk of size 0 is followed by something else than another chunk or the end.
fn samples_follow(input: &mut Input) -> Result<bool, ReadError> {
    let next = input.fill(4)?;
    let known = next
        .first_chunk::<4>()
        .is_some_and(|id| KNOWN_CHUNKS.contains(&id));
    Ok(!next.is_empty() && !known)
}

/// Origination date (10 characters) and time (8) of a broadcast wave, EBU Tech 3285, as ISO 8601.
fn start_time(stamp: &[u8; 18]) -> Option<String> {
    let text = std::str::from_utf8(stamp).ok()?;
    let digits = |part: &str, separators: [usize; 2]| {
        part.bytes()
            .enumerate()
            .all(|(place, byte)| separators.contains(&place) || byte.is_ascii_digit())
    };
    let (date, time) = text.split_at_checked(10)?;
    let valid = digits(date, [4, 7]) && digits(time, [2, 5]);
    let [year, month, day] = [date.get(..4)?, date.get(5..7)?, date.get(8..)?];
    let [hour, minute, second] = [time.get(..2)?, time.get(3..5)?, time.get(6..)?];
    (valid && year != "0000").then(|| format!("{year}-{month}-{day}T{hour}:{minute}:{second}"))
}

fn missing(input: &Input, chunk: &'static str) -> ReadError {
    ReadError::ChunkMissing {
        path: input.name().to_owned(),
        offset_bytes: input.offset(),
        chunk,
    }
}

fn missing_before_data(input: &Input, offset_bytes: u64) -> ReadError {
    ReadError::FormatAfterData {
        path: input.name().to_owned(),
        offset_bytes,
    }
}
