use std::path::Path;

use coilwright_coil::{
    Background, FitError, ResponseOptions, SweepFit, SweepOptions, fit_amplitude_sweep,
    fit_response,
};
use coilwright_signal::table::SweepTable;
use num_complex::Complex64;

use super::circle::drawn;
use super::impedance::ends;
use super::{answer, name};
use crate::coil_args::MeasureArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::plot::{Drawn, Form};

const PATTERN: &str = "The residuals follow a pattern: the stated deviations are too small; drive less, or look for a second resonance.";

/// Resonance and loaded Q of a sweep, with its phases where it has them.
pub(super) fn sheet(
    path: &Path,
    table: &SweepTable,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let mut sheet = match &table.response {
        Some(response) => of_response(path, table, response, arguments)?,
        None => of_amplitudes(path, table, arguments)?,
    };
    let warnings = table.warnings.iter().map(ToString::to_string);
    sheet.notes.extend(warnings);
    Ok(sheet)
}

/// By amplitude and phase: what passes the resonance by is told from it.
fn of_response(
    path: &Path,
    table: &SweepTable,
    response: &[Complex64],
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let options = ResponseOptions {
        quantity: arguments.quantity(),
        background: Background::SlopeIfSeen,
        ..ResponseOptions::default()
    };
    let frequencies = &table.frequencies_hz;
    let fit = fit_response(frequencies, response, &options);
    if let Err(FitError::PhaseMissing { .. }) = fit {
        let mut sheet = of_amplitudes(path, table, arguments)?;
        sheet
            .notes
            .push("All phases are zero: the amplitudes alone are fitted.".to_owned());
        return Ok(sheet);
    }
    let method = format!(
        "Sweep of amplitude and phase, {}, {}; loaded Q.",
        super::frequencies(frequencies.len()),
        arguments.taken_as()
    );
    let mut sheet = Sheet::new("response", name(path), &method);
    sheet.swept_hz = ends(frequencies);
    let fit = match fit {
        Ok(fit) => fit,
        Err(source) => {
            answer(&mut sheet, path, source)?;
            return Ok(sheet);
        }
    };
    sheet.measured("resonance_hz", "resonance (loaded)", "Hz", fit.resonance_hz);
    sheet.measured("q", "Q loaded", "", fit.q);
    sheet.measured("damped_hz", "rings down at", "Hz", fit.damped_hz);
    if !fit.residual.is_white {
        sheet.notes.push(PATTERN.to_owned());
    }
    if fit.background == Background::Sloped {
        sheet.notes.push(
            "What passes the resonance by grows or falls with frequency: its slope is fitted too."
                .to_owned(),
        );
    }
    sheet.drawn = drawn(frequencies, response, &fit, Form::Plane);
    Ok(sheet)
}

fn of_amplitudes(
    path: &Path,
    table: &SweepTable,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let options = SweepOptions {
        quantity: arguments.quantity(),
    };
    let frequencies = &table.frequencies_hz;
    let method = format!(
        "Amplitude sweep, {}, {}; loaded Q.",
        super::frequencies(frequencies.len()),
        arguments.taken_as()
    );
    let mut sheet = Sheet::new("sweep", name(path), &method);
    sheet.swept_hz = ends(frequencies);
    let fit = match fit_amplitude_sweep(frequencies, &table.amplitudes, &options) {
        Ok(fit) => fit,
        Err(source) => {
            answer(&mut sheet, path, source)?;
            return Ok(sheet);
        }
    };
    sheet.measured("resonance_hz", "resonance (loaded)", "Hz", fit.resonance_hz);
    sheet.measured("q", "Q loaded", "", fit.q);
    if !fit.residual.is_white {
        sheet.notes.push(PATTERN.to_owned());
    }
    sheet.drawn = vec![curve(table, &fit)];
    Ok(sheet)
}

fn curve(table: &SweepTable, fit: &SweepFit) -> Drawn {
    let points = |values: &[f64]| {
        let each = table.frequencies_hz.iter().zip(values);
        each.map(|(f, a)| (1e-3 * f, *a)).collect()
    };
    Drawn {
        form: Form::Plane,
        title: "Amplitude over frequency",
        x: "frequency, kHz",
        y: "amplitude".to_owned(),
        measured: points(&table.amplitudes),
        fitted: points(&fit.curve),
        resonance: None,
    }
}
