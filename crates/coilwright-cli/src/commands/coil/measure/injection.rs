use std::path::Path;

use coilwright_coil::{
    FitError, ResponseOptions, TransferBand, TransferEstimator, TransferPoint, fit_injection,
    highest_playable_hz,
};
use coilwright_diagnose::{CheckError, Progress};
use coilwright_signal::capture::{BlockSource, CaptureInfo, ReadOptions, open};
use num_complex::Complex64;

use super::circle::magnitude;
use super::{Bench, IF_A_TABLE, is_text, name};
use crate::commands::coil::Sheet;
use crate::error::CommandError;

/// Lowest frequency of an injected band over the sample rate.
const LOWEST: f64 = 0.02;
/// Samples of a channel that are read at once.
const BLOCK: usize = 1 << 16;

/// Channel 0 is the stimulus, channel 1 the pickup.
pub(super) fn sheet(
    path: &Path,
    bench: &Bench<'_>,
    info: &CaptureInfo,
) -> Result<Sheet, CommandError> {
    let method = "Two channels: 0 taken as the stimulus, 1 as the pickup; loaded Q.";
    let mut sheet = Sheet::new("injection", name(path), method);
    let no_injection = |source| CommandError::NoInjection {
        path: path.to_owned(),
        source: Box::new(source),
        hint: hint(&info.source.format),
    };
    let points = transfer(path, bench, info, &mut sheet)?.map_err(no_injection)?;
    let options = ResponseOptions {
        quantity: bench.arguments.quantity(),
        ..ResponseOptions::default()
    };
    let fit = fit_injection(&points, &options).map_err(no_injection)?;
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

/// The transfer function, and what the reader repaired or doubted as notes.
fn transfer(
    path: &Path,
    bench: &Bench<'_>,
    info: &CaptureInfo,
    sheet: &mut Sheet,
) -> Result<Result<Vec<TransferPoint>, FitError>, CommandError> {
    let rate = info.sample_rate_hz;
    let band = TransferBand {
        low_hz: LOWEST * rate,
        high_hz: highest_playable_hz(rate),
        resolution_hz: None,
    };
    let mut length = match info.length {
        Some(length) => length as usize,
        None => count(&mut *channel(path, bench, 0)?)?,
    };
    let mut bar = bench.bars.bar(info);
    loop {
        let mut estimator = match TransferEstimator::new(rate, &band, length) {
            Ok(estimator) => estimator,
            Err(error) => return Ok(Err(error)),
        };
        let mut channels = [channel(path, bench, 0)?, channel(path, bench, 1)?];
        let mut blocks = [vec![0.0; BLOCK], vec![0.0; BLOCK]];
        loop {
            let mut taken = BLOCK;
            for (channel, block) in channels.iter_mut().zip(&mut blocks) {
                taken = taken.min(channel.read_block(block).map_err(CheckError::from)?);
            }
            if taken == 0 {
                break;
            }
            let [stimulus, pickup] = blocks
                .each_ref()
                .map(|b| b.get(..taken).unwrap_or_default());
            if let Err(error) = estimator.add(stimulus, pickup) {
                return Ok(Err(error));
            }
            bar.advance(Progress {
                samples: estimator.taken() as u64,
                of: Some(length as u64),
            });
        }
        // A file that is cut is shorter than it says, and its blocks must be too.
        if estimator.taken() >= length {
            let [stimulus, _] = &channels;
            let warnings = stimulus.warnings().iter().map(ToString::to_string);
            sheet.notes.extend(warnings);
            return Ok(Ok(estimator.points()));
        }
        length = estimator.taken();
    }
}

fn channel(
    path: &Path,
    bench: &Bench<'_>,
    channel: usize,
) -> Result<Box<dyn BlockSource>, CommandError> {
    let options = ReadOptions {
        channel: Some(channel),
        ..bench.inputs.read_options().clone()
    };
    Ok(open(path, &options).map_err(CheckError::from)?)
}

/// Samples of a source that does not say.
fn count(source: &mut dyn BlockSource) -> Result<usize, CommandError> {
    let mut block = vec![0.0; BLOCK];
    let mut samples = 0;
    loop {
        match source.read_block(&mut block).map_err(CheckError::from)? {
            0 => return Ok(samples),
            count => samples += count,
        }
    }
}
