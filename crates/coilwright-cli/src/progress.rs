use std::time::{Duration, Instant};

use coilwright_diagnose::Progress;
use coilwright_signal::capture::CaptureInfo;
use indicatif::{ProgressBar, ProgressStyle};

/// How long a capture may take before progress is shown.
const PATIENCE: Duration = Duration::from_secs(1);
const WITH_LENGTH: &str = "{wide_bar} {percent:>3} %, {eta} left, {msg}";
const WITHOUT_LENGTH: &str = "{spinner} {elapsed}, {msg}";

/// Progress on the terminal, once a capture takes longer than [`PATIENCE`]; nothing where there is no terminal.
pub(crate) struct Bar {
    started: Instant,
    name: String,
    length: Option<u64>,
    shown: Option<ProgressBar>,
}

impl Bar {
    pub(crate) fn new(info: &CaptureInfo) -> Self {
        Self {
            started: Instant::now(),
            name: info.source.name.clone(),
            length: info.length,
            shown: None,
        }
    }

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
        bar.with_elapsed(self.started.elapsed())
            .with_message(self.name.clone())
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        if let Some(bar) = &self.shown {
            bar.finish_and_clear();
        }
    }
}
