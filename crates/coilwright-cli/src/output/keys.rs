use coilwright_diagnose::Check;
use coilwright_diagnose::result::{Carrier, Downlink, FrameFound, KeyFound, Signal};
use serde::Serialize;

use super::downlink;
use super::number::quantity;
use super::page::Page;
use super::rows;

/// Name and version of the JSON form of [`Decoded`].
const SCHEMA: &str = "coilwright.decode/1";

/// The keys of one capture and what they were heard on.
#[derive(Serialize)]
pub(crate) struct Decoded {
    schema: &'static str,
    file: String,
    signal: Signal,
    carrier: Carrier,
    pub(crate) keys: Vec<KeyFound>,
    downlink: Downlink,
    /// What the reader repaired or doubted, one sentence each.
    warnings: Vec<String>,
    #[serde(skip)]
    sample_rate_hz: f64,
    #[serde(skip)]
    carrier_row: String,
}

impl From<Check> for Decoded {
    fn from(check: Check) -> Self {
        Self {
            schema: SCHEMA,
            carrier_row: rows::carrier(&check),
            sample_rate_hz: check.capture.sample_rate_hz,
            file: check.file,
            signal: check.signal,
            carrier: check.carrier,
            keys: check.keys,
            downlink: check.downlink,
            warnings: check.capture.warnings,
        }
    }
}

/// The keys and their frames as text.
pub(crate) fn text(found: &Decoded) -> String {
    let mut page = Page::default();
    if found.keys.is_empty() {
        page.headline("No key was decoded.");
        page.row("Recording", &found.file);
        page.row("Signal", &found.signal.reason);
        page.row("Carrier", &found.carrier_row);
    }
    for key in &found.keys {
        page.headline(&rows::key(key));
        if let Some(frame) = &key.frame {
            frame_rows(&mut page, frame);
        }
        key_rows(&mut page, key, &found.file, found.sample_rate_hz);
    }
    downlink::rows(&mut page, &found.downlink, found.sample_rate_hz);
    for warning in &found.warnings {
        page.row("Note", warning);
    }
    page.finish()
}

fn frame_rows(page: &mut Page, frame: &FrameFound) {
    page.row("Bits as sent", &in_groups(&frame.bits));
    for check in &frame.checks {
        let outcome = if check.holds { "holds" } else { "fails" };
        page.row("Check", &format!("{}: {outcome}", check.name));
    }
    if frame.corrected_bits > 0 {
        page.row("Corrected", &format!("{} bits", frame.corrected_bits));
    }
}

fn key_rows(page: &mut Page, key: &KeyFound, file: &str, sample_rate_hz: f64) {
    page.row("Recording", file);
    page.row(
        "Bit energy",
        &format!("{:.1} dB over the noise density", key.eb_n0_db),
    );
    page.row("Weakest bit", &format!("{:.2} of the mean bit", key.margin));
    if let Some(first) = key.spans.first() {
        let (start, end) = first.seconds(sample_rate_hz);
        page.row(
            "First frame",
            &format!("{} to {}", quantity(start, "s"), quantity(end, "s")),
        );
    }
}

/// Bits in groups of eight, so that a line can break between them.
fn in_groups(bits: &str) -> String {
    let bits: Vec<char> = bits.chars().collect();
    let groups: Vec<String> = bits.chunks(8).map(|group| group.iter().collect()).collect();
    groups.join(" ")
}
