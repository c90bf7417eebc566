use std::path::{Path, PathBuf};

use super::measure::{Bench, Expected, unfitted};
use super::ohmmeter::{self, Meter};
use super::{Form, Held, Sheet, condition, picture, print};
use crate::Status;
use crate::coil_args::{CompareArgs, FitArgs, StandardArgs};
use crate::error::CommandError;
use crate::measure_each::measure_each;
use crate::streams::Streams;

/// Fits each file, judges it where there is something to hold it against, and draws it where that is asked for.
pub(crate) fn run(arguments: &FitArgs, streams: &mut Streams<'_>) -> Status {
    let begun = picture::of_one(&arguments.picture, &arguments.files)
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
    picture::after(status, picture, |p| picture::fit(p, first), streams)
}

/// Prints what several files say, one line each; those that cannot be read are refused.
pub(crate) fn compare(arguments: &CompareArgs, streams: &mut Streams<'_>) -> Status {
    let paths = named(&arguments.files, &arguments.standard);
    let begun = picture::begin(&arguments.picture, &arguments.files)
        .and_then(|picture| Ok((picture, Bench::new(&arguments.measure, paths)?)));
    let (picture, bench) = match begun {
        Ok(begun) => begun,
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
    let printed = if output.json || output.csv {
        print(&sheets, Form::List, output, streams)
    } else {
        streams.print(&super::text::table(&sheets))
    };
    let status = printed.max(status);
    picture::after(status, picture, |p| picture::compared(p, &sheets), streams)
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
            .map_err(|source| unfitted(Path::new(ohmmeter::NAME), source))?;
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
        let bars = self.bench.bars();
        let measure = |path: &Path| self.one(path, held.as_ref());
        measure_each(files, measure, |measured| match measured {
            Ok(mut sheet) => {
                status = status.max(outcome(&sheet, held.as_ref()));
                // Only one is drawn with its curves, which may be long.
                if !sheets.is_empty() {
                    sheet.drawn.clear();
                }
                sheets.push(sheet);
            }
            Err(error) => status = status.max(bars.aside(|| streams.refuse(&error))),
        });
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
