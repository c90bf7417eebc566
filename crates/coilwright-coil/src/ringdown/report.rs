use super::Prepared;
use super::order::{Chosen, STRUCTURE_LEVEL, noise_variance};
use super::residual::shape;
use super::result::{Component, FitWarning, FittedRecord, Goodness, Mode, Residual, RingDownFit};
use crate::model::{Model, Pole, Record, Workspace};
use crate::{Estimate, FitError};
use std::f64::consts::TAU;

/// Q below which the tail dies within about one cycle (e^(−π/Q) < 0.26 a cycle).
const LEAST_RINGING_Q: f64 = 2.3;
/// Standard deviations by which the decay must differ from zero.
const LEAST_DECAY_SIGNIFICANCE: f64 = 3.0;
/// Nepers by which it must fall within the record.
const LEAST_DECAY: f64 = 0.02;
/// Structured residual over the mode beyond which the fit is nonsense.
const LARGEST_MISFIT: f64 = 0.3;
/// Time constants that count as early.
const EARLY_TAU: f64 = 1.5;
/// Records shorter than this many time constants are warned of.
const SHORT_TAU: f64 = 2.0;
/// Energy of the second mode over that of the first from which they are comparable.
const COMPARABLE: f64 = 0.5;

/// Turns a fitted model into physical units and refuses what means nothing.
pub(crate) fn report(call: &Prepared, chosen: &Chosen) -> Result<RingDownFit, FitError> {
    let (records, refined, sample_rate_hz) = (&call.records, &chosen.refined, call.sample_rate_hz);
    let coefficients = Workspace::default()
        .coefficients(records, &refined.model)
        .ok_or(FitError::NotSeparable)?;
    let fitted: Vec<FittedRecord> = records
        .iter()
        .zip(&coefficients)
        .map(|(record, values)| fitted_record(record, &refined.model, values, sample_rate_hz))
        .collect();
    let mut modes: Vec<(f64, Mode)> = (0..refined.model.modes.len())
        .filter_map(|index| {
            Some(mode(
                call,
                chosen,
                &fitted,
                *refined.model.modes.get(index)?,
                index,
            ))
        })
        .collect();
    modes.sort_by(|a, b| {
        can_ring(call, &b.1)
            .cmp(&can_ring(call, &a.1))
            .then(b.0.total_cmp(&a.0))
    });
    let &(energy, first) = modes.first().ok_or(FitError::NotSeparable)?;
    let second = modes.get(1).copied();
    let variance = noise_variance(call, refined);
    let residuals: Vec<Vec<f64>> = records
        .iter()
        .zip(&coefficients)
        .map(|(record, values)| record.residuals(&refined.model, values))
        .collect();
    let goodness = goodness(call, chosen, &residuals, &first, energy);
    refuse(call, &first, &goodness)?;
    Ok(RingDownFit {
        mode: first,
        second: second.map(|(_, mode)| mode),
        noise_rms: variance.sqrt(),
        snr_db: 10.0 * (0.5 * first.amplitude.powi(2) / variance).log10(),
        goodness,
        warnings: warnings(
            records,
            &first,
            second.map_or(0.0, |(other, _)| other / energy),
            sample_rate_hz,
        ),
        records: fitted,
        residual_squares: refined.squares,
        degrees_of_freedom: refined.degrees,
    })
}

fn fitted_record(
    record: &Record,
    model: &Model,
    values: &[f64],
    sample_rate_hz: f64,
) -> FittedRecord {
    let poles = model
        .modes
        .iter()
        .map(|m| (m.omega, m.alpha))
        .chain(model.lines.iter().map(|l| (l.omega, 0.0)));
    let pairs = values
        .get(model.column(0)..)
        .unwrap_or_default()
        .chunks_exact(2);
    let slope = if model.drifts() {
        values.get(1).copied().unwrap_or(0.0)
    } else {
        0.0
    };
    let components = poles.zip(pairs).map(|((omega, alpha), pair)| Component {
        frequency_hz: omega * sample_rate_hz / TAU,
        decay_per_s: alpha * sample_rate_hz,
        amplitude: pair[0].hypot(pair[1]),
        phase_rad: (-pair[1]).atan2(pair[0]),
    });
    FittedRecord {
        dc: record.offset + values.first().copied().unwrap_or(0.0),
        drift_per_s: slope * sample_rate_hz,
        components: components.collect(),
    }
}

