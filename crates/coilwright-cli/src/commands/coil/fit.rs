use std::path::{Path, PathBuf};

use super::measure::{measure, unfitted};
use super::{Form, Held, Sheet, condition, print};
use crate::Status;
use crate::coil_args::{
    CompareArgs, FitArgs, MeasureArgs, OhmmeterArgs, PictureArgs, StandardArgs,
};
use crate::draft::{Existing, same_file};
use crate::error::CommandError;
use crate::output::number::estimate;
use crate::plot::{Picture, coil_page};
use crate::streams::Streams;

/// Fits each file, judges it where there is something to hold it against, and draws it where that is asked for.
pub(crate) fn run(arguments: &FitArgs, streams: &mut Streams<'_>) -> Status {
    let picture = match begin_picture(&arguments.picture, &arguments.files) {
        Ok(picture) => picture,
        Err(error) => return streams.refuse(&error),
    };
    let how = How {
        measure: &arguments.measure,
        standard: &arguments.standard,
        ohmmeter: arguments.ohmmeter,
    };
    let (sheets, status) = match how.judged(&arguments.files, streams) {
        Ok(judged) => judged,
        Err(error) => return streams.refuse(&error),
    };
    let Some(first) = sheets.first() else {
        return status;
    };
    if let Some(picture) = picture
        && let Err(error) = finish_picture(picture, first)
    {
        return streams.refuse(&error);
    }
    let form = Form::of(arguments.files.len());
    print(&sheets, form, arguments.output, streams).max(status)
}

/// Prints what several files say, one line each; those that cannot be read are refused.
pub(crate) fn compare(arguments: &CompareArgs, streams: &mut Streams<'_>) -> Status {
    let how = How {
        measure: &arguments.measure,
        standard: &arguments.standard,
        ohmmeter: OhmmeterArgs::default(),
    };
    let (sheets, status) = match how.judged(&arguments.files, streams) {
        Ok(judged) => judged,
        Err(error) => return streams.refuse(&error),
    };
    let output = arguments.output;
    if sheets.is_empty() {
        return status;
    }
    if output.json || output.csv {
        return print(&sheets, Form::List, output, streams).max(status);
    }
    streams.print(&super::text::table(&sheets)).max(status)
}

/// How files are read and judged.
struct How<'a> {
    measure: &'a MeasureArgs,
    standard: &'a StandardArgs,
    ohmmeter: OhmmeterArgs,
}

impl How<'_> {
    /// The sheets of all files that could be read and fitted, and the gravest outcome; the others are refused.
    fn judged(
        &self,
        files: &[PathBuf],
        streams: &mut Streams<'_>,
    ) -> Result<(Vec<Sheet>, Status), CommandError> {
        let held = Held::of(self.standard, self.measure)?;
        let mut status = Status::Clear;
        let mut sheets = Vec::new();
        for path in files {
            match self.one(path, held.as_ref()) {
                Ok(sheet) => {
                    status = status.max(outcome(&sheet));
                    sheets.push(sheet);
                }
                Err(error) => status = status.max(streams.refuse(&error)),
            }
        }
        Ok((sheets, status))
    }

    fn one(&self, path: &Path, held: Option<&Held>) -> Result<Sheet, CommandError> {
        let mut sheet = measure(path, self.measure)?;
        if let Some(held) = held {
            held.same_kind(path, &sheet)?;
            let verdict = condition::judge(&sheet, held, self.ohmmeter, self.standard.turns);
            sheet.verdict = Some(verdict.map_err(|source| unfitted(path, source))?);
        }
        Ok(sheet)
    }
}

/// What was measured decides, unless it was judged; nothing measured tells nothing.
fn outcome(sheet: &Sheet) -> Status {
    match &sheet.verdict {
        Some(verdict) => Status::of_coil(verdict),
        None if sheet.numbers.is_empty() => Status::CannotTell,
        None => Status::Clear,
    }
}

/// The picture that is asked for.
fn begin_picture(
    arguments: &PictureArgs,
    files: &[PathBuf],
) -> Result<Option<Picture>, CommandError> {
    let Some(path) = &arguments.plot else {
        return Ok(None);
    };
    let [file] = files else {
        return Err(CommandError::SeveralFitted { count: files.len() });
    };
    if same_file(file, path) {
        return Err(CommandError::OverInput { path: path.clone() });
    }
    let existing = if arguments.force {
        Existing::Replace
    } else {
        Existing::Keep
    };
    Picture::begin(path, existing).map(Some)
}

fn finish_picture(picture: Picture, sheet: &Sheet) -> Result<(), CommandError> {
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
