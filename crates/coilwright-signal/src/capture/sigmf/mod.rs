//! `SigMF`: a file of samples (`.sigmf-data`) beside a JSON description (`.sigmf-meta`).
//!
//! After the *Signal Metadata Format* specification, version 1. The hash of the data file is computed while it is
//! read; a mismatch is a warning at the end, since the samples were handed out by then and a damaged recording is
//! still worth a look. Several segments are read as one stretch, with a warning.

mod metadata;

use std::fs::File;
use std::io::{Read, SeekFrom};
use std::path::{Path, PathBuf};

use super::convert::FrameLayout;
use super::input::Input;
use super::interleaved::{Interleaved, Plan, choice_warnings};
use super::open::Rewindable;
use super::raw::unit_of;
use super::{BlockSource, ReadError, ReadOptions, ReadWarning};

pub use metadata::{SigmfAnnotation, SigmfMetadata, SigmfSegment};

const METADATA_EXTENSION: &str = "sigmf-meta";
const DATA_EXTENSION: &str = "sigmf-data";
/// Longest description that is read; twenty thousand annotations fit.
const METADATA_LIMIT_BYTES: u64 = 4 * 1024 * 1024;
/// Longest date and time that is passed on.
const TIME_LIMIT_CHARACTERS: usize = 40;

/// Whether the name is that of one of the two files of a `SigMF` recording.
#[must_use]
pub fn is_sigmf(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| extension == METADATA_EXTENSION || extension == DATA_EXTENSION)
}

/// The description of a `SigMF` recording, from the path of either file of the pair.
///
/// # Errors
/// When it cannot be read or understood.
pub fn read_sigmf_metadata(path: impl AsRef<Path>) -> Result<SigmfMetadata, ReadError> {
    let (json, name) = read_json(path.as_ref())?;
    SigmfMetadata::from_json(&json, &name)
}

/// The whole description of a `SigMF` recording, fields that are not understood here included, from the path of either
/// file of the pair.
///
/// # Errors
/// When it cannot be read or is no JSON.
pub fn read_sigmf_json(path: impl AsRef<Path>) -> Result<serde_json::Value, ReadError> {
    let (json, name) = read_json(path.as_ref())?;
    serde_json::from_slice(&json).map_err(|source| ReadError::SigmfMetadata { path: name, source })
}

/// The content and the name of the description.
fn read_json(path: &Path) -> Result<(Vec<u8>, String), ReadError> {
    let path = path.with_extension(METADATA_EXTENSION);
    let name = path.display().to_string();
    let refused = |source| ReadError::Io {
        path: name.clone(),
        source,
    };
    let mut json = Vec::new();
    let file = File::open(&path).map_err(refused)?;
    file.take(METADATA_LIMIT_BYTES + 1)
        .read_to_end(&mut json)
        .map_err(refused)?;
    if json.len() as u64 > METADATA_LIMIT_BYTES {
        return Err(ReadError::SigmfLong {
            path: name,
            limit_bytes: METADATA_LIMIT_BYTES,
        });
    }
    Ok((json, name))
}

/// Opens the pair, given the path of either file.
pub(super) fn open(path: &Path, options: &ReadOptions) -> Result<Box<dyn BlockSource>, ReadError> {
    let metadata = read_sigmf_metadata(path)?;
    let data_path = data_path(path, &metadata)?;
    let name = data_path.display().to_string();
    let file = File::open(&data_path).map_err(|source| ReadError::Io {
        path: name.clone(),
        source,
    })?;
    let mut source = open_data(&metadata, Box::new(file), &name, options)?;
    source.set_name(path.display().to_string());
    Ok(Box::new(source))
}