/// The energy of a mode and its physical parameters.
fn mode(
    call: &Prepared,
    chosen: &Chosen,
    fitted: &[FittedRecord],
    pole: Pole,
    index: usize,
) -> (f64, Mode) {
    let covariance = &chosen.refined.covariance.rows;
    let (i, j) = (2 * index, 2 * index + 1);
    let (zone, samples) = (call.options.zone, call.longest());
    let per_hz = call.sample_rate_hz / TAU;
    let sign = if zone.inverted { -1.0 } else { 1.0 };
    // Damped frequency and decay, both in hertz, with their covariance.
    let (damped, decay) = (zone.true_hz(pole.omega * per_hz), pole.alpha * per_hz);
    let spread =
        [covariance[i][i], sign * covariance[i][j], covariance[j][j]].map(|c| c * per_hz * per_hz);
    let resonance = damped.hypot(decay);
    let q = resonance / (2.0 * decay);
    let by_resonance = [damped / resonance, decay / resonance];
    let by_q = [
        damped / (2.0 * decay * resonance),
        0.5 / resonance - 0.5 * resonance / (decay * decay),
    ];
    let product = |a: [f64; 2], b: [f64; 2]| {
        a[0] * b[0] * spread[0] + (a[0] * b[1] + a[1] * b[0]) * spread[1] + a[1] * b[1] * spread[2]
    };
    let amplitudes = fitted
        .iter()
        .filter_map(|r| r.components.get(index))
        .map(|c| c.amplitude * c.amplitude);
    let power = amplitudes.sum::<f64>() / fitted.len().max(1) as f64;
    let mode = Mode {
        resonance_hz: Estimate::new(resonance, product(by_resonance, by_resonance).sqrt()),
        damped_hz: Estimate::new(damped, spread[0].sqrt()),
        q: Estimate::new(q, product(by_q, by_q).sqrt()),
        decay_per_s: Estimate::new(TAU * decay, TAU * spread[2].sqrt()),
        covariance_hz: product(by_resonance, by_q),
        amplitude: power.sqrt(),
    };
    (
        power * -(-2.0 * pole.alpha * samples as f64).exp_m1() / (4.0 * pole.alpha),
        mode,
    )
}

fn goodness(
    call: &Prepared,
    chosen: &Chosen,
    residuals: &[Vec<f64>],
    first: &Mode,
    energy: f64,
) -> Goodness {
    let structure = &chosen.structure;
    let early = (EARLY_TAU * first.time_constant_s() * call.sample_rate_hz) as usize;
    let shape = shape(residuals, early);
    let total: f64 = call.records.iter().map(|r| r.energy).sum();
    Goodness {
        residual: if structure.p_value < STRUCTURE_LEVEL {
            Residual::Structured
        } else {
            Residual::Noise
        },
        structure_p_value: structure.p_value,
        misfit: (structure.gain / (structure.records as f64 * energy)).sqrt(),
        early_to_late: shape.early_to_late,
        lag_one: shape.lag_one,
        explained: 1.0 - chosen.refined.squares / total.max(f64::MIN_POSITIVE),
    }
}

/// Whether a mode falls measurably within the longest record.
fn decays(call: &Prepared, mode: &Mode) -> bool {
    let decay = mode.decay_per_s;
    let whole = decay.value * call.longest() as f64 / call.sample_rate_hz;
    whole > LEAST_DECAY && decay.value > LEAST_DECAY_SIGNIFICANCE * decay.std_dev
}

/// Whether a mode can be the ring: in the band, and dying away.
fn can_ring(call: &Prepared, mode: &Mode) -> bool {
    let apparent = TAU * call.options.zone.apparent_hz(mode.damped_hz.value) / call.sample_rate_hz;
    apparent >= call.band.omega.0 && apparent <= call.band.omega.1 && decays(call, mode)
}

fn refuse(call: &Prepared, first: &Mode, goodness: &Goodness) -> Result<(), FitError> {
    if first.q.value < LEAST_RINGING_Q {
        return Err(FitError::NoRingDown {
            resonance_hz: first.resonance_hz,
            q: first.q,
            cycles_per_tau: first.damped_hz.value * first.time_constant_s(),
        });
    }
    if !decays(call, first) {
        return Err(FitError::NotDecaying {
            frequency_hz: first.damped_hz.value,
            decay_per_s: first.decay_per_s,
        });
    }
    if goodness.residual == Residual::Structured && goodness.misfit > LARGEST_MISFIT {
        return Err(FitError::NotExplained {
            resonance_hz: first.resonance_hz.value,
            q: first.q.value,
            misfit: goodness.misfit,
        });
    }
    Ok(())
}

fn warnings(
    records: &[Record],
    first: &Mode,
    energy_ratio: f64,
    sample_rate_hz: f64,
) -> Vec<FitWarning> {
    let longest = records.iter().map(|r| r.samples.len()).max().unwrap_or(0);
    let length_tau = longest as f64 / sample_rate_hz / first.time_constant_s();
    let mut warnings = Vec::new();
    if length_tau < SHORT_TAU {
        warnings.push(FitWarning::ShortRecord { length_tau });
    }
    if energy_ratio > COMPARABLE {
        warnings.push(FitWarning::ComparableModes { energy_ratio });
    }
    warnings
}
