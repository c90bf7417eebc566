use std::cell::RefCell;

use num_complex::{Complex32, Complex64};

/// The running sum of a signal, read between samples by linear interpolation.
///
/// Position t is a time in samples: the signal's value k is taken to hold over k..k+1.
#[derive(Clone, Debug)]
pub(crate) struct RunningSum {
    /// The sums before value 0, 1, …, n, the last one twice, so that each has one behind it.
    sums: Vec<f64>,
}

thread_local! {
    /// Sums that are done with: the next ones need no fresh memory, which the system would have to clear page by page.
    static SPARE: RefCell<Vec<Vec<f64>>> = const { RefCell::new(Vec::new()) };
}

/// Spare sums that are kept at most, and how many values each may have room for.
const SPARE_AT_MOST: usize = 3;
const SPARE_VALUES: usize = 1 << 17;

/// Sums to be filled, emptied.
fn spare(values: usize) -> Vec<f64> {
    let mut sums = SPARE.with_borrow_mut(Vec::pop).unwrap_or_default();
    sums.clear();
    sums.reserve_exact(values);
    sums
}

fn keep_spare(sums: Vec<f64>) {
    if sums.capacity() > SPARE_VALUES {
        return;
    }
    // While a thread ends there is nothing left to keep them in.
    let _ = SPARE.try_with(|spare| {
        let mut spare = spare.borrow_mut();
        if spare.len() < SPARE_AT_MOST {
            spare.push(sums);
        }
    });
}

impl Drop for RunningSum {
    fn drop(&mut self) {
        keep_spare(std::mem::take(&mut self.sums));
    }
}

impl Drop for ComplexSums {
    fn drop(&mut self) {
        keep_spare(std::mem::take(&mut self.sums));
    }
}

/// Values whose sums are formed side by side before they join the total.
const LANES: usize = 4;

impl RunningSum {
    /// The running sum of `values`.
    pub(crate) fn of(values: &[f32]) -> Self {
        let mut sums = spare(values.len() + 2);
        let mut total = 0.0;
        let (groups, rest) = values.as_chunks::<LANES>();
        for group in groups {
            let [a, b, c, d] = group.map(f64::from);
            let (ab, cd) = (a + b, c + d);
            sums.extend_from_slice(&[total, total + a, total + ab, total + (ab + c)]);
            total += ab + cd;
        }
        for value in rest {
            sums.push(total);
            total += f64::from(*value);
        }
        sums.extend_from_slice(&[total, total]);
        Self { sums }
    }

    /// Length of the signal in samples.
    pub(crate) fn len(&self) -> usize {
        self.sums.len() - 2
    }

    /// The integral of the signal from 0 to `t`, held constant outside the signal.
    #[inline]
    pub(crate) fn up_to(&self, t: f64) -> f64 {
        self.inside(t.clamp(0.0, self.len() as f64))
    }

    /// The same for a `t` from 0 to the length.
    #[inline]
    pub(crate) fn inside(&self, t: f64) -> f64 {
        // No stretch has 2^32 samples, and the narrower cast is shorter.
        let whole = t as u32 as usize;
        let (below, above) = match self.sums.get(whole..whole + 2) {
            Some(&[below, above]) => (below, above),
            _ => (0.0, 0.0),
        };
        below + (t - whole as f64) * (above - below)
    }
}

/// The running sum of a complex signal, both parts side by side.
#[derive(Clone, Debug)]
pub(crate) struct ComplexSums {
    /// Real and imaginary part of the sums before value 0, 1, …, n, the last one twice.
    sums: Vec<f64>,
}

impl ComplexSums {
    /// The running sum of `values`.
    pub(crate) fn of(values: &[Complex32]) -> Self {
        let mut sums = spare(2 * (values.len() + 2));
        let [mut re, mut im] = [0.0; 2];
        let (pairs, rest) = values.as_chunks::<2>();
        for [first, second] in pairs {
            let (a, b) = (f64::from(first.re), f64::from(first.im));
            sums.extend_from_slice(&[re, im, re + a, im + b]);
            re += a + f64::from(second.re);
            im += b + f64::from(second.im);
        }
        for value in rest {
            sums.extend_from_slice(&[re, im]);
            re += f64::from(value.re);
            im += f64::from(value.im);
        }
        sums.extend_from_slice(&[re, im, re, im]);
        Self { sums }
    }

    /// Length of the signal in samples.
    pub(crate) fn len(&self) -> usize {
        self.sums.len() / 2 - 2
    }

    /// The integral of the signal from 0 to `t`, held constant outside the signal.
    #[inline]
    pub(crate) fn up_to(&self, t: f64) -> Complex64 {
        let t = t.clamp(0.0, self.len() as f64);
        // No stretch has 2^32 samples, and the narrower cast is shorter.
        let whole = t as u32 as usize;
        let (below, above) = match self.sums.get(2 * whole..2 * whole + 4) {
            Some(&[a, b, c, d]) => (Complex64::new(a, b), Complex64::new(c, d)),
            _ => (Complex64::default(), Complex64::default()),
        };
        below + (above - below) * (t - whole as f64)
    }

    /// The integrals over `count` cells of length `cell` from `start` on.
    pub(crate) fn cells(
        &self,
        start: f64,
        cell: f64,
        count: usize,
    ) -> impl Iterator<Item = Complex64> {
        let mut before = self.up_to(start);
        (1..=count).map(move |k| {
            let now = self.up_to(start + k as f64 * cell);
            let integral = now - before;
            before = now;
            integral
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_integral_of_a_staircase() {
        let values: Vec<f32> = (1..=7).map(|n| n as f32).collect();
        let sum = RunningSum::of(&values);
        assert_eq!(sum.len(), 7);
        for (t, expected) in [
            (-1.0, 0.0),
            (0.0, 0.0),
            (0.5, 0.5),
            (4.0, 10.0),
            (4.25, 11.25),
            (6.5, 24.5),
            (7.0, 28.0),
            (9.0, 28.0),
        ] {
            approx::assert_abs_diff_eq!(sum.up_to(t), expected, epsilon = 1e-12);
        }
        let pairs: Vec<Complex32> = values.iter().map(|&x| Complex32::new(-x, x)).collect();
        let both = ComplexSums::of(&pairs);
        assert_eq!(both.len(), 7);
        for t in [-1.0, 0.5, 4.25, 6.5, 7.0, 9.0] {
            let expected = sum.up_to(t);
            approx::assert_abs_diff_eq!(both.up_to(t).re, -expected, epsilon = 1e-12);
            approx::assert_abs_diff_eq!(both.up_to(t).im, expected, epsilon = 1e-12);
        }
        assert_eq!(
            (RunningSum::of(&[]).len(), RunningSum::of(&[]).up_to(0.5)),
            (0, 0.0)
        );
    }
}
