use std::fs::File;
use std::io::{self, BufWriter, Seek as _, Write as _};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use crate::error::CommandError;

/// What happens to a file that is there already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Existing {
    /// It stays, and the output is refused.
    Keep,
    /// It is replaced once the new one is complete.
    Replace,
}

impl Existing {
    /// As `--force` says.
    pub(crate) const fn by_force(force: bool) -> Self {
        if force { Self::Replace } else { Self::Keep }
    }
}

/// A file in the making: it stands beside its place under another name until it is complete, and goes away if it never
/// is.
pub(crate) struct Draft {
    path: PathBuf,
    place: PathBuf,
    file: NamedTempFile,
    existing: Existing,
}

impl Draft {
    /// Begins a file; refuses a place that is taken, unless what is there may be replaced.
    pub(crate) fn begin(path: &Path, existing: Existing) -> Result<Self, CommandError> {
        let place = place(path, existing)?;
        let folder = match place.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        let mut builder = Builder::new();
        builder.prefix(".coilwright-");
        permit(&mut builder);
        let file = builder
            .tempfile_in(folder)
            .map_err(|source| write_error(path, source))?;
        Ok(Self {
            path: path.to_path_buf(),
            place,
            file,
            existing,
        })
    }

    /// Where the file will stand.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Empties the file and returns a writer at its start. A writer from before must be gone.
    pub(crate) fn writer(&self) -> io::Result<BufWriter<File>> {
        let mut file = self.file.as_file();
        file.set_len(0)?;
        file.rewind()?;
        Ok(BufWriter::new(file.try_clone()?))
    }

    /// Writes the whole contents and puts the file in its place.
    pub(crate) fn complete(self, contents: &[u8]) -> Result<(), CommandError> {
        let written = self.writer().and_then(|mut out| {
            out.write_all(contents)?;
            out.flush()
        });
        written.map_err(|source| write_error(&self.path, source))?;
        self.keep()
    }

    /// Puts the complete file in its place.
    pub(crate) fn keep(self) -> Result<(), CommandError> {
        let (path, place) = (self.path, self.place);
        let kept = match self.existing {
            Existing::Replace if !replaceable(&place) => {
                return Err(CommandError::NoRegularFile { path });
            }
            Existing::Replace => self.file.persist(&place),
            Existing::Keep => self.file.persist_noclobber(&place),
        };
        match kept {
            Ok(_) => Ok(()),
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => {
                Err(CommandError::Exists { path })
            }
            Err(error) => Err(write_error(&path, error.error)),
        }
    }
}

/// Where a file of this name is to stand: the file itself, or the one that a link points at. Devices, pipes, folders and links to nothing are
/// refused, and so is a file that is there and must stay.
pub(crate) fn place(path: &Path, existing: Existing) -> Result<PathBuf, CommandError> {
    let found = match path.symlink_metadata() {
        Ok(found) => found,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(path.to_path_buf()),
        Err(error) => return Err(write_error(path, error)),
    };
    let place = if found.is_symlink() {
        path.canonicalize().ok()
    } else {
        Some(path.to_path_buf())
    };
    let path = path.to_path_buf();
    match place {
        Some(place) if replaceable(&place) => match existing {
            Existing::Keep => Err(CommandError::Exists { path }),
            Existing::Replace => Ok(place),
        },
        _ => Err(CommandError::NoRegularFile { path }),
    }
}

/// Whether a file, or nothing, is there.
fn replaceable(place: &Path) -> bool {
    place.symlink_metadata().map_or_else(
        |error| error.kind() == io::ErrorKind::NotFound,
        |m| m.is_file(),
    )
}

/// Whether two names are of one file that is there.
pub(crate) fn same_file(one: &Path, other: &Path) -> bool {
    let place = |path: &Path| path.canonicalize().ok();
    place(one).is_some_and(|one| Some(one) == place(other))
}

/// An error of writing to a place.
pub(crate) fn write_error(path: &Path, source: io::Error) -> CommandError {
    CommandError::Write {
        path: path.to_path_buf(),
        source,
    }
}

/// The file may be read by those whom the system's mask lets read new files.
#[cfg(unix)]
fn permit(builder: &mut Builder<'_, '_>) {
    use std::os::unix::fs::PermissionsExt as _;
    builder.permissions(std::fs::Permissions::from_mode(0o666));
}

#[cfg(not(unix))]
fn permit(_builder: &mut Builder<'_, '_>) {}
