use std::fs::File;
use std::io::{Cursor, ErrorKind, Read, Seek, SeekFrom};
use std::path::Path;

use super::error::Head;
use super::input::Input;
use super::{
    BlockSource, Capture, ReadError, ReadOptions, ReadWarning, delimited, npy, raw, sigmf, wav,
};

/// Bytes that tell the format.
const HEAD_BYTES: usize = 256;
/// Values that are read at once into a whole capture.
const READ_BLOCK: usize = 64 * 1024;

/// A capture from a file, block by block, in bounded memory.
///
/// The content decides the format, the name only where the content is silent.
///
/// # Errors
/// When the file cannot be read, is of no known format, or is broken in a way that no repair is safe.
///
/// ```
/// use coilwright_signal::capture::{BlockSource, Capture, ReadOptions, WavSample, open, write_wav};
/// let folder = tempfile::tempdir()?;
/// let path = folder.path().join("sandpiper.wav");
/// write_wav(&path, &Capture::from_samples(vec![0.25; 1000], 1e6), WavSample::Int16)?;
/// let mut source = open(&path, &ReadOptions::default())?;
/// assert_eq!(source.info().sample_rate_hz, 1e6);
/// let mut block = [0.0; 256];
/// assert_eq!(source.read_block(&mut block)?, 256);
/// assert_eq!(block[0], 0.25);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn open(
    path: impl AsRef<Path>,
    options: &ReadOptions,
) -> Result<Box<dyn BlockSource>, ReadError> {
    let path = path.as_ref();
    let name = path.display().to_string();
    if sigmf::is_sigmf(path) && options.raw_type.is_none() {
        return sigmf::open(path, options);
    }
    let refused = |source| ReadError::Io {
        path: name.clone(),
        source,
    };
    let file = File::open(path).map_err(refused)?;
    let metadata = file.metadata().map_err(refused)?;
    if metadata.is_dir() {
        return Err(refused(ErrorKind::IsADirectory.into()));
    }
    if metadata.is_file() {
        open_reader(Box::new(file), &name, options)
    } else {
        open_stream(Box::new(file), &name, options)
    }
}

/// What can be read again from the start.
pub trait Rewindable: Read + Seek + Send {}

impl<R: Read + Seek + Send> Rewindable for R {}

/// A capture from anything that can be read and rewound, such as bytes in memory; `name` is for messages.
///
/// # Errors
/// As for [`open`].
///
/// ```
/// use std::io::Cursor;
/// use coilwright_signal::capture::{BlockSource, ReadOptions, open_reader};
/// let options = ReadOptions { raw_type: Some("i8".parse()?), sample_rate_hz: Some(1e6), ..ReadOptions::default() };
/// let mut source = open_reader(Box::new(Cursor::new([64, 0, 128])), "array", &options)?;
/// let mut block = [0.0; 8];
/// assert_eq!(source.read_block(&mut block)?, 3);
/// assert_eq!(block[..3], [0.5, 0.0, -1.0]);
/// # Ok::<(), coilwright_signal::capture::ReadError>(())
/// ```
pub fn open_reader(
    mut reader: Box<dyn Rewindable>,
    name: &str,
    options: &ReadOptions,
) -> Result<Box<dyn BlockSource>, ReadError> {
    let refused = |source| ReadError::Io {
        path: name.to_owned(),
        source,
    };
    let bytes = reader.seek(SeekFrom::End(0)).map_err(refused)?;
    reader.rewind().map_err(refused)?;
    let head = read_head(&mut reader, name)?;
    reader.rewind().map_err(refused)?;
    if let Some(stored) = options.raw_type {
        return Ok(Box::new(raw::open(
            Input::new(reader as _, name),
            Some(bytes),
            stored,
            options,
        )?));
    }
    if wav::is_wav(&head) {
        return Ok(Box::new(wav::open(
            Input::new(reader as _, name),
            Some(bytes),
            options,
        )?));
    }
    if npy::is_npy(&head) {
        return Ok(Box::new(npy::open(
            Input::new(reader as _, name),
            Some(bytes),
            options,
        )?));
    }
    if delimited::is_utf16(&head) {
        return Err(ReadError::TextEncoding {
            path: name.to_owned(),
        });
    }
    if !head.is_empty() && delimited::is_text(&head) {
        return delimited::open(reader, name, options);
    }
    Err(unknown(name, &head))
}

/// A capture from a stream that cannot be rewound, such as standard input: WAV, NPY, or bare samples
/// of a stated type.
///
/// # Errors
/// As for [`open`].
pub fn open_stream(
    mut reader: Box<dyn Read + Send>,
    name: &str,
    options: &ReadOptions,
) -> Result<Box<dyn BlockSource>, ReadError> {
    if let Some(stored) = options.raw_type {
        return Ok(Box::new(raw::open(
            Input::new(reader as _, name),
            None,
            stored,
            options,
        )?));
    }
    let head = read_head(&mut reader, name)?;
    let whole = Box::new(Cursor::new(head.clone()).chain(reader));
    if wav::is_wav(&head) {
        return Ok(Box::new(wav::open(Input::new(whole, name), None, options)?));
    }
    if npy::is_npy(&head) {
        return Ok(Box::new(npy::open(Input::new(whole, name), None, options)?));
    }
    match unknown(name, &head) {
        ReadError::UnknownFormat { path, found } => Err(ReadError::UnknownStream { path, found }),
        other => Err(other),
    }
}

/// A whole capture in memory and what its reader repaired or doubted.
///
/// # Errors
/// As for [`open`], and when reading fails later.
///
/// ```
/// use coilwright_signal::capture::{Capture, ReadOptions, WavSample, read, write_wav};
/// let folder = tempfile::tempdir()?;
/// let path = folder.path().join("sandpiper.wav");
/// write_wav(&path, &Capture::from_samples(vec![0.25; 1000], 1e6), WavSample::Float32)?;
/// let (capture, warnings) = read(&path, &ReadOptions::default())?;
/// assert_eq!(capture.samples, vec![0.25; 1000]);
/// assert!(warnings.is_empty());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn read(
    path: impl AsRef<Path>,
    options: &ReadOptions,
) -> Result<(Capture, Vec<ReadWarning>), ReadError> {
    read_all(&mut *open(path, options)?)
}

/// The rest of a source in memory and what its reader repaired or doubted.
///
/// # Errors
/// When reading fails.
pub fn read_all(source: &mut dyn BlockSource) -> Result<(Capture, Vec<ReadWarning>), ReadError> {
    let mut samples = Vec::new();
    let mut block = vec![0.0; READ_BLOCK];
    loop {
        let count = source.read_block(&mut block)?;
        if count == 0 {
            break;
        }
        samples.extend_from_slice(block.get(..count).unwrap_or_default());
    }
    let mut info = source.info().clone();
    info.length = Some((samples.len() / info.kind.width()) as u64);
    Ok((Capture { info, samples }, source.warnings().to_vec()))
}

/// The first bytes, fewer where the file is shorter.
fn read_head(reader: &mut dyn Read, name: &str) -> Result<Vec<u8>, ReadError> {
    let mut head = Vec::with_capacity(HEAD_BYTES);
    reader
        .take(HEAD_BYTES as u64)
        .read_to_end(&mut head)
        .map_err(|source| ReadError::Io {
            path: name.to_owned(),
            source,
        })?;
    Ok(head)
}

fn unknown(name: &str, head: &[u8]) -> ReadError {
    let path = name.to_owned();
    if head.is_empty() {
        ReadError::Empty { path }
    } else {
        ReadError::UnknownFormat {
            path,
            found: Head::of(head),
        }
    }
}
