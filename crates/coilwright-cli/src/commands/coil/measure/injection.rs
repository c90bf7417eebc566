use std::path::Path;

use coilwright_coil::{
    ResponseOptions, TransferBand, fit_injection, highest_playable_hz, transfer_function,
};
use coilwright_signal::capture::{Capture, ReadOptions, read};
use num_complex::Complex64;

use super::circle::magnitude;
use super::{Bench, IF_A_TABLE, is_text, name};
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::inputs::is_standard_input;

/// Lowest frequency of an injected band over the sample rate.
const LOWEST: f64 = 0.02;

/// Channel 0 is the stimulus, channel 1 the pickup.
pub(super) fn sheet(path: &Path, bench: &Bench<'_>, format: &str) -> Result<Sheet, CommandError> {
    if is_standard_input(path) {
        return Err(CommandError::TwoChannelsStreamed);
    }
    let options = bench.inputs.read_options();
    let (stimulus, pickup) = (channel(path, 0, options)?, channel(path, 1, options)?);
    let rate = stimulus.info.sample_rate_hz;
    let band = TransferBand {
        low_hz: LOWEST * rate,
        high_hz: highest_playable_hz(rate),
        resolution_hz: None,
    };
    let (points, fit) = transfer_function(&stimulus.samples, &pickup.samples, rate, &band)
        .and_then(|points| {
            let fit = fit_injection(&points, &ResponseOptions::default())?;
            Ok((points, fit))
        })
        .map_err(|source| CommandError::NoInjection {
            path: path.to_owned(),
            source: Box::new(source),
            hint: hint(format),
        })?;
    let method = "Two channels: 0 taken as the stimulus, 1 as the pickup; loaded Q.";
    let mut sheet = Sheet::new("injection", name(path), method);
    let frequencies_hz: Vec<f64> = points.iter().map(|p| p.frequency_hz).collect();
    let responses: Vec<Complex64> = points.iter().map(|p| p.response).collect();
    let curve: Vec<(f64, Complex64)> = frequencies_hz
        .iter()
        .copied()
        .zip(fit.response.curve.iter().copied())
        .collect();
    let there = fit.response.detuned + fit.response.resonant;
    let resonance = (fit.response.resonance_hz.value, there);
    sheet.drawn = vec![magnitude(&frequencies_hz, &responses, &curve, resonance)];
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
            "The points lie too far apart for this Q, which may be off either way: record longer."
                .to_owned(),
        );
    }
    Ok(sheet)
}

/// What two columns or channels may be besides.
fn hint(format: &str) -> String {
    const ONE: &str = "if one channel is a ring-down, name it: --channel 0 or --channel 1";
    if is_text(format) {
        format!("{IF_A_TABLE}; {ONE}")
    } else {
        ONE.to_owned()
    }
}

fn channel(path: &Path, channel: usize, options: &ReadOptions) -> Result<Capture, CommandError> {
    let options = ReadOptions {
        channel: Some(channel),
        ..options.clone()
    };
    let (capture, _) = read(path, &options).map_err(coilwright_diagnose::CheckError::from)?;
    Ok(capture)
}
