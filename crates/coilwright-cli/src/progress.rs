use std::time::{Duration, Instant};

use coilwright_diagnose::Progress;
use coilwright_signal::capture::CaptureInfo;
use indicatif::{MultiProgress, ProgressBar, ProgressStyle};

/// How long a capture may take before progress is shown.
const PATIENCE: Duration = Duration::from_secs(1);
const WITH_LENGTH: &str = "{wide_bar} {percent:>3} %, {eta} left, {msg}";
const WITHOUT_LENGTH: &str = "{spinner} {elapsed}, {msg}";

/// The terminal that the bars of captures in work at the same time share; nothing where there is no terminal.
#[derive(Default)]
pub(crate) struct Bars {
    terminal: MultiProgress,
}

impl Bars {
    /// The bar of one capture.
    pub(crate) fn bar(&self, info: &CaptureInfo) -> Bar<'_> {
        Bar {
            terminal: &self.terminal,
            started: Instant::now(),
            name: info.source.name.clone(),
            length: info.length,
            shown: None,
        }
    }

    /// Prints something with the bars out of the way.
    pub(crate) fn aside<T>(&self, print: impl FnOnce() -> T) -> T {
        self.terminal.suspend(print)
    }
}

/// Progress of one capture, once it takes longer than [`PATIENCE`].
pub(crate) struct Bar<'a> {
    terminal: &'a MultiProgress,
    started: Instant,
    name: String,
    length: Option<u64>,
    shown: Option<ProgressBar>,
}

impl Bar<'_> {
    /// Shows how far the reading got.
    pub(crate) fn advance(&mut self, progress: Progress) {
        if self.shown.is_none() && self.started.elapsed() >= PATIENCE {
            self.shown = Some(self.show());
        }
        if let Some(bar) = &self.shown {
            bar.set_position(progress.samples);
        }
    }

    fn show(&self) -> ProgressBar {
        let (bar, template) = match self.length {
            Some(length) => (ProgressBar::new(length), WITH_LENGTH),
            None => (ProgressBar::new_spinner(), WITHOUT_LENGTH),
        };
        if let Ok(style) = ProgressStyle::with_template(template) {
            bar.set_style(style);
        }
        let bar = bar
            .with_elapsed(self.started.elapsed())
            .with_message(self.name.clone());
        self.terminal.add(bar)
    }
}

impl Drop for Bar<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.shown {
            bar.finish_and_clear();
        }
    }
}
