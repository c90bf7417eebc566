//! Fourier transforms of convenient lengths, with the plans kept for each thread.

use std::cell::RefCell;

use num_complex::Complex32;
use rustfft::{FftDirection, FftPlanner};

struct Workshop {
    planner: FftPlanner<f32>,
    scratch: Vec<Complex32>,
}

thread_local! {
    static WORKSHOP: RefCell<Workshop> = RefCell::new(Workshop { planner: FftPlanner::new(), scratch: Vec::new() });
}

/// Returns the smallest length of the form 2^k, 5·2^k, 3·2^k or 9·2^k that is at least `length`.
pub(crate) fn fast_length(length: usize) -> usize {
    let power = length.max(16).next_power_of_two();
    [power / 16 * 9, power / 8 * 5, power / 4 * 3]
        .into_iter()
        .find(|&shorter| shorter >= length)
        .unwrap_or(power)
}

/// Replaces `values` by Σ x\[n\] e^(−j2πkn/N).
pub(crate) fn forward(values: &mut [Complex32]) {
    transform(values, FftDirection::Forward);
}

/// Replaces `values` by Σ x\[k\] e^(+j2πkn/N), without the division by N.
pub(crate) fn inverse(values: &mut [Complex32]) {
    transform(values, FftDirection::Inverse);
}

fn transform(values: &mut [Complex32], direction: FftDirection) {
    if values.is_empty() {
        return;
    }
    WORKSHOP.with_borrow_mut(|workshop| {
        let plan = workshop.planner.plan_fft(values.len(), direction);
        let needed = plan.get_inplace_scratch_len();
        if workshop.scratch.len() < needed {
            workshop.scratch.resize(needed, Complex32::default());
        }
        plan.process_with_scratch(values, &mut workshop.scratch[..needed]);
    });
}
