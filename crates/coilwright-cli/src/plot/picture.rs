use std::path::{Path, PathBuf};

use super::pixels::pixels;
use crate::draft::{Draft, Existing};
use crate::error::CommandError;

/// What a picture is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Svg,
    Png,
}

/// A picture's file in the making; nothing is left of it if it is never completed.
pub(crate) struct Picture {
    kind: Kind,
    draft: Draft,
}

impl Picture {
    /// Begins the file; its name decides what it is written as.
    pub(crate) fn begin(path: &Path, existing: Existing) -> Result<Self, CommandError> {
        let kind = Kind::of_path(path)?;
        let draft = Draft::begin(path, existing)?;
        Ok(Self { kind, draft })
    }

    /// Where the file will stand.
    pub(crate) fn path(&self) -> PathBuf {
        self.draft.path().to_path_buf()
    }

    /// Writes a page that was drawn as SVG and puts the file in its place.
    pub(crate) fn complete(self, page: &str) -> Result<(), CommandError> {
        match self.kind {
            Kind::Svg => self.draft.complete(page.as_bytes()),
            Kind::Png => match pixels(page) {
                Some(png) => self.draft.complete(&png),
                None => Err(CommandError::NoPixels { path: self.path() }),
            },
        }
    }
}

impl Kind {
    fn of_path(path: &Path) -> Result<Self, CommandError> {
        let ends_in = |wanted: &str| {
            path.extension()
                .is_some_and(|extension| extension.eq_ignore_ascii_case(wanted))
        };
        if ends_in("svg") {
            Ok(Self::Svg)
        } else if ends_in("png") {
            Ok(Self::Png)
        } else {
            Err(CommandError::PlotKind {
                path: path.to_path_buf(),
            })
        }
    }
}
