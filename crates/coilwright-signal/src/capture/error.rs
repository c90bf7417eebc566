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
    /// The chosen channel does not exist.
    #[error(
        "{path}: asked for channel {channel}, found {channels} (counted from 0); choose a smaller channel number"
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
