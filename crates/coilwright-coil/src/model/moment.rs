use num_complex::Complex64;

/// Samples that are worked on side by side, so that the recursion does not wait for itself.
const LANES: usize = 8;

/// `Σ (xₙ − offset) pⁿ` and `Σ (xₙ − offset) n pⁿ`.
///
/// The powers come from a recursion by `p^8` in eight lanes; its rounding grows like the number of steps.
pub(crate) fn moments(samples: &[f32], offset: f64, ratio: Complex64) -> [Complex64; 2] {
    let mut power = [Complex64::new(1.0, 0.0); LANES];
    for lane in 1..LANES {
        power[lane] = power[lane - 1] * ratio;
    }
    let step = power[LANES - 1] * ratio;
    let (mut re, mut im) = (power.map(|p| p.re), power.map(|p| p.im));
    let (mut sum_re, mut sum_im) = ([0.0; LANES], [0.0; LANES]);
    let (mut block_re, mut block_im) = ([0.0; LANES], [0.0; LANES]);
    let mut block = 0.0_f64;
    let (chunks, rest) = samples.as_chunks::<LANES>();
    let mut accumulate = |chunk: &[f32; LANES], offset: f64, used: usize| {
        for lane in 0..LANES {
            let x = if lane < used {
                f64::from(chunk[lane]) - offset
            } else {
                0.0
            };
            let (xr, xi) = (x * re[lane], x * im[lane]);
            sum_re[lane] += xr;
            sum_im[lane] += xi;
            block_re[lane] += block * xr;
            block_im[lane] += block * xi;
            let next = re[lane] * step.re - im[lane] * step.im;
            im[lane] = re[lane] * step.im + im[lane] * step.re;
            re[lane] = next;
        }
        block += 1.0;
    };
    for chunk in chunks {
        accumulate(chunk, offset, LANES);
    }
    let mut last = [0.0_f32; LANES];
    last[..rest.len()].copy_from_slice(rest);
    accumulate(&last, offset, rest.len());
    let mut out = [Complex64::new(0.0, 0.0); 2];
    for lane in 0..LANES {
        let plain = Complex64::new(sum_re[lane], sum_im[lane]);
        out[0] += plain;
        out[1] +=
            Complex64::new(block_re[lane], block_im[lane]) * LANES as f64 + plain * lane as f64;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of the recursion over 100 samples.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn lanes_equal_the_plain_sum() {
        let ratio = Complex64::from_polar(0.98, 0.9);
        for length in [0_usize, 1, 7, 8, 9, 100] {
            let samples: Vec<f32> = (0..length).map(|n| ((n * 37 % 11) as f32) - 4.0).collect();
            let mut plain = [Complex64::new(0.0, 0.0); 2];
            for (n, &x) in samples.iter().enumerate() {
                let term = ratio.powi(n as i32) * (f64::from(x) - 0.25);
                plain[0] += term;
                plain[1] += term * n as f64;
            }
            let found = moments(&samples, 0.25, ratio);
            assert!((found[0] - plain[0]).norm() < ROUNDING * 100.0, "{length}");
            assert!((found[1] - plain[1]).norm() < ROUNDING * 1e4, "{length}");
        }
    }
}
