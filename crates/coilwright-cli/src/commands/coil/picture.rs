//! The pictures that coil commands draw.

use std::path::PathBuf;

use super::Sheet;
use crate::Status;
use crate::coil_args::PictureArgs;
use crate::draft::{Existing, same_file};
use crate::error::CommandError;
use crate::output::number::estimate;
use crate::plot::{Compared, Picture, coil_page, compared_page};
use crate::streams::Streams;

/// The picture that is asked for of one file.
pub(crate) fn of_one(
    arguments: &PictureArgs,
    files: &[PathBuf],
) -> Result<Option<Picture>, CommandError> {
    match (&arguments.plot, files) {
        (None, _) | (_, [_]) => begin(arguments, files),
        (Some(_), several) => Err(CommandError::SeveralFitted {
            count: several.len(),
        }),
    }
}

/// The picture that is asked for; it must not replace a file that is read.
pub(crate) fn begin(
    arguments: &PictureArgs,
    files: &[PathBuf],
) -> Result<Option<Picture>, CommandError> {
    let Some(path) = &arguments.plot else {
        return Ok(None);
    };
    if files.iter().any(|file| same_file(file, path)) {
        return Err(CommandError::OverInput { path: path.clone() });
    }
    Picture::begin(path, Existing::by_force(arguments.force)).map(Some)
}

/// Completes the picture, where one is asked for, after what was printed with this outcome; returns the gravest.
pub(crate) fn after(
    printed: Status,
    picture: Option<Picture>,
    draw: impl FnOnce(Picture) -> Result<(), CommandError>,
    streams: &mut Streams<'_>,
) -> Status {
    match picture.map(draw) {
        Some(Err(error)) => streams.refuse(&error).max(printed),
        _ => printed,
    }
}

/// What was measured with its fit.
pub(crate) fn fit(picture: Picture, sheet: &Sheet) -> Result<(), CommandError> {
    if sheet.drawn.is_empty() {
        return Err(CommandError::NoCurve {
            path: picture.path(),
        });
    }
    let found: Vec<String> = ["resonance_hz", "q", "inductance_henry", "resistance_ohm"]
        .into_iter()
        .filter_map(|key| sheet.numbers.iter().find(|entry| entry.key == key))
        .take(3)
        .map(|entry| {
            let number =
                coilwright_signal::Estimate::new(entry.value, entry.std_dev.unwrap_or(0.0));
            format!("{} {}", entry.name, estimate(number, entry.unit))
        })
        .collect();
    picture.complete(&coil_page(&sheet.subject, &found.join(", "), &sheet.drawn))
}

/// Several coils with error bars.
pub(crate) fn compared(picture: Picture, sheets: &[Sheet]) -> Result<(), CommandError> {
    const NUMBERS: [(&str, &str, f64); 4] = [
        ("resonance_hz", "Resonance, kHz", 1e3),
        ("q", "Q", 1.0),
        ("inductance_henry", "Inductance, µH", 1e-6),
        ("resistance_ohm", "Series resistance, Ω", 1.0),
    ];
    let numbers: Vec<Compared> = NUMBERS
        .into_iter()
        .map(|(key, title, scale)| Compared {
            title: title.to_owned(),
            values: sheets
                .iter()
                .map(|sheet| sheet.estimate(key))
                .map(|e| e.map(|e| (e.value / scale, e.std_dev / scale)))
                .collect(),
        })
        .filter(|compared| compared.values.iter().any(Option::is_some))
        .collect();
    if numbers.is_empty() {
        return Err(CommandError::NoCurve {
            path: picture.path(),
        });
    }
    let names: Vec<String> = sheets.iter().map(|sheet| sheet.subject.clone()).collect();
    picture.complete(&compared_page(&names, &numbers))
}
