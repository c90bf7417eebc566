use std::path::Path;

use coilwright_coil::Estimate;
use coilwright_diagnose::result::{EdgeTrace, SignalKind};
use coilwright_diagnose::{CheckOptions, Measurement};
use coilwright_signal::capture::{ReadOptions, open};

use super::{injection, name};
use crate::coil_args::MeasureArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::plot::{Drawn, Form};

pub(super) fn sheet(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    let options = ReadOptions {
        sample_rate_hz: arguments.sample_rate,
        ..ReadOptions::default()
    };
    let mut source = open(path, &options).map_err(coilwright_diagnose::CheckError::from)?;
    if source.info().channels == 2 {
        return injection::sheet(path, &options);
    }
    let result =
        Measurement::take(&mut *source, &CheckOptions::default(), &mut |_| {})?.conclude(None);
    let pinged = result.signal.kind == SignalKind::RingDown;
    let (kind, method) = if pinged {
        (
            "ring_down",
            "Ring-down after a pulse; undamped resonance, loaded Q.",
        )
    } else {
        let method = "Switching edges of a driven ring; undamped resonance, loaded Q.";
        ("switching_edges", method)
    };
    let mut sheet = Sheet::new(kind, name(path), method);
    let plain = |e: coilwright_signal::Estimate| Estimate::new(e.value, e.std_dev);
    if let (Some(resonance), Some(q)) = (result.ring.resonance_hz, result.ring.q) {
        sheet.measured("resonance_hz", "resonance (loaded)", "Hz", plain(resonance));
        sheet.measured("q", "Q loaded", "", plain(q));
    } else {
        // Only a ring that was tapped should have rung.
        sheet.silent = pinged;
        sheet
            .notes
            .push(format!("No resonance was measured. {}", result.ring.reason));
    }
    sheet
        .notes
        .extend(result.capture.warnings.iter().map(ToString::to_string));
    let rate = result.capture.sample_rate_hz;
    sheet.drawn = result
        .ring
        .trace
        .iter()
        .flat_map(|t| drawn(t, rate))
        .collect();
    Ok(sheet)
}

/// One edge or ping with its fit, and what the fit leaves.
fn drawn(trace: &EdgeTrace, sample_rate_hz: f64) -> [Drawn; 2] {
    let time = |n: usize| 1e3 * (trace.first_sample as f64 + n as f64) / sample_rate_hz;
    let points = |values: &[f32]| {
        let each = values.iter().enumerate();
        each.map(|(n, v)| (time(n), f64::from(*v))).collect()
    };
    let left: Vec<f32> = trace
        .samples
        .iter()
        .zip(&trace.fitted)
        .map(|(sample, fitted)| sample - fitted)
        .collect();
    let one = |title, measured: &[f32], fitted: &[f32]| Drawn {
        form: Form::Plane,
        title,
        x: "time in the capture, ms",
        y: "level",
        measured: points(measured),
        fitted: points(fitted),
    };
    [
        one("The strongest edge or ping", &trace.samples, &trace.fitted),
        one("What the fit leaves", &left, &[]),
    ]
}
