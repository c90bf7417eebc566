//! The first and the last bits of a telegram: noise may make one of them less likely than noise alone.

use num_complex::Complex64;

use super::model::Model;
use super::path::{self, Step, reference_beside};
use crate::frame::hdx::LENGTH_BITS;

/// A bit beside the telegram belongs to it from this log-likelihood on, in units of its energy over noise density: bits
/// have 1 and noise has -1, each with a spread of 0.3 at 13 dB and 0.45 at 10 dB.
const LEAST_GAIN: f64 = -0.3;
/// So many bits are added whatever they hold where a telegram has less than its length.
const MOST_ADDED: usize = 4;

/// The steps with the bits beside them that belong to the telegram.
pub(super) fn complete(model: &Model<'_>, mut steps: Vec<Step>, end_s: f64) -> Vec<Step> {
    let length = steps.len();
    while let Some(beside) = [before(model, &steps), after(model, &steps, end_s)]
        .into_iter()
        .flatten()
        .max_by(|a, b| a.gain.total_cmp(&b.gain))
    {
        let is_short = steps.len() < LENGTH_BITS.min(length + MOST_ADDED);
        let energy = model.seen(beside.bit, beside.start_s).1;
        if beside.gain < LEAST_GAIN * energy && !is_short {
            break;
        }
        let place = if beside.start_s < steps[0].start_s {
            0
        } else {
            steps.len()
        };
        steps.insert(place, beside);
    }
    let bits: Vec<u8> = steps.iter().map(|step| step.bit).collect();
    let start_s = steps.first().map_or(0.0, |first| first.start_s);
    path::steps(model, &bits, start_s)
}

fn before(model: &Model<'_>, steps: &[Step]) -> Option<Step> {
    let first_s = steps.first()?.start_s;
    let reference = reference_beside(model, steps.iter());
    let bits = [0, 1].map(|bit| (bit, first_s - model.bit_s(bit)));
    likelier(
        model,
        reference,
        bits.into_iter().filter(|bit| bit.1 >= 0.0),
    )
}

fn after(model: &Model<'_>, steps: &[Step], end_s: f64) -> Option<Step> {
    let last = steps.last()?;
    let start_s = last.start_s + model.bit_s(last.bit);
    let reference = reference_beside(model, steps.iter().rev());
    let bits = [0, 1].map(|bit| (bit, start_s));
    let fits = |bit: &(u8, f64)| bit.1 + model.bit_s(bit.0) <= end_s;
    likelier(model, reference, bits.into_iter().filter(fits))
}

fn likelier(
    model: &Model<'_>,
    reference: Complex64,
    bits: impl Iterator<Item = (u8, f64)>,
) -> Option<Step> {
    bits.map(|(bit, start_s)| Step {
        bit,
        start_s,
        gain: model.gain(bit, start_s, reference).0,
        reference,
    })
    .max_by(|a, b| a.gain.total_cmp(&b.gain))
}
