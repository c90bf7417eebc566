use crate::model::Model;
use crate::ringdown::{
    Chosen, FitWarning, Prepared, Residual, RingDownFit, RingDownOptions, choose, prepare, report,
};
use crate::{Estimate, FitError};

/// Parts of a drive cycle that are left out in turn while the residual has structure.
const SKIPPED_CYCLES: [f64; 4] = [0.5, 1.0, 2.0, 3.0];

/// A fit with the nonlinear model it came from.
pub(crate) struct Settled {
    pub(crate) ring: RingDownFit,
    pub(crate) chosen: Chosen,
}

/// Fits the records over the given lines; if the residual has structure, leaves out the first samples until it has none.
///
/// A record that starts before its edge biases Q by some percent, one that starts late loses a little accuracy.
pub(crate) fn fit_settled(
    records: &[&[f32]],
    sample_rate_hz: f64,
    drive: Estimate,
    options: &RingDownOptions,
    bases: &dyn Fn(usize) -> Vec<Model>,
) -> Result<Settled, FitError> {
    let attempt = |records: &[&[f32]]| {
        let call: Prepared = prepare(records, sample_rate_hz, options)?;
        let chosen = choose(&call, &bases(call.longest()))?;
        Ok(Settled {
            ring: report(&call, &chosen)?,
            chosen,
        })
    };
    let first = attempt(records);
    let is_noise = |fit: &Settled| fit.ring.goodness.residual == Residual::Noise;
    let retry = match &first {
        Ok(fit) => !is_noise(fit),
        Err(error) => matches!(error, FitError::NotExplained { .. }),
    };
    if !retry {
        return first;
    }
    for cycles in SKIPPED_CYCLES {
        let skipped_samples = (cycles * sample_rate_hz / drive.value).ceil() as usize + 1;
        let later: Vec<&[f32]> = records
            .iter()
            .map(|r| r.get(skipped_samples..).unwrap_or_default())
            .collect();
        match attempt(&later) {
            Ok(mut fit) if is_noise(&fit) => {
                fit.ring
                    .warnings
                    .push(FitWarning::StartedEarly { skipped_samples });
                return Ok(fit);
            }
            _ => {}
        }
    }
    first
}
