use std::io::Read;
use std::path::{Path, PathBuf};

use coilwright_diagnose::result::SignalKind;
use coilwright_diagnose::{Check, CheckError, CheckOptions, Measurement};
use coilwright_signal::capture::{BlockSource, ReadError, ReadOptions, open, open_stream};

use crate::args::{ReadArgs, SampleArgs, SignalKindArg, WriteArgs};
use crate::closer::Closer;
use crate::error::CommandError;
use crate::progress::Bars;

/// The name that stands for standard input.
const STANDARD_INPUT: &str = "-";

/// How every input of one run is read and measured.
pub(crate) struct Inputs {
    read: ReadOptions,
    check: CheckOptions,
}

impl Inputs {
    /// The plan that the arguments ask for, on these paths.
    pub(crate) fn new<'a>(
        arguments: &ReadArgs,
        paths: impl Iterator<Item = &'a PathBuf>,
    ) -> Result<Self, CommandError> {
        let check = CheckOptions {
            nominal_hz: arguments.nominal,
            signal_kind: arguments.signal_kind.map(signal_kind),
            ..CheckOptions::default()
        };
        Self::of_samples(&arguments.samples, check, paths)
    }

    /// The same where what the samples are is decided elsewhere.
    pub(crate) fn of_samples<'a>(
        arguments: &SampleArgs,
        check: CheckOptions,
        paths: impl Iterator<Item = &'a PathBuf>,
    ) -> Result<Self, CommandError> {
        let count = paths.filter(|path| is_standard_input(path)).count();
        if count > 1 {
            return Err(CommandError::StandardInputRepeats { count });
        }
        Ok(Self {
            read: ReadOptions {
                channel: arguments.channel,
                sample_rate_hz: arguments.sample_rate,
                raw_type: arguments.raw_type,
                raw_channels: arguments.raw_channels,
            },
            check,
        })
    }

    /// How samples are read.
    pub(crate) const fn read_options(&self) -> &ReadOptions {
        &self.read
    }

    /// What the user decided of the samples.
    pub(crate) const fn check_options(&self) -> &CheckOptions {
        &self.check
    }

    /// The measurements on one capture; `-` is standard input.
    pub(crate) fn measure(&self, path: &Path, bars: &Bars) -> Result<Measurement, CheckError> {
        let mut source = self.open(path)?;
        let mut bar = bars.bar(source.info());
        Measurement::take(&mut *source, &self.check, &mut |progress| {
            bar.advance(progress);
        })
    }

    /// The check of one capture, with the files that are asked for written on the way.
    pub(crate) fn check_closely(
        &self,
        path: &Path,
        write: &WriteArgs,
        bars: &Bars,
    ) -> Result<Check, CommandError> {
        let mut source = self.open(path).map_err(CheckError::from)?;
        let mut closer = Closer::begin(write, path, source.info())?;
        let mut bar = bars.bar(source.info());
        let measurement = Measurement::take_observed(
            &mut *source,
            &self.check,
            &mut |progress| bar.advance(progress),
            &mut |passage| closer.hear(&passage),
        )?;
        let check = measurement.conclude(None);
        closer.finish(&check)?;
        Ok(check)
    }

    /// The samples of one capture; `-` is standard input.
    pub(crate) fn open(&self, path: &Path) -> Result<Box<dyn BlockSource>, ReadError> {
        if is_standard_input(path) {
            self.open_stream(Box::new(std::io::stdin()), path)
        } else {
            open(path, &self.read)
        }
    }

    /// The samples of a stream; the path is for messages.
    pub(crate) fn open_stream(
        &self,
        stream: Box<dyn Read + Send>,
        path: &Path,
    ) -> Result<Box<dyn BlockSource>, ReadError> {
        open_stream(stream, &path.display().to_string(), &self.read)
    }
}

/// Whether a path stands for standard input, which can be read only once.
pub(crate) fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == STANDARD_INPUT
}

/// The kind that an argument names.
pub(crate) const fn signal_kind(argument: SignalKindArg) -> SignalKind {
    match argument {
        SignalKindArg::Direct => SignalKind::Direct,
        SignalKindArg::Aliased => SignalKind::Aliased,
        SignalKindArg::Envelope => SignalKind::Envelope,
        SignalKindArg::Complex => SignalKind::ComplexBaseband,
        SignalKindArg::RingDown => SignalKind::RingDown,
    }
}
