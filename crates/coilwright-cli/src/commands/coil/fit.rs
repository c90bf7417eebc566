use std::path::Path;

use coilwright_coil::{
    CoilFit, Connection, Estimate, FitError, ImpedanceOptions, ReflectionOptions, ResponseOptions,
    SeriesRingFit, TransferBand, TwoPort, fit_coil, fit_coil_reflection, fit_coupled_coils,
    fit_injection, fit_q_circle, fit_series_ring, highest_playable_hz, reflection_to_impedance,
    transfer_function,
};
use coilwright_diagnose::result::SignalKind;
use coilwright_diagnose::{CheckOptions, Measurement};
use coilwright_signal::capture::{Capture, ReadOptions, open, read};
use coilwright_signal::table::{
    ImpedanceReadOptions, Touchstone, read_impedance_table, read_touchstone,
};
use num_complex::Complex64;

use super::kind::{Kind, kind_of};
use super::{Sheet, condition, print};
use crate::Status;
use crate::coil_args::{CompareArgs, FitArgs, MeasureArgs};
use crate::error::CommandError;
use crate::streams::Streams;

/// Lowest frequency of an injected band over the sample rate.
const LOWEST: f64 = 0.02;

/// Fits each file, and judges it where there is a sound coil to compare with.
pub(crate) fn run(arguments: &FitArgs, streams: &mut Streams<'_>) -> Status {
    let good = match arguments
        .against
        .as_deref()
        .map(|path| measure(path, &arguments.measure))
    {
        Some(Ok(sheet)) => Some(sheet),
        Some(Err(error)) => return streams.refuse(&error),
        None => None,
    };
    let mut status = Status::Clear;
    let mut sheets = Vec::new();
    for path in &arguments.files {
        let sheet = measure(path, &arguments.measure).and_then(|mut sheet| {
            if let Some(good) = &good {
                same_kind(path, &sheet, good)?;
                let verdict = condition::judge(&sheet, good, arguments)
                    .map_err(|source| unfitted(path, source))?;
                sheet.verdict = Some(verdict);
            }
            Ok(sheet)
        });
        match sheet {
            Ok(sheet) => {
                status = status.max(outcome(&sheet));
                sheets.push(sheet);
            }
            Err(error) => status = status.max(streams.refuse(&error)),
        }
    }
    if sheets.is_empty() {
        return status;
    }
    print(&sheets, arguments.output, streams).max(status)
}

/// Prints what several files say, one after the other; those that cannot be read are refused.
pub(crate) fn compare(arguments: &CompareArgs, streams: &mut Streams<'_>) -> Status {
    let mut status = Status::Clear;
    let mut sheets = Vec::new();
    for path in &arguments.files {
        match measure(path, &arguments.measure) {
            Ok(sheet) => sheets.push(sheet),
            Err(error) => status = status.max(streams.refuse(&error)),
        }
    }
    let output = arguments.output;
    if sheets.is_empty() {
        return status;
    }
    if output.json || output.csv {
        return print(&sheets, output, streams).max(status);
    }
    streams.print(&super::text::table(&sheets)).max(status)
}

/// What was measured decides, unless it was compared; nothing measured tells nothing.
fn outcome(sheet: &Sheet) -> Status {
    match &sheet.verdict {
        Some(verdict) => Status::of_coil(verdict),
        None if sheet.numbers.is_empty() => Status::CannotTell,
        None => Status::Clear,
    }
}

/// Loaded and unloaded numbers do not compare.
fn same_kind(path: &Path, sheet: &Sheet, good: &Sheet) -> Result<(), CommandError> {
    if sheet.kind == good.kind {
        return Ok(());
    }
    Err(CommandError::KindsDiffer {
        path: path.to_owned(),
        found: sheet.kind,
        expected: good.kind,
    })
}

fn unfitted(path: &Path, source: FitError) -> CommandError {
    CommandError::Fit {
        path: path.to_owned(),
        source,
    }
}

fn measure(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    match kind_of(path) {
        Kind::Touchstone => reflection(path, arguments),
        Kind::Impedance => impedance(path, arguments),
        Kind::Capture => capture(path, arguments),
    }
}

fn name(path: &Path) -> String {
    path.display().to_string()
}

fn reflection(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    let file = read_touchstone(path)?;
    let notes = file.warnings.iter().map(ToString::to_string);
    let mut sheet = if file.ports == 2 {
        two_ports(path, &file)?
    } else {
        one_port(path, &file, arguments)?
    };
    sheet.notes.extend(notes);
    Ok(sheet)
}

