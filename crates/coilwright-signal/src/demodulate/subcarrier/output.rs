use num_complex::{Complex32, Complex64};

use super::sidebands::Sidebands;
use crate::demodulate::model::{Baseband, Plane};

/// Values to a bit.
const VALUES: f64 = 32.0;

/// What the matched filters give at every instant, and not only where a bit is decided: for plots.
pub(super) struct Output {
    /// Relative deviation. Of a phase: in phase with the subcarrier of a 1, and beside it. Of two tones: the size of the
    /// faster one, and of the slower one.
    values: Vec<Complex32>,
    /// Sample position of the middle of the bit length that the first value stands for, from the start of the residual.
    first: f64,
    step: f64,
    /// The part of a value that tells the bits apart.
    along: fn(&Complex32) -> f32,
}

impl Output {
    /// The output of a filter over `period` samples, given where the interval begins, over all of the sidebands.
    fn of(
        sidebands: &Sidebands,
        period: f64,
        along: fn(&Complex32) -> f32,
        filter: impl Fn(f64) -> Complex64,
    ) -> Self {
        let step = period / VALUES;
        let whole = sidebands.count(sidebands.begin(), step);
        let count = whole.saturating_sub(VALUES as usize);
        let values = (0..count).map(|k| {
            let z = filter(sidebands.begin() + k as f64 * step);
            Complex32::new(z.re as f32, z.im as f32)
        });
        Self {
            values: values.collect(),
            first: sidebands.begin() + 0.5 * period,
            step,
            along,
        }
    }

    /// The output of the filter that is matched to the template of each sideband, whose order says on which side of the
    /// carrier it is.
    ///
    /// A subcarrier that is late turns upper sidebands one way and lower ones the other: brought to one side they add up
    /// to a point in the plane of the subcarrier.
    pub(super) fn of_phase(
        sidebands: &Sidebands,
        period: f64,
        templates: &[(i32, Complex64)],
    ) -> Self {
        Self::of(
            sidebands,
            period,
            |z| z.re,
            |start| matched(sidebands, 0, templates, start, period),
        )
    }

    /// The sizes of two tones, each given by its templates and its deviation; their sidebands come one after the other.
    pub(super) fn of_tones(
        sidebands: &Sidebands,
        period: f64,
        tones: &[(Vec<(i32, Complex64)>, f64); 2],
    ) -> Self {
        let split = tones[0].0.len();
        let size = |tone: usize, start: f64| {
            let (templates, deviation) = &tones[tone];
            let fundamental: Vec<(i32, Complex64)> = templates
                .iter()
                .map(|&(order, h)| (order, if order.abs() == 1 { h } else { 0.0.into() }))
                .collect();
            let own = norm(&fundamental).max(1e-300);
            matched(sidebands, tone * split, &fundamental, start, period).norm() * deviation / own
        };
        Self::of(
            sidebands,
            period,
            |z| z.re - z.im,
            |start| Complex64::new(size(0, start), size(1, start)),
        )
    }

    /// The output as plane and baseband of a stretch that begins at sample `start` of the capture.
    pub(super) fn views(self, start: f64) -> (Plane, Baseband) {
        let (first, step) = (start + self.first, self.step);
        let baseband = Baseband {
            values: self.values.iter().map(self.along).collect(),
            first,
            step,
        };
        let plane = Plane {
            values: self.values,
            first,
            step,
        };
        (plane, baseband)
    }
}

fn norm(templates: &[(i32, Complex64)]) -> f64 {
    let power: f64 = templates.iter().map(|(_, h)| h.norm_sqr()).sum();
    power.sqrt()
}

/// The sidebands from `first` on against their templates, over the size of these.
fn matched(
    sidebands: &Sidebands,
    first: usize,
    templates: &[(i32, Complex64)],
    start: f64,
    period: f64,
) -> Complex64 {
    let sum: Complex64 = templates
        .iter()
        .zip(first..)
        .map(|(&(order, h), line)| {
            let along = sidebands.mean(line, start, period) * h.conj();
            if order > 0 { along } else { along.conj() }
        })
        .sum();
    sum / norm(templates).max(1e-300)
}
