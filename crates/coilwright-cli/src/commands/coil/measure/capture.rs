use std::path::Path;

use coilwright_coil::condition::Ringing;
use coilwright_coil::{Estimate, Zone};
use coilwright_diagnose::result::{EdgeTrace, SignalKind};
use coilwright_diagnose::{Check, CheckError, CheckOptions, Measurement};
use coilwright_signal::capture::{BlockSource, SampleKind};

use super::origin::Samples;
use super::{Bench, Expected, IF_A_TABLE, injection, is_text, name};
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::output::number::quantity;
use crate::plot::{Drawn, Form};

/// What a recording of one channel holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Heard {
    /// A ring that was tapped, whether it rang or not.
    RingDown,
    /// A driven ring.
    Edges,
    /// Neither.
    Nothing,
}

impl Heard {
    const fn kind_and_method(self) -> (&'static str, &'static str) {
        match self {
            Self::RingDown => (
                "ring_down",
                "Ring-down after a pulse; undamped resonance, loaded Q.",
            ),
            Self::Edges => (
                "switching_edges",
                "Switching edges of a driven ring; undamped resonance, loaded Q.",
            ),
            Self::Nothing => (
                "silent",
                "A recording with neither a ring-down nor a driven ring in it.",
            ),
        }
    }
}

/// Two channels are stimulus and pickup, unless one of them is named; anything else is one record.
pub(super) fn sheet(
    path: &Path,
    samples: Samples<'_>,
    bench: &Bench<'_>,
    expected: Expected,
) -> Result<Sheet, CommandError> {
    let is_stream = matches!(samples, Samples::Stream(_));
    let source = match samples {
        Samples::File(path) => bench.inputs.open(path),
        Samples::Stream(stream) => bench.inputs.open_stream(stream, path),
    };
    let source = source.map_err(CheckError::from)?;
    let info = source.info();
    let pair = info.channels == 2 && info.kind == SampleKind::Real;
    if pair && bench.arguments.samples.channel.is_none() {
        if is_stream {
            return Err(CommandError::TwoChannelsStreamed {
                path: path.to_owned(),
            });
        }
        let info = info.clone();
        drop(source);
        return injection::sheet(path, bench, &info);
    }
    let options = bench.inputs.check_options();
    let result = check(source, options, bench)?;
    let heard = match result.signal.kind {
        SignalKind::RingDown => Heard::RingDown,
        SignalKind::NoCarrier if expected == Expected::RingDown => Heard::RingDown,
        SignalKind::NoCarrier => Heard::Nothing,
        _ => Heard::Edges,
    };
    let doubted = heard == Heard::RingDown && result.signal.kind != SignalKind::RingDown;
    if !doubted || is_stream {
        return Ok(of_check(path, &result, heard, bench));
    }
    // A second look, as at a ring-down, says how fast it died away.
    let options = CheckOptions {
        signal_kind: Some(SignalKind::RingDown),
        ..options.clone()
    };
    let source = bench.inputs.open(path).map_err(CheckError::from)?;
    Ok(of_check(
        path,
        &check(source, &options, bench)?,
        heard,
        bench,
    ))
}

fn check(
    mut source: Box<dyn BlockSource>,
    options: &CheckOptions,
    bench: &Bench<'_>,
) -> Result<Check, CheckError> {
    let mut bar = bench.bars.bar(source.info());
    let mut advance = |progress| bar.advance(progress);
    let measurement = Measurement::take(&mut *source, options, &mut advance)?;
    Ok(measurement.conclude(None))
}

fn of_check(path: &Path, result: &Check, heard: Heard, bench: &Bench<'_>) -> Sheet {
    let (kind, method) = heard.kind_and_method();
    let mut sheet = Sheet::new(kind, name(path), method);
    let plain = |e: coilwright_signal::Estimate| Estimate::new(e.value, e.std_dev);
    if let (Some(resonance), Some(q)) = (result.ring.resonance_hz, result.ring.q) {
        sheet.measured("resonance_hz", "resonance (loaded)", "Hz", plain(resonance));
        sheet.measured("q", "Q loaded", "", plain(q));
        sheet.notes.extend(folded(result, heard, bench));
        sheet.ringing = Ringing::Seen;
    } else if let Some(died) = result.ring.ring_down.as_ref().and_then(|ring| ring.died) {
        sheet.measured(
            "resonance_hz",
            "resonance, about",
            "Hz",
            plain(died.resonance_hz),
        );
        sheet.measured("q", "Q, about", "", plain(died.q));
        sheet.notes.push(result.ring.reason.clone());
    } else {
        // Only a ring that was tapped should have rung.
        if heard == Heard::RingDown {
            sheet.ringing = Ringing::NoneSeen;
        }
        let reason = &result.ring.reason;
        sheet
            .notes
            .push(format!("No resonance was measured. {reason}"));
    }
    let unread = sheet.numbers.is_empty() && heard != Heard::RingDown;
    if unread && is_text(&result.capture.format) {
        let note = format!(
            "Taken for a recording, since no frequency is named over its columns: {IF_A_TABLE}."
        );
        sheet.notes.push(note);
    }
    if heard == Heard::Nothing {
        sheet.notes.push("If the coil was tapped by a pulse, say --signal-kind ring-down: then it counts that nothing rings.".to_owned());
    }
    let warnings = result.capture.warnings.iter().map(ToString::to_string);
    sheet.notes.extend(warnings);
    let rate = result.capture.sample_rate_hz;
    let trace = result.ring.trace.iter();
    sheet.drawn = trace.flat_map(|t| drawn(t, rate)).collect();
    sheet
}

/// What is said of a resonance that the samples show elsewhere, since they are too few.
fn folded(result: &Check, heard: Heard, bench: &Bench<'_>) -> Option<String> {
    let resonance_hz = result.ring.resonance_hz?.value;
    let rate = result.capture.sample_rate_hz;
    if result.signal.kind == SignalKind::ComplexBaseband || resonance_hz <= 0.5 * rate {
        return None;
    }
    let seen_hz = Zone::containing(resonance_hz, rate).apparent_hz(resonance_hz);
    let said = format!(
        "Seen at {} in the samples, which are too few to show more than {}; taken for {}, folded",
        quantity(seen_hz, "Hz"),
        quantity(0.5 * rate, "Hz"),
        quantity(resonance_hz, "Hz"),
    );
    Some(if bench.arguments.near.is_some() {
        format!("{said}, as --near says.")
    } else if heard == Heard::RingDown {
        let near = format!("{:.1}e3", 1e-3 * seen_hz);
        format!(
            "{said}. If the ring is at {}, say --near {near}.",
            quantity(seen_hz, "Hz")
        )
    } else {
        format!("{said}, as the carrier is.")
    })
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
        y: "level".to_owned(),
        measured: points(measured),
        fitted: points(fitted),
        resonance: None,
    };
    [
        one("The strongest edge or ping", &trace.samples, &trace.fitted),
        one("What the fit leaves", &left, &[]),
    ]
}
