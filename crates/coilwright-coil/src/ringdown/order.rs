use super::start::{Start, search, strongest};
use super::{ModeCount, Prepared};
use crate::FitError;
use crate::model::significance::f_exceeds;
use crate::model::{Model, Pole, Record, Refined, Workspace, refine};

/// Below this probability the residual is held to have structure.
pub(crate) const STRUCTURE_LEVEL: f64 = 1e-3;
/// A further mode or line is kept if noise would explain as much with less than this probability.
const KEEP_LEVEL: f64 = 1e-4;
/// Residual over a quantiser's variance up to which it is the quantiser's alone: a tail that sinks below the step leaves more than step²/12.
const QUANTISER_ONLY: f64 = 1.2;
/// Energy over noise variance that the best mode needs; the logarithm of the number of modes tried is added twice.
/// Noise alone passes about once in e¹⁰ records.
const LEAST_GAIN: f64 = 20.0;

/// What one more mode would explain.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Structure {
    pub(crate) p_value: f64,
    pub(crate) gain: f64,
    /// Records that were looked at.
    pub(crate) records: usize,
    pole: Option<Pole>,
    tried: usize,
}

/// A fitted model and what its residual still holds.
#[derive(Clone, Debug)]
pub(crate) struct Chosen {
    pub(crate) refined: Refined,
    pub(crate) structure: Structure,
}

impl Chosen {
    pub(crate) fn is_noise(&self) -> bool {
        self.structure.p_value >= STRUCTURE_LEVEL
    }

    /// Schwarz's criterion: `n ln(S/n) + p ln n`.
    fn criterion(&self, records: &[Record]) -> f64 {
        let samples: f64 = records.iter().map(|r| r.samples.len() as f64).sum();
        let energy: f64 = records.iter().map(|r| r.energy).sum();
        let parameters = samples - self.refined.degrees;
        samples
            * (self.refined.squares / samples)
                .max(f64::EPSILON * energy / samples)
                .ln()
            + parameters * samples.ln()
    }
}

/// Fits one mode over each set of lines in turn and takes the first whose residual is noise; if none is, allows a second
/// mode and takes the least Schwarz criterion.
pub(crate) fn choose(call: &Prepared, bases: &[Model]) -> Result<Chosen, FitError> {
    let mut workspace = Workspace::default();
    let mut found: Vec<Chosen> = Vec::new();
    let mut failure = None;
    for base in bases {
        match one_mode(call, base, &mut workspace) {
            Ok(one) if one.is_noise() || is_quantiser(call, &one.refined) => return Ok(one),
            Ok(one) => found.push(one),
            Err(error) => {
                failure.get_or_insert(error);
            }
        }
    }
    if call.options.modes == ModeCount::AtMostTwo {
        let seconds: Vec<Chosen> = found
            .iter()
            .filter_map(|one| second_mode(call, one, &mut workspace))
            .collect();
        found.extend(seconds);
    }
    found
        .into_iter()
        .min_by(|a, b| {
            a.criterion(&call.records)
                .total_cmp(&b.criterion(&call.records))
        })
        .ok_or(failure.unwrap_or(FitError::NotSeparable))
}

/// Whether the stated quantiser's step accounts for the whole residual. Its error is not white where the samples keep step with the ring, and a mode
/// fitted to it would be none.
fn is_quantiser(call: &Prepared, refined: &Refined) -> bool {
    let left = refined.squares / refined.degrees;
    call.options.quantisation_step > 0.0 && left < QUANTISER_ONLY * call.floor_variance
}

fn one_mode(call: &Prepared, base: &Model, workspace: &mut Workspace) -> Result<Chosen, FitError> {
    let (records, limits) = (&call.records, &call.band);
    let few = strongest(records);
    let silent = |gain: f64, needed: f64| FitError::NoSignal {
        gain_db: 10.0 * gain.max(1e-9).log10(),
        needed_db: 10.0 * needed.log10(),
    };
    let start = search(&few, base, limits).ok_or_else(|| silent(0.0, LEAST_GAIN))?;
    let refined = refine(records, base.with_mode(start.pole), limits, workspace)
        .ok_or(FitError::NotSeparable)?;
    let before = workspace
        .evaluate(records, base)
        .ok_or(FitError::NotSeparable)?
        .squares;
    let variance = noise_variance(call, &refined);
    let gain = (before - refined.squares) / variance.max(f64::MIN_POSITIVE);
    let needed = LEAST_GAIN + 2.0 * (start.tried as f64).ln() + 2.0 * records.len() as f64;
    if gain < needed {
        return Err(silent(gain, needed));
    }
    let structure = structure(call, &few, &refined);
    Ok(Chosen { refined, structure })
}

fn second_mode(call: &Prepared, one: &Chosen, workspace: &mut Workspace) -> Option<Chosen> {
    let first = *one.refined.model.modes.first()?;
    let apart = Pole {
        omega: first.omega + first.alpha,
        ..first
    };
    let mut split = one.refined.model.clone();
    split.modes = vec![
        Pole {
            omega: first.omega - first.alpha,
            ..first
        },
        apart,
    ];
    let starts = [
        one.structure
            .pole
            .map(|pole| one.refined.model.with_mode(pole)),
        Some(split),
    ];
    let refined = starts
        .into_iter()
        .flatten()
        .filter_map(|start| refine(&call.records, start, &call.wide, workspace))
        .min_by(|a, b| a.squares.total_cmp(&b.squares))?;
    let added = one.refined.degrees - refined.degrees;
    let gained = (one.refined.squares - refined.squares) / added;
    let p_value = f_exceeds(
        gained / noise_variance(call, &refined),
        added,
        refined.degrees,
    );
    if p_value * one.structure.tried as f64 > KEEP_LEVEL {
        return None;
    }
    let structure = structure(call, &strongest(&call.records), &refined);
    Some(Chosen { refined, structure })
}

/// F test of the best further mode on a grid, times the number of modes tried.
fn structure(call: &Prepared, few: &[&Record], refined: &Refined) -> Structure {
    let none = Structure {
        p_value: 1.0,
        gain: 0.0,
        records: few.len(),
        pole: None,
        tried: 1,
    };
    let Some(Start { pole, gain, tried }) = search(few, &refined.model, &call.wide) else {
        return none;
    };
    let added = 2.0 * few.len() as f64 + 2.0;
    let left = (refined.degrees - added).max(1.0);
    let variance = ((refined.squares - gain).max(0.0) / left).max(call.floor_variance);
    let p_value = (f_exceeds(gain / added / variance, added, left) * tried as f64).min(1.0);
    Structure {
        p_value,
        gain,
        pole: Some(pole),
        tried,
        ..none
    }
}

/// Noise variance from the residual, not below what the samples can carry.
pub(crate) fn noise_variance(call: &Prepared, refined: &Refined) -> f64 {
    (refined.squares / refined.degrees).max(call.floor_variance)
}
