use num_complex::Complex64;

/// Samples of one block; inside it the powers come from a table, from block to block by a recursion.
const BLOCK: usize = 16;

/// `pˡ` times a weight, for the samples of one block.
struct Table {
    re: [f64; BLOCK],
    im: [f64; BLOCK],
}

impl Table {
    fn new(powers: &[Complex64; BLOCK], weight: impl Fn(usize) -> f64) -> Self {
        let of =
            |part: fn(&Complex64) -> f64| std::array::from_fn(|l| part(&powers[l]) * weight(l));
        Self {
            re: of(|p| p.re),
            im: of(|p| p.im),
        }
    }

    fn product(&self, x: &[f64; BLOCK]) -> Complex64 {
        let (mut re, mut im) = ([0.0; 4], [0.0; 4]);
        for first in (0..BLOCK).step_by(4) {
            for lane in 0..4 {
                re[lane] += self.re[first + lane] * x[first + lane];
                im[lane] += self.im[first + lane] * x[first + lane];
            }
        }
        Complex64::new(re.iter().sum(), im.iter().sum())
    }
}

/// `p⁰ … p¹⁵`, and `p¹⁶`, by doubling: each product waits for four others only.
fn powers(ratio: Complex64) -> ([Complex64; BLOCK], Complex64) {
    let mut table = [Complex64::new(1.0, 0.0); BLOCK];
    let (mut done, mut step) = (1, ratio);
    while done < BLOCK {
        let (known, fresh) = table.split_at_mut(done);
        for (power, earlier) in fresh.iter_mut().zip(known) {
            *power = *earlier * step;
        }
        step *= step;
        done *= 2;
    }
    (table, step)
}

/// Calls `each` with every block of samples; the last is filled up with zeros.
fn blocks(samples: &[f64], mut each: impl FnMut(&[f64; BLOCK])) {
    let (whole, rest) = samples.as_chunks::<BLOCK>();
    for chunk in whole {
        each(chunk);
    }
    let mut last = [0.0; BLOCK];
    last[..rest.len()].copy_from_slice(rest);
    each(&last);
}

/// `Σ xₙ pⁿ`.
pub(crate) fn moment(samples: &[f64], ratio: Complex64) -> Complex64 {
    let (powers, step) = powers(ratio);
    let table = Table::new(&powers, |_| 1.0);
    let (mut power, mut sum) = (Complex64::new(1.0, 0.0), Complex64::default());
    blocks(samples, |x| {
        sum += power * table.product(x);
        power *= step;
    });
    sum
}

/// `Σ xₙ pⁿ` and `Σ xₙ n pⁿ`.
pub(crate) fn moments(samples: &[f64], ratio: Complex64) -> [Complex64; 2] {
    let (powers, step) = powers(ratio);
    let (plain, weighted) = (
        Table::new(&powers, |_| 1.0),
        Table::new(&powers, |l| l as f64),
    );
    let (mut power, mut sums, mut first) =
        (Complex64::new(1.0, 0.0), [Complex64::default(); 2], 0.0);
    blocks(samples, |x| {
        let product = plain.product(x);
        sums[0] += power * product;
        sums[1] += power * (product * first + weighted.product(x));
        power *= step;
        first += BLOCK as f64;
    });
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of the recursion over 100 samples.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn blocks_equal_the_plain_sum() {
        let ratio = Complex64::from_polar(0.98, 0.9);
        for length in [0_u32, 1, 15, 16, 17, 100] {
            let samples: Vec<f64> = (0..length).map(|n| f64::from(n * 37 % 11) - 4.25).collect();
            let mut plain = [Complex64::new(0.0, 0.0); 2];
            for (n, &x) in samples.iter().enumerate() {
                let term = ratio.powu(n as u32) * x;
                plain[0] += term;
                plain[1] += term * n as f64;
            }
            let found = moments(&samples, ratio);
            assert!((found[0] - plain[0]).norm() < ROUNDING * 100.0, "{length}");
            assert_eq!(moment(&samples, ratio), found[0]);
            assert!((found[1] - plain[1]).norm() < ROUNDING * 1e4, "{length}");
        }
    }
}
