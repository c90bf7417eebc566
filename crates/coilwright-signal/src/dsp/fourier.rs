//! Fourier transforms of convenient lengths, with the plans kept for each thread.

use std::cell::RefCell;

use num_complex::{Complex32, Complex64};
use rustfft::FftPlanner;

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
    if values.is_empty() {
        return;
    }
    WORKSHOP.with_borrow_mut(|workshop| {
        let plan = workshop.planner.plan_fft_forward(values.len());
        let needed = plan.get_inplace_scratch_len();
        if workshop.scratch.len() < needed {
            workshop.scratch.resize(needed, Complex32::default());
        }
        plan.process_with_scratch(values, &mut workshop.scratch[..needed]);
    });
}

/// Replaces `values` by Σ x\[k\] e^(+j2πkn/N), without the division by N.
///
/// With j·z* = (Im z) + j (Re z): the transform of the swapped values, swapped, so that one plan serves both directions.
pub(crate) fn inverse(values: &mut [Complex32]) {
    swap(values);
    forward(values);
    swap(values);
}

fn swap(values: &mut [Complex32]) {
    for value in values {
        *value = Complex32::new(value.im, value.re);
    }
}

/// The transform of real `values`, an even number of them, from 0 to half the sample rate.
///
/// One transform of half the length, of x\[2n\] + j x\[2n+1\], holds those of the even and the odd values, E and O:
/// X\[k\] = E\[k\] + e^(−j2πk/N) O\[k\].
pub(crate) fn forward_real(values: &[f32]) -> Vec<Complex32> {
    let (pairs, _) = values.as_chunks::<2>();
    let mut both: Vec<Complex32> = pairs
        .iter()
        .map(|&[even, odd]| Complex32::new(even, odd))
        .collect();
    forward(&mut both);
    let half = both.len();
    let step = Complex64::cis(-std::f64::consts::PI / half.max(1) as f64);
    let mut turn = Complex64::new(1.0, 0.0);
    let at = |k: usize| both.get(k % half.max(1)).copied().unwrap_or_default();
    (0..=half)
        .map(|k| {
            let (here, mirrored) = (at(k), at(half - k).conj());
            let even = (here + mirrored) * 0.5;
            let odd = (here - mirrored) * Complex32::new(0.0, -0.5);
            let turned = Complex32::new(turn.re as f32, turn.im as f32);
            turn *= step;
            even + turned * odd
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(count: i32) -> Vec<Complex32> {
        (0..count)
            .map(|n| Complex32::new((n * n % 23) as f32 - 11.0, (n * 7 % 19) as f32 - 9.0))
            .collect()
    }

    /// Σ x[n] e^(±j2πkn/N), term by term.
    fn by_definition(values: &[Complex32], sign: f64) -> Vec<Complex32> {
        let count = values.len();
        let term = |k: usize, (n, value): (usize, &Complex32)| {
            let angle = sign * std::f64::consts::TAU * (k * n % count) as f64 / count as f64;
            Complex64::new(value.re.into(), value.im.into()) * Complex64::cis(angle)
        };
        let sum = |k| -> Complex64 { values.iter().enumerate().map(|at| term(k, at)).sum() };
        (0..count)
            .map(|k| Complex32::new(sum(k).re as f32, sum(k).im as f32))
            .collect()
    }

    fn assert_close(found: &[Complex32], expected: &[Complex32]) {
        for (one, other) in found.iter().zip(expected) {
            assert!((one - other).norm() < 2e-3, "{one} {other}");
        }
    }

    #[test]
    fn both_directions_are_the_sums_that_define_them() {
        let input = values(72);
        let (mut there, mut back) = (input.clone(), input.clone());
        forward(&mut there);
        inverse(&mut back);
        assert_close(&there, &by_definition(&input, -1.0));
        assert_close(&back, &by_definition(&input, 1.0));
    }

    #[test]
    fn the_transform_of_real_values_is_half_of_the_complex_one() {
        let real: Vec<f32> = values(80).iter().map(|value| value.re).collect();
        let complex: Vec<Complex32> = real.iter().copied().map(Complex32::from).collect();
        let found = forward_real(&real);
        assert_eq!(found.len(), 41);
        assert_close(&found, &by_definition(&complex, -1.0)[..41]);
    }
}