/// A resonance in the sweep makes it a ring; without one it is a coil.
fn one_port(
    path: &Path,
    file: &Touchstone,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let reference = file.reference_ohm.first().copied().unwrap_or(50.0);
    let frequencies = &file.frequencies_hz;
    let impedances: Vec<Complex64> = file
        .scattering
        .iter()
        .map(|s| reflection_to_impedance(*s, reference))
        .collect();
    let options = ResponseOptions::default();
    if let Ok(circle) = fit_q_circle(
        frequencies,
        &file.scattering,
        Connection::Reflection,
        &options,
    ) {
        let method = format!("Reflection against {reference:.0} Ω, resonance circle.");
        let mut sheet = Sheet::new("reflection", name(path), &method);
        sheet.measured(
            "resonance_hz",
            "resonance (loaded)",
            "Hz",
            circle.response.resonance_hz,
        );
        sheet.measured("q", "Q unloaded", "", circle.unloaded_q);
        sheet.measured("loaded_q", "Q loaded by the port", "", circle.response.q);
        sheet.measured("coupling", "coupling factor", "", circle.coupling);
        if let Ok(ring) = fit_series_ring(frequencies, &impedances, &ImpedanceOptions::default()) {
            series(&mut sheet, &ring);
        }
        return Ok(sheet);
    }
    let options = ReflectionOptions {
        reference_hz: arguments.at,
        ..ReflectionOptions::default()
    };
    let fit = fit_coil_reflection(frequencies, &file.scattering, reference, &options)
        .map_err(|source| unfitted(path, source))?;
    let method = format!("Reflection against {reference:.0} Ω of an untuned coil.");
    let mut sheet = Sheet::new("reflection", name(path), &method);
    coil(&mut sheet, &fit);
    Ok(sheet)
}

/// A resonance between the ports makes it a ring; without one they are two coils near each other.
fn two_ports(path: &Path, file: &Touchstone) -> Result<Sheet, CommandError> {
    let through = file.element(2, 1).unwrap_or_default();
    let connection = Connection::Transmission { scale: 1.0 };
    let options = ResponseOptions::default();
    let circle = match fit_q_circle(&file.frequencies_hz, &through, connection, &options) {
        Ok(circle) => circle,
        Err(FitError::NoResonance { .. } | FitError::ResonanceOutside { .. }) => {
            return coupled(path, file);
        }
        Err(source) => return Err(unfitted(path, source)),
    };
    let method = "Transmission from port 1 to port 2, taken as calibrated.";
    let mut sheet = Sheet::new("transmission", name(path), method);
    let resonance = circle.response.resonance_hz;
    sheet.measured("resonance_hz", "resonance (loaded)", "Hz", resonance);
    sheet.measured("q", "Q unloaded", "", circle.unloaded_q);
    sheet.measured("loaded_q", "Q loaded by the ports", "", circle.response.q);
    Ok(sheet)
}

fn coupled(path: &Path, file: &Touchstone) -> Result<Sheet, CommandError> {
    let ports: Vec<TwoPort> = file
        .scattering
        .chunks_exact(4)
        .filter_map(|m| match *m {
            [s11, s12, s21, s22] => Some(TwoPort { s11, s21, s12, s22 }),
            _ => None,
        })
        .collect();
    let reference = file.reference_ohm.first().copied().unwrap_or(50.0);
    let coils = fit_coupled_coils(&file.frequencies_hz, &ports, reference)
        .map_err(|source| unfitted(path, source))?;
    let method = "Two ports: two coils near each other.";
    let mut sheet = Sheet::new("coupled_coils", name(path), method);
    sheet.measured(
        "primary_henry",
        "inductance at port 1",
        "H",
        coils.primary_henry,
    );
    sheet.measured(
        "secondary_henry",
        "inductance at port 2",
        "H",
        coils.secondary_henry,
    );
    sheet.measured("mutual_henry", "mutual inductance", "H", coils.mutual_henry);
    sheet.measured(
        "coupling_coefficient",
        "coupling coefficient",
        "",
        coils.coefficient,
    );
    Ok(sheet)
}

fn series(sheet: &mut Sheet, ring: &SeriesRingFit) {
    sheet.measured("inductance_henry", "inductance", "H", ring.inductance_henry);
    sheet.measured(
        "capacitance_farad",
        "series capacitance",
        "F",
        ring.capacitance_farad,
    );
    sheet.measured(
        "resistance_ohm",
        "series resistance",
        "Ω",
        ring.resistance_ohm,
    );
}

