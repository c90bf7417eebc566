use std::fs::File;
use std::io::{Chain, Cursor, Read, stdin};
use std::path::Path;
use std::sync::Arc;

use coilwright_signal::capture::ReadError;
use coilwright_signal::table::{
    ImpedanceReadOptions, ImpedanceTable, SweepTable, TableError, TableKind, Touchstone,
    read_impedance_table, read_impedance_table_from, read_sweep_table, read_sweep_table_from,
    read_touchstone, read_touchstone_from, recognise_table,
};

use crate::error::CommandError;
use crate::inputs::is_standard_input;

/// Bytes of a stream that tell what it is.
const HEAD_BYTES: u64 = 65_536;
/// Most bytes of a table that comes as a stream: a million rows of sixty characters.
const TABLE_BYTES: u64 = 64 << 20;

/// A measurement by its content; what cannot be read is left to the reader, which says why.
pub(super) enum Origin<'p> {
    /// A network analyser's file.
    Touchstone(Text<'p>),
    /// Delimited text over frequency.
    Table(Text<'p>),
    /// Samples over time.
    Samples(Samples<'p>),
}

/// Text of a table.
pub(super) enum Text<'p> {
    File(&'p Path),
    /// What a stream held, and its name.
    Held(Arc<[u8]>, &'p Path),
}

/// Samples, which a stream gives once.
pub(super) enum Samples<'p> {
    File(&'p Path),
    Stream(Box<dyn Read + Send>),
}

/// A stream with what was taken from it put back.
type PutBack<R> = Chain<Cursor<Vec<u8>>, R>;

impl<'p> Origin<'p> {
    /// What a path holds; `-` is standard input. With `are_samples` the content is not asked.
    pub(super) fn of(path: &'p Path, are_samples: bool) -> Result<Self, CommandError> {
        if is_standard_input(path) {
            return if are_samples {
                Ok(Self::Samples(Samples::Stream(Box::new(stdin()))))
            } else {
                Self::of_stream(path, stdin())
            };
        }
        let kind = path.metadata().map(|metadata| metadata.file_type());
        let (Ok(kind), false) = (kind, are_samples) else {
            return Ok(Self::Samples(Samples::File(path)));
        };
        match File::open(path) {
            Ok(file) if kind.is_file() => Ok(Self::of_file(path, file)),
            // A pipe with a name is read once, as standard input is.
            Ok(stream) if !kind.is_dir() => Self::of_stream(path, stream),
            _ => Ok(Self::Samples(Samples::File(path))),
        }
    }

    fn of_file(path: &'p Path, file: File) -> Self {
        let name = path.display().to_string();
        match recognise_table(Box::new(file), &name) {
            Ok(Some(TableKind::Touchstone)) => Self::Touchstone(Text::File(path)),
            Ok(Some(_)) => Self::Table(Text::File(path)),
            _ => Self::Samples(Samples::File(path)),
        }
    }

    fn of_stream(path: &'p Path, stream: impl Read + Send + 'static) -> Result<Self, CommandError> {
        let refused = |source| {
            TableError::from(ReadError::Io {
                path: path.display().to_string(),
                source,
            })
        };
        let (head, stream) = peek(stream).map_err(refused)?;
        let kind = recognise_table(Box::new(Cursor::new(head)), &path.display().to_string());
        let Ok(Some(kind)) = kind else {
            return Ok(Self::Samples(Samples::Stream(Box::new(stream))));
        };
        let mut bytes = Vec::new();
        stream
            .take(TABLE_BYTES + 1)
            .read_to_end(&mut bytes)
            .map_err(refused)?;
        if bytes.len() as u64 > TABLE_BYTES {
            return Err(CommandError::TableStreamTooLong {
                path: path.to_owned(),
                limit: TABLE_BYTES >> 20,
            });
        }
        let text = Text::Held(bytes.into(), path);
        Ok(match kind {
            TableKind::Touchstone => Self::Touchstone(text),
            _ => Self::Table(text),
        })
    }
}

/// The first bytes of a stream, up to the first that is no text, and the whole stream.
fn peek<R: Read>(mut stream: R) -> std::io::Result<(Vec<u8>, PutBack<R>)> {
    let mut head = Vec::new();
    let mut part = [0; 4096];
    while (head.len() as u64) < HEAD_BYTES && !head.contains(&0) {
        let count = match stream.read(&mut part) {
            Ok(0) => break,
            Ok(count) => count,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
            Err(error) => return Err(error),
        };
        head.extend(part.iter().take(count));
    }
    let whole = Cursor::new(head.clone()).chain(stream);
    Ok((head, whole))
}

impl Text<'_> {
    pub(super) fn touchstone(&self) -> Result<Touchstone, TableError> {
        match self {
            Self::File(path) => read_touchstone(path),
            Self::Held(bytes, name) => read_touchstone_from(&**bytes, &name.display().to_string()),
        }
    }

    pub(super) fn impedances(&self) -> Result<ImpedanceTable, TableError> {
        let options = ImpedanceReadOptions::default();
        match self {
            Self::File(path) => read_impedance_table(path, &options),
            Self::Held(bytes, name) => read_impedance_table_from(
                Box::new(Cursor::new(Arc::clone(bytes))),
                &name.display().to_string(),
                &options,
            ),
        }
    }

    pub(super) fn sweep(&self) -> Result<SweepTable, TableError> {
        match self {
            Self::File(path) => read_sweep_table(path),
            Self::Held(bytes, name) => read_sweep_table_from(
                Box::new(Cursor::new(Arc::clone(bytes))),
                &name.display().to_string(),
            ),
        }
    }
}
