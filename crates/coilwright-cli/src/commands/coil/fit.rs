use std::path::{Path, PathBuf};

use super::measure::{Bench, Expected, unfitted};
use super::ohmmeter::Meter;
use super::{Form, Held, Sheet, condition, print};
use crate::Status;
use crate::coil_args::{CompareArgs, FitArgs, PictureArgs, StandardArgs};
use crate::draft::{Existing, same_file};
use crate::error::CommandError;
use crate::output::number::estimate;
use crate::plot::{Picture, coil_page};
use crate::streams::Streams;

/// Fits each file, judges it where there is something to hold it against, and draws it where that is asked for.
pub(crate) fn run(arguments: &FitArgs, streams: &mut Streams<'_>) -> Status {
    let begun = begin_picture(&arguments.picture, &arguments.files)
        .and_then(|picture| Ok((picture, How::of(arguments)?)));
    let (picture, how) = match begun {
        Ok(begun) => begun,
        Err(error) => return streams.refuse(&error),
    };
    let judged = if arguments.files.is_empty() {
        how.reading()
    } else {
        how.judged(&arguments.files, streams)
    };
    let (sheets, status) = match judged {
        Ok(judged) => judged,
        Err(error) => return streams.refuse(&error),
    };
    let Some(first) = sheets.first() else {
        return status;
    };
    let form = Form::of(arguments.files.len().max(1));
    let status = print(&sheets, form, arguments.output, streams).max(status);
    match picture.map(|picture| finish_picture(picture, first)) {
        Some(Err(error)) => streams.refuse(&error).max(status),
        _ => status,
    }
}

/// Prints what several files say, one line each; those that cannot be read are refused.
pub(crate) fn compare(arguments: &CompareArgs, streams: &mut Streams<'_>) -> Status {
    let paths = named(&arguments.files, &arguments.standard);
    let bench = match Bench::new(&arguments.measure, paths) {
        Ok(bench) => bench,
        Err(error) => return streams.refuse(&error),
    };
    let how = How {
        bench,
        standard: &arguments.standard,
        meter: Meter::default(),
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
    bench: Bench<'a>,
    standard: &'a StandardArgs,
    meter: Meter,
}

impl<'a> How<'a> {
    fn of(arguments: &'a FitArgs) -> Result<Self, CommandError> {
        let paths = named(&arguments.files, &arguments.standard);
        let how = Self {
            bench: Bench::new(&arguments.measure, paths)?,
            standard: &arguments.standard,
            meter: Meter::of(arguments.ohmmeter)?,
        };
        let standard = how.standard.is_given() || how.meter.good_ohm.is_some();
        if how.meter.reading.is_some() && !arguments.files.is_empty() && !standard {
            return Err(CommandError::OhmsWithoutStandard);
        }
        Ok(how)
    }

    /// The sheet of an ohmmeter's reading without a file, and what it tells.
    fn reading(&self) -> Result<(Vec<Sheet>, Status), CommandError> {
        let mut sheet = self.meter.sheet();
        let held = Held::of(self.standard, &self.meter, &self.bench)?.unwrap_or_else(Held::nothing);
        condition::judge(&mut sheet, &held, &self.meter, self.standard.turns)
            .map_err(|source| unfitted(Path::new("ohmmeter"), source))?;
        let status = outcome(&sheet, Some(&held));
        Ok((vec![sheet], status))
    }

    /// The sheets of all files that could be read and fitted, and the gravest outcome; the others are refused.
    fn judged(
        &self,
        files: &[PathBuf],
        streams: &mut Streams<'_>,
    ) -> Result<(Vec<Sheet>, Status), CommandError> {
        let held = Held::of(self.standard, &self.meter, &self.bench)?;
        let mut status = Status::Clear;
        let mut sheets = Vec::new();
        for path in files {
            match self.one(path, held.as_ref()) {
                Ok(sheet) => {
                    status = status.max(outcome(&sheet, held.as_ref()));
                    sheets.push(sheet);
                }
                Err(error) => status = status.max(streams.refuse(&error)),
            }
        }
        Ok((sheets, status))
    }

    fn one(&self, path: &Path, held: Option<&Held>) -> Result<Sheet, CommandError> {
        let expected = held.map_or(Expected::Anything, Held::expected);
        let mut sheet = self.bench.measure(path, expected)?;
        if let Some(held) = held {
            held.same_kind(path, &sheet)?;
            condition::judge(&mut sheet, held, &self.meter, self.standard.turns)
                .map_err(|source| unfitted(path, source))?;
        }
        Ok(sheet)
    }
}

/// All files that are read.
fn named<'p>(
    files: &'p [PathBuf],
    standard: &'p StandardArgs,
) -> impl Iterator<Item = &'p PathBuf> {
    files.iter().chain(&standard.against)
}

/// What was measured decides, unless it was to be judged; nothing measured, or nothing to compare, tells nothing.
fn outcome(sheet: &Sheet, held: Option<&Held>) -> Status {
    match &sheet.verdict {
        Some(verdict) => Status::of_coil(verdict),
        None if held.is_some() || sheet.numbers.is_empty() => Status::CannotTell,
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