/// A capture from a `SigMF` description and its data; `name` is for messages.
///
/// # Errors
/// When the description contradicts itself or the data cannot be read.
///
/// ```
/// use std::io::Cursor;
/// use coilwright_signal::capture::{BlockSource, ReadOptions, SigmfMetadata, open_sigmf};
/// let json = br#"{"global": {"core:datatype": "ri8", "core:sample_rate": 1e6}}"#;
/// let metadata = SigmfMetadata::from_json(json, "dunlin.sigmf-meta")?;
/// let data = Box::new(Cursor::new([64, 192]));
/// let mut source = open_sigmf(&metadata, data, "dunlin.sigmf-data", &ReadOptions::default())?;
/// let mut block = [0.0; 8];
/// assert_eq!(source.read_block(&mut block)?, 2);
/// assert_eq!(block[..2], [0.5, -0.5]);
/// # Ok::<(), coilwright_signal::capture::ReadError>(())
/// ```
pub fn open_sigmf(
    metadata: &SigmfMetadata,
    data: Box<dyn Rewindable>,
    name: &str,
    options: &ReadOptions,
) -> Result<Box<dyn BlockSource>, ReadError> {
    Ok(Box::new(open_data(metadata, data, name, options)?))
}

fn open_data(
    metadata: &SigmfMetadata,
    mut data: Box<dyn Rewindable>,
    name: &str,
    options: &ReadOptions,
) -> Result<Interleaved, ReadError> {
    let refused = |source| ReadError::Io {
        path: name.to_owned(),
        source,
    };
    let file_bytes = data.seek(SeekFrom::End(0)).map_err(refused)?;
    data.rewind().map_err(refused)?;
    let reader: Box<dyn Read + Send> = data;
    let mut input = Input::new(reader, name);
    if let Some(expected) = &metadata.sha512 {
        input.check_sha512(expected);
    }
    let header_bytes = header_bytes(metadata, name)?;
    input.skip(header_bytes)?;
    let held_bytes = file_bytes
        .saturating_sub(header_bytes)
        .saturating_sub(metadata.trailing_bytes);
    let channel = options.channel_of(name, metadata.channels)?;
    let mut warnings = choice_warnings(options, metadata.channels, metadata.sample_rate_hz);
    warnings.extend(segment_warning(metadata));
    let plan = Plan {
        layout: FrameLayout {
            stored: metadata.stored,
            channels: metadata.channels,
            channel,
        },
        channel,
        channels: metadata.channels,
        sample_rate_hz: options.rate(name, metadata.sample_rate_hz)?,
        unit: unit_of(metadata.stored),
        step: metadata.stored.step(),
        start_time: start_time(metadata),
        format: format!("SigMF, {}", metadata.stored.words()),
        declared_bytes: Some(held_bytes),
        held_bytes: Some(held_bytes),
    };
    Interleaved::new(input, plan, warnings)
}

/// The data file beside the metadata; a name that points elsewhere is refused.
fn data_path(path: &Path, metadata: &SigmfMetadata) -> Result<PathBuf, ReadError> {
    let Some(dataset) = &metadata.dataset else {
        return Ok(path.with_extension(DATA_EXTENSION));
    };
    let plain = Path::new(dataset)
        .file_name()
        .is_some_and(|name| name == dataset.as_str());
    if plain && !dataset.contains(['/', '\\', ':', '\0']) {
        Ok(path.with_file_name(dataset))
    } else {
        Err(ReadError::SigmfDataset {
            path: path.display().to_string(),
            found: dataset.chars().take(TIME_LIMIT_CHARACTERS).collect(),
        })
    }
}

/// Bytes before the first sample; bytes between the segments would be taken for samples.
fn header_bytes(metadata: &SigmfMetadata, name: &str) -> Result<u64, ReadError> {
    let mut segments = metadata.segments.iter();
    let first = segments.next().map_or(0, |segment| segment.header_bytes);
    match segments.find(|segment| segment.header_bytes > 0) {
        None => Ok(first),
        Some(later) => Err(ReadError::SigmfHeaderBytes {
            path: name.to_owned(),
            sample: later.first_sample,
            found_bytes: later.header_bytes,
        }),
    }
}

fn segment_warning(metadata: &SigmfMetadata) -> Option<ReadWarning> {
    metadata
        .segments
        .get(1)
        .map(|second| ReadWarning::SeveralSegments {
            segments: metadata.segments.len(),
            second_sample: second.first_sample,
        })
}

/// When sample 0 was taken, where a segment starts there and says so.
fn start_time(metadata: &SigmfMetadata) -> Option<String> {
    let first = metadata
        .segments
        .first()
        .filter(|segment| segment.first_sample == 0)?;
    let time = first.start_time.as_ref()?;
    (time.is_ascii() && time.len() <= TIME_LIMIT_CHARACTERS).then(|| time.clone())
}
