use std::fmt;

/// Why a capture could not be read.
///
/// Each message names the file, where in it, what was found, what was expected and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReadError {
    /// The operating system refused.
    #[error("{path}: cannot be read: {source}; check the name and the permissions")]
    Io {
        /// The file as the user named it.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// There is not one byte.
    #[error(
        "{path}: byte 0: the file is empty, expected a capture; record again or check the name"
    )]
    Empty {
        /// The file as the user named it.
        path: String,
    },
    /// Neither the content nor the name tells a format.
    #[error(
        "{path}: byte 0: found {found}, expected a WAV, NPY, SigMF or delimited text file; \
         convert the file, or state the type and the rate of bare samples"
    )]
    UnknownFormat {
        /// The file as the user named it.
        path: String,
        /// The first bytes.
        found: Head,
    },
    /// A stream that cannot be rewound holds something else than WAV, NPY or bare samples of a stated type.
    #[error(
        "{path}: byte 0: found {found}, expected a WAV or NPY stream; \
         read other formats from a file, or state the type and the rate of bare samples"
    )]
    UnknownStream {
        /// The stream as the user named it.
        path: String,
        /// The first bytes.
        found: Head,
    },
    /// The file ends inside its header.
    #[error(
        "{path}: byte {offset_bytes}: found {found_bytes} bytes of {part}, expected {expected_bytes}; \
         the file is cut inside its header and holds no samples, so copy or record it again"
    )]
    HeaderCut {
        /// The file as the user named it.
        path: String,
        /// Where the part starts.
        offset_bytes: u64,
        /// What is cut.
        part: &'static str,
        /// Bytes that the part takes.
        expected_bytes: u64,
        /// Bytes that are there.
        found_bytes: u64,
    },
    /// A WAV file ends without a chunk that it needs.
    #[error(
        "{path}: byte {offset_bytes}: found the end of the file, expected the `{chunk}` chunk; \
         the file holds no samples that can be read, so copy or record it again"
    )]
    ChunkMissing {
        /// The file as the user named it.
        path: String,
        /// Where the file ends.
        offset_bytes: u64,
        /// Name of the chunk.
        chunk: &'static str,
    },
    /// The samples of a WAV file come before their description.
    #[error(
        "{path}: byte {offset_bytes}: found the `data` chunk, expected the `fmt ` chunk before it; \
         state the type and the rate to read the file as bare samples"
    )]
    FormatAfterData {
        /// The file as the user named it.
        path: String,
        /// Where the data chunk starts.
        offset_bytes: u64,
    },
    /// The description of the samples of a WAV file is too short.
    #[error(
        "{path}: byte {offset_bytes}: found a `fmt ` chunk of {found_bytes} bytes, expected at least {expected_bytes}; \
         state the type and the rate to read the file as bare samples"
    )]
    WavFormatShort {
        /// The file as the user named it.
        path: String,
        /// Where the content of the chunk starts.
        offset_bytes: u64,
        /// Size of the chunk.
        found_bytes: u32,
        /// Size that its format tag needs.
        expected_bytes: u32,
    },
    /// The samples of a WAV file are compressed or otherwise not plain numbers.
    #[error(
        "{path}: byte {offset_bytes}: found format tag {tag:#06x}, expected 1 (integer) or 3 (float); \
         record or convert without compression"
    )]
    WavEncoding {
        /// The file as the user named it.
        path: String,
        /// Where the content of the `fmt ` chunk starts.
        offset_bytes: u64,
        /// The format tag, or the first bytes of the subformat.
        tag: u16,
    },
    /// The description of the samples of a WAV file contradicts itself.
    #[error(
        "{path}: byte {offset_bytes}: found {channels} channels of {bits} bits in frames of {block_align} bytes, \
         expected at least one channel of 8, 16, 24, 32 or 64 bits (floats 32 or 64); \
         state the type and the rate to read the file as bare samples"
    )]
    WavLayout {
        /// The file as the user named it.
        path: String,
        /// Where the content of the `fmt ` chunk starts.
        offset_bytes: u64,
        /// Channels stated.
        channels: u16,
        /// Bits per sample stated.
        bits: u16,
        /// Bytes per frame stated.
        block_align: u16,
    },
    /// The header of an NPY file is not understood.
    #[error(
        "{path}: byte {offset_bytes}: found {found}, expected {expected} in the NPY header; save the array again"
    )]
    NpyHeader {
        /// The file as the user named it.
        path: String,
        /// Where the header starts.
        offset_bytes: u64,
        /// What stands there.
        found: String,
        /// What was expected.
        expected: &'static str,
    },
    /// An NPY file holds something else than plain numbers.
    #[error(
        "{path}: byte {offset_bytes}: found an array of type {found}, expected integers of 1 to 8 bytes, \
         floats of 4 or 8 bytes or complex numbers of them; save it as float32 or complex64"
    )]
    NpyType {
        /// The file as the user named it.
        path: String,
        /// Where the header starts.
        offset_bytes: u64,
        /// The type as it stands.
        found: String,
    },
    /// An NPY file holds an array with no axis or more than two.
    #[error(
        "{path}: byte {offset_bytes}: found an array of shape {found}, expected one axis, or two for several channels; \
         save one recording as one axis"
    )]
    NpyShape {
        /// The file as the user named it.
        path: String,
        /// Where the header starts.
        offset_bytes: u64,
        /// The shape as it stands.
        found: String,
    },
    /// A `SigMF` description is no JSON or lacks a field.
    #[error(
        "{path}: {source}; expected the JSON of a SigMF description with `core:datatype`, so write or copy it again"
    )]
    SigmfMetadata {
        /// The description.
        path: String,
        /// What is wrong, with line and column.
        source: serde_json::Error,
    },
    /// A `SigMF` description is longer than is read.
    #[error(
        "{path}: byte {limit_bytes}: the SigMF description goes on, expected at most {limit_bytes} bytes; \
         take out annotations"
    )]
    SigmfLong {
        /// The description.
        path: String,
        /// The longest that is read.
        limit_bytes: u64,
    },
    /// The data type of a `SigMF` recording is not understood.
    #[error(
        "{path}: `core:datatype`: found `{found}`, expected r or c, then i, u or f, the bits, and _le or _be, \
         such as ri16_le or cf32_le; correct the description"
    )]
    SigmfType {
        /// The description.
        path: String,
        /// The type as it stands.
        found: String,
    },
    /// A `SigMF` description names a data file elsewhere.
    #[error(
        "{path}: `core:dataset`: found `{found}`, expected the name of a file in the same folder; \
         move the data there and correct the description"
    )]
    SigmfDataset {
        /// The description.
        path: String,
        /// The name as it stands.
        found: String,
    },
    /// A `SigMF` recording has bytes between its segments that are no samples.
    #[error(
        "{path}: `core:header_bytes`: found {found_bytes} bytes before sample {sample}, expected them before the first \
         segment only; take out the bytes or split the recording"
    )]
    SigmfHeaderBytes {
        /// The data.
        path: String,
        /// First sample of the segment.
        sample: u64,
        /// Bytes before it.
        found_bytes: u64,
    },
    /// A text in an encoding that is not read.
    #[error(
        "{path}: byte 0: found text in UTF-16, expected ASCII or UTF-8; save it again as UTF-8"
    )]
    TextEncoding {
        /// The file as the user named it.
        path: String,
    },
    /// A text holds no rows of numbers.
    #[error(
        "{path}: line 1 to {lines}: found no complete row of numbers, expected a time and a voltage or one value in each; \
         export the samples as columns parted by commas, semicolons, tabs or spaces"
    )]
    NoTable {
        /// The file as the user named it.
        path: String,
        /// Lines that were looked at.
        lines: u64,
    },
    /// A row among the numbers is none.
    #[error(
        "{path}: line {line}: found `{found}`, expected {columns} numbers like the rows before; \
         correct or delete the line, and delete what follows the table"
    )]
    RowBroken {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// Its start.
        found: String,
        /// Fields of the other rows.
        columns: usize,
    },
    /// One time step differs from those before.
    #[error(
        "{path}: line {line}: found a time step of {found_s:.6e} s, expected {expected_s:.6e} s; \
         samples are missing or unevenly taken, so record again, or state the sample rate to ignore the times"
    )]
    UnevenStep {
        /// The file as the user named it.
        path: String,
        /// The line after the step, from 1.
        line: u64,
        /// The step.
        found_s: f64,
        /// The mean of those before, or the usual one.
        expected_s: f64,
    },
    /// The times do not grow in proportion to the rows.
    #[error(
        "{path}: line {line}: found the time {found_s:.9e} s, expected {expected_s:.9e} s of even steps; \
         samples are missing or unevenly taken, so record again, or state the sample rate to ignore the times"
    )]
    OffGrid {
        /// The file as the user named it.
        path: String,
        /// The line, from 1.
        line: u64,
        /// The time.
        found_s: f64,
        /// The time of an even step.
        expected_s: f64,
    },
    /// The times give no rate.
    #[error(
        "{path}: line {line}: found times that do not grow up to here, expected two different ones; \
         state the sample rate, or export more digits of the time"
    )]
    TimeStuck {
        /// The file as the user named it.
        path: String,
        /// The last line, from 1.
        line: u64,
    },
    /// One frame does not fit in the reader's memory.
    #[error(
        "{path}: found frames of {found_bytes} bytes ({channels} channels), expected 1 to {limit_bytes}; \
         check the number of channels, or split the file"
    )]
    FrameSize {
        /// The file as the user named it.
        path: String,
        /// Channels stated.
        channels: usize,
        /// Bytes of one sample of every channel.
        found_bytes: usize,
        /// The largest frame that can be read.
        limit_bytes: usize,
    },
    /// There is not one channel.
    #[error("{path}: found 0 channels, expected at least one; record or save it again")]
    NoChannels {
        /// The file as the user named it.
        path: String,
    },
    /// The chosen channel does not exist.
    #[error(
        "{path}: found {channels} channels, expected one with the number {channel}; \
         choose a number below {channels}, the first is 0"
    )]
    ChannelMissing {
        /// The file as the user named it.
        path: String,
        /// The channel asked for, from 0.
        channel: usize,
        /// How many there are.
        channels: usize,
    },
    /// Neither the file nor the user states a sample rate.
    #[error(
        "{path}: found no sample rate, expected one in samples per second; state the rate at which it was recorded"
    )]
    SampleRateMissing {
        /// The file as the user named it.
        path: String,
    },
    /// The sample rate makes no sense.
    #[error(
        "{path}: found a sample rate of {found_hz} Hz, expected a finite number above 0; \
         state the rate at which it was recorded"
    )]
    SampleRateInvalid {
        /// The file as the user named it.
        path: String,
        /// The rate of the file or of the user.
        found_hz: f64,
    },
    /// The name of a raw type is not understood.
    #[error(
        "raw type `{found}`: expected i or u with 8, 16, 24, 32 or 64 bits or f with 32 or 64, then le or be above \
         8 bits, after c for complex; write for example u8, i16le, f32le, ci16le or cf32le"
    )]
    RawTypeUnknown {
        /// What the user wrote.
        found: String,
    },
}

/// The first bytes of a file, for messages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Head {
    bytes: [u8; 8],
    count: usize,
}

impl Head {
    /// Up to eight bytes from the start of `bytes`.
    pub(super) fn of(bytes: &[u8]) -> Self {
        let mut head = Self {
            bytes: [0; 8],
            count: bytes.len().min(8),
        };
        for (kept, byte) in head.bytes.iter_mut().zip(bytes) {
            *kept = *byte;
        }
        head
    }
}

impl fmt::Display for Head {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bytes = self.bytes.get(..self.count).unwrap_or_default();
        write!(formatter, "`{}`", bytes.escape_ascii())
    }
}
