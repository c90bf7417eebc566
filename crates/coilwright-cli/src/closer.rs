//! A closer look at one capture while it is decoded: what every stretch says goes into the exports, the best stretch
//! into the plots.

use std::io;
use std::path::{Path, PathBuf};

use coilwright_diagnose::{Check, Passage};
use coilwright_signal::capture::{CaptureInfo, is_sigmf, read_sigmf_json, read_sigmf_metadata};
use coilwright_signal::export::{
    DataFile, Export, ExportFormat, Recording, sigmf_metadata_copy, sigmf_metadata_for,
};
use coilwright_signal::view::BestStretch;

use crate::args::WriteArgs;
use crate::draft::{Draft, Existing, same_file, write_error};
use crate::error::CommandError;
use crate::plot::{Picture, page};

/// The program as exports name it.
const GENERATOR: &str = concat!("coilwright ", env!("CARGO_PKG_VERSION"));

/// The files that a decode writes.
pub(crate) struct Closer {
    exports: Vec<Written>,
    plots: Vec<Picture>,
    best: BestStretch,
}

/// An export while it is being written.
struct Written {
    format: ExportFormat,
    recording: Recording,
    draft: Draft,
    export: Option<Box<dyn Export>>,
    error: Option<io::Error>,
}

impl Closer {
    /// Begins every file that the arguments ask for, of the capture at `path`.
    pub(crate) fn begin(
        arguments: &WriteArgs,
        path: &Path,
        info: &CaptureInfo,
    ) -> Result<Self, CommandError> {
        let existing = Existing::by_force(arguments.force);
        let exports = arguments.export.iter().map(|target| {
            let format = ExportFormat::of_path(target).ok_or_else(|| CommandError::ExportKind {
                path: target.clone(),
            })?;
            refuse_input(path, target, format == ExportFormat::SigmfAnnotations)?;
            let recording = recording(format, path, target, info)?;
            Written::begin(format, recording, Draft::begin(target, existing)?)
        });
        let exports = exports.collect::<Result<_, _>>()?;
        let plots = arguments.plot.iter().map(|target| {
            refuse_input(path, target, false)?;
            Picture::begin(target, existing)
        });
        Ok(Self {
            exports,
            plots: plots.collect::<Result<_, _>>()?,
            best: BestStretch::default(),
        })
    }

    /// Takes what the measurement passes on.
    pub(crate) fn hear(&mut self, passage: &Passage<'_>) {
        match passage {
            Passage::Restart => {
                self.best.restart();
                self.exports.iter_mut().for_each(Written::restart);
            }
            Passage::Heard(heard) => {
                if !self.plots.is_empty() {
                    self.best.hear(heard);
                }
                for written in &mut self.exports {
                    written.note(|export| export.add(heard.listening));
                }
            }
            _ => {}
        }
    }

    /// Completes every file and puts it in its place.
    pub(crate) fn finish(self, check: &Check) -> Result<(), CommandError> {
        for written in self.exports {
            written.finish()?;
        }
        for picture in self.plots {
            let Some((listening, views)) = self.best.get() else {
                return Err(CommandError::NothingToDraw {
                    path: picture.path(),
                });
            };
            picture.complete(&page(check, listening, views))?;
        }
        Ok(())
    }
}

impl Written {
    fn begin(
        format: ExportFormat,
        recording: Recording,
        draft: Draft,
    ) -> Result<Self, CommandError> {
        let mut written = Self {
            format,
            recording,
            draft,
            export: None,
            error: None,
        };
        written.restart();
        match written.error.take() {
            None => Ok(written),
            Some(source) => Err(write_error(written.draft.path(), source)),
        }
    }

    /// Starts the file anew.
    fn restart(&mut self) {
        // What the old writer still holds must be in the file before it is emptied.
        self.export = None;
        let started = self
            .draft
            .writer()
            .and_then(|out| self.format.start(out, &self.recording));
        match started {
            Ok(export) => self.export = Some(export),
            Err(error) => self.error = Some(error),
        }
    }

    /// Writes; the first error is kept and ends the writing.
    fn note(&mut self, write: impl FnOnce(&mut dyn Export) -> io::Result<()>) {
        if let Some(export) = &mut self.export
            && let Err(error) = write(&mut **export)
        {
            self.error = Some(error);
            self.export = None;
        }
    }

    fn finish(mut self) -> Result<(), CommandError> {
        if let Some(export) = self.export.take()
            && let Err(error) = export.finish()
        {
            self.error = Some(error);
        }
        match self.error {
            Some(source) => Err(write_error(self.draft.path(), source)),
            None => self.draft.keep(),
        }
    }
}

/// An output must not take the place of the capture; `SigMF` metadata may, since they are added to.
fn refuse_input(input: &Path, target: &Path, metadata: bool) -> Result<(), CommandError> {
    if same_file(input, target) && !(metadata && is_sigmf(input)) {
        return Err(CommandError::OverInput {
            path: target.to_path_buf(),
        });
    }
    Ok(())
}

fn recording(
    format: ExportFormat,
    input: &Path,
    target: &Path,
    info: &CaptureInfo,
) -> Result<Recording, CommandError> {
    let sigmf = if format != ExportFormat::SigmfAnnotations {
        serde_json::Value::Null
    } else if is_sigmf(input) {
        copied_metadata(input, target)?
    } else {
        sigmf_metadata_for(info, data_file(input, target).as_ref())
    };
    Ok(Recording {
        info: info.clone(),
        generator: GENERATOR.to_owned(),
        sigmf,
    })
}

/// The metadata of a `SigMF` recording, pointing at its data from where the copy will stand.
fn copied_metadata(input: &Path, target: &Path) -> Result<serde_json::Value, CommandError> {
    let read = |source| CommandError::Check(coilwright_diagnose::CheckError::Read(source));
    let original = read_sigmf_json(input).map_err(read)?;
    let beside = same_folder(input, target);
    if beside && input.file_stem() == target.file_stem() {
        return Ok(original);
    }
    let dataset = match read_sigmf_metadata(input).map_err(read)?.dataset {
        Some(name) => PathBuf::from(name),
        None => input.with_extension("sigmf-data"),
    };
    let name = dataset
        .file_name()
        .and_then(|name| name.to_str())
        .filter(|_| beside);
    Ok(sigmf_metadata_copy(original, name))
}

/// The capture's file, where it stands in the folder of the metadata.
fn data_file(input: &Path, target: &Path) -> Option<DataFile> {
    let length_bytes = input.metadata().ok()?.len();
    let name = input.file_name()?.to_str()?.to_owned();
    same_folder(input, target).then_some(DataFile { name, length_bytes })
}

fn same_folder(one: &Path, other: &Path) -> bool {
    let folder = |path: &Path| {
        let parent = path
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        parent.unwrap_or(Path::new(".")).canonicalize().ok()
    };
    folder(one).is_some_and(|one| Some(one) == folder(other))
}
