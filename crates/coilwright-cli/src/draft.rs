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

/// A file in the making: it stands beside its place under another name until it is complete, and goes away if it never
/// is.
pub(crate) struct Draft {
    path: PathBuf,
    file: NamedTempFile,
    existing: Existing,
}

impl Draft {
    /// Begins a file; refuses a place that is taken, unless what is there may be replaced.
    pub(crate) fn begin(path: &Path, existing: Existing) -> Result<Self, CommandError> {
        if existing == Existing::Keep && path.exists() {
            return Err(CommandError::Exists {
                path: path.to_path_buf(),
            });
        }
        let folder = match path.parent() {
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
        let path = self.path;
        let kept = match self.existing {
            Existing::Replace => self.file.persist(&path),
            Existing::Keep => self.file.persist_noclobber(&path),
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
