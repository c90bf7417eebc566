//! Plots of a decode, and of a coil's measurement, as an SVG picture (Scalable Vector Graphics 1.1), made without any other program.
//!
//! Two colours of Okabe and Ito's palette, dark blue and light orange, stand for 1 and 0; they differ in lightness too, and
//! so do their marks and strokes, so that the picture can be read in grey and with every kind of colour vision.

mod canvas;
mod coil;
mod constellation;
mod eye;
mod page;
mod panel;
mod scale;
mod soft_bits;
mod spectrum;
mod timing;

use std::path::Path;

pub(crate) use coil::{Drawn, Form, coil_page, magnitude};
pub(crate) use page::page;

use crate::error::CommandError;

/// Refuses a name that does not end in `.svg`.
pub(crate) fn check_kind(path: &Path) -> Result<(), CommandError> {
    let is_svg = path
        .extension()
        .is_some_and(|extension| extension.eq_ignore_ascii_case("svg"));
    if is_svg {
        Ok(())
    } else {
        Err(CommandError::PlotKind {
            path: path.to_path_buf(),
        })
    }
}
