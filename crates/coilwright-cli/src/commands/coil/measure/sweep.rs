use std::path::Path;

use coilwright_coil::{SweepOptions, fit_amplitude_sweep};
use coilwright_signal::table::SweepTable;

use super::{name, unfitted};
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::plot::{Drawn, Form};

/// Resonance and loaded Q of an amplitude sweep.
pub(super) fn sheet(path: &Path, table: &SweepTable) -> Result<Sheet, CommandError> {
    let fit = fit_amplitude_sweep(
        &table.frequencies_hz,
        &table.amplitudes,
        &SweepOptions::default(),
    )
    .map_err(|source| unfitted(path, source))?;
    let method = format!(
        "Amplitude sweep, {} frequencies, taken as proportional to the ring's current; loaded Q.",
        table.frequencies_hz.len()
    );
    let mut sheet = Sheet::new("sweep", name(path), &method);
    sheet.measured("resonance_hz", "resonance (loaded)", "Hz", fit.resonance_hz);
    sheet.measured("q", "Q loaded", "", fit.q);
    if !fit.residual.is_white {
        sheet.notes.push("The residuals follow a pattern: the stated deviations are too small; drive less, or look for a second resonance.".to_owned());
    }
    let points = |values: &[f64]| {
        let each = table.frequencies_hz.iter().zip(values);
        each.map(|(f, a)| (1e-3 * f, *a)).collect()
    };
    sheet.drawn = vec![Drawn {
        form: Form::Plane,
        title: "Amplitude over frequency",
        x: "frequency, kHz",
        y: "amplitude".to_owned(),
        measured: points(&table.amplitudes),
        fitted: points(&fit.curve),
        resonance: None,
    }];
    let warnings = table.warnings.iter().map(ToString::to_string);
    sheet.notes.extend(warnings);
    Ok(sheet)
}
