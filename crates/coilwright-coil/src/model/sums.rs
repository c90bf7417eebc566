use num_complex::Complex64;

/// Sums that run side by side, so that no addition waits for the one before.
const LANES: usize = 8;

/// `Σ a`.
pub(crate) fn total(a: &[f64]) -> f64 {
    let (whole, rest) = a.as_chunks::<LANES>();
    let mut sums = [0.0; LANES];
    for chunk in whole {
        for (sum, x) in sums.iter_mut().zip(chunk) {
            *sum += x;
        }
    }
    sums.iter().chain(rest).sum()
}

/// `Σ a b`, as far as both reach.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let length = a.len().min(b.len());
    let (whole_a, rest_a) = a[..length].as_chunks::<LANES>();
    let (whole_b, rest_b) = b[..length].as_chunks::<LANES>();
    let mut sums = [0.0; LANES];
    for (x, y) in whole_a.iter().zip(whole_b) {
        for lane in 0..LANES {
            sums[lane] += x[lane] * y[lane];
        }
    }
    let rest = rest_a.iter().zip(rest_b).map(|(x, y)| x * y);
    sums.iter().sum::<f64>() + rest.sum::<f64>()
}

/// Takes `Re z pⁿ` away from the values, `z` being `first` and `p` the ratio.
pub(crate) fn subtract_wave(values: &mut [f64], first: Complex64, ratio: Complex64) {
    let mut phasors = [first; LANES];
    for lane in 1..LANES {
        phasors[lane] = phasors[lane - 1] * ratio;
    }
    let step = ratio.powu(LANES as u32);
    let mut re = phasors.map(|p| p.re);
    let mut im = phasors.map(|p| p.im);
    for chunk in values.chunks_mut(LANES) {
        for (value, re) in chunk.iter_mut().zip(&re) {
            *value -= re;
        }
        for lane in 0..LANES {
            (re[lane], im[lane]) = (
                re[lane] * step.re - im[lane] * step.im,
                re[lane] * step.im + im[lane] * step.re,
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few dozen additions of order 10.
    const ROUNDING: f64 = 1e-12;

    fn values(length: u32) -> Vec<f64> {
        (0..length).map(|n| f64::from(n * 37 % 11) - 4.25).collect()
    }

    #[test]
    fn lanes_equal_the_plain_sums() {
        for length in [0, 1, 7, 8, 9, 40] {
            let (a, b) = (values(length), values(length + 3));
            assert!((total(&a) - a.iter().sum::<f64>()).abs() < ROUNDING);
            let plain: f64 = a.iter().zip(&b).map(|(x, y)| x * y).sum();
            assert!((dot(&a, &b) - plain).abs() < ROUNDING);
            assert!((dot(&b, &a) - plain).abs() < ROUNDING);
        }
    }

    #[test]
    fn a_wave_is_taken_away_sample_by_sample() {
        let (first, ratio) = (Complex64::new(0.3, -1.2), Complex64::from_polar(0.98, 0.9));
        for length in [0, 1, 7, 8, 9, 40] {
            let mut left = values(length);
            subtract_wave(&mut left, first, ratio);
            for ((n, x), left) in (0..).zip(values(length)).zip(left) {
                assert!((x - (first * ratio.powu(n)).re - left).abs() < ROUNDING);
            }
        }
    }
}