fn coil(sheet: &mut Sheet, fit: &CoilFit) {
    sheet.measured("inductance_henry", "inductance", "H", fit.inductance_henry);
    sheet.measured(
        "resistance_ohm",
        "series resistance",
        "Ω",
        fit.resistance_ohm,
    );
    sheet.measured("q", "Q of the coil", "", fit.q);
    sheet.plain("at_hz", "both at", "Hz", fit.reference_hz);
    let optional: [(&'static str, &'static str, &'static str, Option<Estimate>); 3] = [
        (
            "capacitance_farad",
            "capacitance across",
            "F",
            fit.capacitance_farad,
        ),
        (
            "self_resonance_hz",
            "its resonance with it",
            "Hz",
            fit.resonance_hz,
        ),
        (
            "self_resonance_q",
            "Q at that resonance",
            "",
            fit.resonance_q,
        ),
    ];
    for (key, name, unit, estimate) in optional {
        if let Some(estimate) = estimate {
            sheet.measured(key, name, unit, estimate);
        }
    }
    if !fit.residual.is_white {
        sheet.notes.push("The residuals follow a pattern: the stated deviations are too small; look at the fixture and its compensation.".to_owned());
    }
}

fn impedance(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    let table = read_impedance_table(path, &ImpedanceReadOptions::default())?;
    let options = ImpedanceOptions {
        reference_hz: arguments.at,
        ..ImpedanceOptions::default()
    };
    let method = format!(
        "Impedance table, {} frequencies; Q unloaded.",
        table.frequencies_hz.len()
    );
    let mut sheet = Sheet::new("impedance", name(path), &method);
    let capacitive = table.impedances_ohm.first().is_some_and(|z| z.im < 0.0);
    if capacitive {
        let ring = fit_series_ring(&table.frequencies_hz, &table.impedances_ohm, &options)
            .map_err(|source| unfitted(path, source))?;
        sheet.measured(
            "resonance_hz",
            "resonance (unloaded)",
            "Hz",
            ring.resonance_hz,
        );
        sheet.measured("q", "Q unloaded", "", ring.q);
        series(&mut sheet, &ring);
    } else {
        let fit = fit_coil(&table.frequencies_hz, &table.impedances_ohm, &options)
            .map_err(|source| unfitted(path, source))?;
        coil(&mut sheet, &fit);
    }
    sheet
        .notes
        .extend(table.warnings.iter().map(ToString::to_string));
    Ok(sheet)
}

fn capture(path: &Path, arguments: &MeasureArgs) -> Result<Sheet, CommandError> {
    let options = ReadOptions {
        sample_rate_hz: arguments.sample_rate,
        ..ReadOptions::default()
    };
    let mut source = open(path, &options).map_err(coilwright_diagnose::CheckError::from)?;
    if source.info().channels == 2 {
        return injection(path, &options);
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
    Ok(sheet)
}

fn channel(path: &Path, channel: usize, options: &ReadOptions) -> Result<Capture, CommandError> {
    let options = ReadOptions {
        channel: Some(channel),
        ..options.clone()
    };
    let (capture, _) = read(path, &options).map_err(coilwright_diagnose::CheckError::from)?;
    Ok(capture)
}

/// Channel 0 is the stimulus, channel 1 the pickup.
fn injection(path: &Path, options: &ReadOptions) -> Result<Sheet, CommandError> {
    let (stimulus, pickup) = (channel(path, 0, options)?, channel(path, 1, options)?);
    let rate = stimulus.info.sample_rate_hz;
    let band = TransferBand {
        low_hz: LOWEST * rate,
        high_hz: highest_playable_hz(rate),
        resolution_hz: None,
    };
    let fit = transfer_function(&stimulus.samples, &pickup.samples, rate, &band)
        .and_then(|points| fit_injection(&points, &ResponseOptions::default()))
        .map_err(|source| unfitted(path, source))?;
    let method = "Two channels: 0 taken as the stimulus, 1 as the pickup; loaded Q.";
    let mut sheet = Sheet::new("injection", name(path), method);
    sheet.measured(
        "resonance_hz",
        "resonance (loaded)",
        "Hz",
        fit.response.resonance_hz,
    );
    sheet.measured("q", "Q loaded", "", fit.response.q);
    sheet.plain("best_coherence", "best coherence", "", fit.best_coherence);
    if fit.blurred {
        sheet.notes.push(
            "The points lie too far apart for this Q, which comes out too low: record longer."
                .to_owned(),
        );
    }
    Ok(sheet)
}
