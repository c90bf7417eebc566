use serde::Serialize;

/// What a reader repaired or doubted.
///
/// The message says where, what was found, what was done about it and what to do; the source knows the file's name.
#[derive(Clone, Debug, PartialEq, Serialize, thiserror::Error)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[non_exhaustive]
pub enum ReadWarning {
    /// There is more than one channel and none was chosen.
    #[error(
        "found {channels} channels and none was chosen; channel 0 is read, choose another if the coil is there"
    )]
    ChannelAssumed {
        /// How many there are.
        channels: usize,
    },
    /// The user's rate is not the file's.
    #[error("the file states {stated_hz} samples per second; {used_hz} is used as asked")]
    RateOverruled {
        /// The rate that the file states.
        stated_hz: f64,
        /// The rate that the user states.
        used_hz: f64,
    },
    /// The recorder left the size of the samples open.
    #[error(
        "byte {offset_bytes}: found a data size of {found:#x}, as a recorder leaves it that streams or lost power; \
         everything up to the end of the file is read"
    )]
    DataSizeMissing {
        /// Where the size stands.
        offset_bytes: u64,
        /// The size as it stands.
        found: u32,
    },
    /// The file holds fewer samples than it promises.
    #[error(
        "byte {offset_bytes}: the file ends after {found_bytes} bytes of samples, expected {declared_bytes}; \
         it was cut and is read as far as it goes, copy it again if the original is longer"
    )]
    DataCut {
        /// Where the file ends.
        offset_bytes: u64,
        /// Bytes that the header promises.
        declared_bytes: u64,
        /// Bytes that are there.
        found_bytes: u64,
    },
    /// The file ends inside a sample.
    #[error(
        "byte {offset_bytes}: found {found_bytes} bytes of the last sample, expected {expected_bytes}; \
         that sample is dropped"
    )]
    PartialSample {
        /// Where the last sample starts.
        offset_bytes: u64,
        /// Bytes that are there.
        found_bytes: u64,
        /// Bytes of one sample of every channel.
        expected_bytes: u64,
    },
    /// A text ends without a line end, perhaps within a number.
    #[error(
        "line {line}: found no line end; the line may be cut and is dropped, add a line end if it is complete"
    )]
    PartialLine {
        /// The last line, from 1.
        line: u64,
    },
    /// The file is sound but holds no samples.
    #[error("found no samples; check that the recorder was running")]
    NoSamples,
    /// Samples that are no number or infinite.
    #[error(
        "sample {first_sample}: found values that are not finite numbers, {count} in all; \
         they are read as 0, check the program that wrote the file"
    )]
    NonFinite {
        /// How many values.
        count: u64,
        /// The first sample that has one, from 0.
        first_sample: u64,
    },
    /// A field of the `fmt ` chunk contradicts the others.
    #[error(
        "the fmt chunk states {field} as {found}; {used} is used, which agrees with its other fields"
    )]
    WavFormatRepaired {
        /// The field in words.
        field: &'static str,
        /// The value as it stands.
        found: u16,
        /// The value used.
        used: u16,
    },
    /// A chunk of odd size is not padded.
    #[error(
        "byte {offset_bytes}: found a chunk right behind one of odd size, expected a padding byte; it is read"
    )]
    PaddingMissing {
        /// Where the padding byte should stand.
        offset_bytes: u64,
    },
    /// A `SigMF` recording was made in several pieces.
    #[error(
        "sample {second_sample}: found the second of {segments} segments; they are read as one stretch, \
         although time or frequency may jump between them, so split the recording if it does"
    )]
    SeveralSegments {
        /// How many.
        segments: usize,
        /// First sample of the second, from 0.
        second_sample: u64,
    },
    /// The data file of a `SigMF` recording is not the one that was described.
    #[error(
        "found SHA-512 {found}, expected {expected}; the samples are not those that were recorded, \
         so trust no result before the file is copied again"
    )]
    HashMismatch {
        /// First 16 digits of the hash of the file.
        found: String,
        /// First 16 characters of the hash in the description.
        expected: String,
    },
}
