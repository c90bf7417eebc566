use num_complex::{Complex32, Complex64};

/// Sections that are filtered side by side: one value after the other, each would wait for the one before.
const LANES: usize = 4;
/// What came so many time constants before no longer counts: e^(−18) is less than single precision resolves.
const FORGOTTEN: f64 = 18.0;

/// The part along `axis` of `values` behind the filter matched to a pole of `pole` per value, h(t) = p e^(−pt):
/// q(t) = ∫ z(u) h*(u − t) du over u ≥ t, with z held over each value; Re(axis · mean of q over each value) is returned.
///
/// The product of z with the smeared symbol h ∗ s equals that of q with the plain symbol s, so what follows need not know
/// of the smearing. q runs backwards in time: over a value z its edge goes from q to q E + z (1 − E), E = e^(−p*), and its
/// mean is z + (q − z)(1 − E)/p*.
pub(super) fn matched(values: &[Complex32], pole: Complex64, axis: Complex64) -> Vec<f32> {
    let filter = Filter::new(pole, axis);
    let mut filtered = vec![0.0; values.len()];
    let run_in = (FORGOTTEN / pole.re).ceil() as usize;
    let length = values.len() / LANES;
    if length < run_in {
        let mut edge = Complex32::default();
        for (target, &value) in filtered.iter_mut().zip(values).rev() {
            *target = filter.step(&mut edge, value);
        }
        return filtered;
    }
    // The last section takes what is left over.
    let end = LANES * length;
    let mut edges: [Complex32; LANES] = std::array::from_fn(|lane| {
        let first = (lane + 1) * length;
        filter.run_in(&values[first..values.len().min(first + run_in)])
    });
    let mut last = Complex32::default();
    for (target, &value) in filtered[end..].iter_mut().zip(&values[end..]).rev() {
        *target = filter.step(&mut last, value);
    }
    edges[LANES - 1] = last;
    let sections: [&[Complex32]; LANES] =
        std::array::from_fn(|lane| &values[lane * length..(lane + 1) * length]);
    let mut cut = filtered.chunks_exact_mut(length);
    let targets: [&mut [f32]; LANES] = std::array::from_fn(|_| cut.next().unwrap_or_default());
    for index in (0..length).rev() {
        for lane in 0..LANES {
            targets[lane][index] = filter.step(&mut edges[lane], sections[lane][index]);
        }
    }
    filtered
}

/// The filter's constants for one value.
struct Filter {
    rest: Complex32,
    share: Complex32,
    axis: Complex32,
}

impl Filter {
    fn new(pole: Complex64, axis: Complex64) -> Self {
        let pole = pole.conj();
        let rest = (-pole).exp();
        let share = axis * (1.0 - rest) / pole;
        let single = |z: Complex64| Complex32::new(z.re as f32, z.im as f32);
        Self {
            rest: single(rest),
            share: single(share),
            axis: single(axis),
        }
    }

    /// The output for the value before the edge, and the edge before that value.
    fn step(&self, edge: &mut Complex32, value: Complex32) -> f32 {
        let over = *edge - value;
        *edge = value + over * self.rest;
        real_product(value, self.axis) + real_product(over, self.share)
    }

    /// The edge before values that make all that came after them forgotten, or are the last.
    fn run_in(&self, values: &[Complex32]) -> Complex32 {
        let mut edge = Complex32::default();
        for &value in values.iter().rev() {
            self.step(&mut edge, value);
        }
        edge
    }
}

fn real_product(a: Complex32, b: Complex32) -> f32 {
    a.re * b.re - a.im * b.im
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_side_by_side_give_what_one_after_the_other_gives() {
        let pole = Complex64::new(0.11, 0.03);
        let axis = Complex64::cis(0.7);
        let values: Vec<Complex32> = (0..2_003)
            .map(|n| Complex32::new((n * n % 17) as f32 - 8.0, (n % 13) as f32 - 6.0))
            .collect();
        let all = matched(&values, pole, axis);
        // The end of a signal does not depend on what came before it, and so short a one is not cut.
        for start in [10, 495, 1_002, 1_600] {
            let short = matched(&values[start..(start + 400).min(2_003)], pole, axis);
            for (index, (one, other)) in short[..100].iter().zip(&all[start..]).enumerate() {
                assert!(
                    (one - other).abs() < 1e-4,
                    "{start} + {index}: {one} {other}"
                );
            }
        }
    }

    #[test]
    fn a_constant_passes_and_the_mean_over_a_value_is_that_of_the_integral() {
        let pole = Complex64::new(0.2, 0.0);
        let one = Complex64::new(1.0, 0.0);
        let steady = matched(&[Complex32::new(1.0, 0.0); 1_000], pole, one);
        assert!((steady[100] - 1.0).abs() < 1e-6);
        // A lone value 1 at n: q = e^(−p(n − t)) (1 − e^(−p)) before it; mean over the value k before, closed form.
        let mut lone = vec![Complex32::default(); 50];
        lone[40] = Complex32::new(1.0, 0.0);
        let answer = matched(&lone, pole, one);
        for k in 1..30 {
            let edge = (1.0 - (-0.2_f64).exp()).powi(2) / 0.2;
            let expected = edge * (-0.2 * (f64::from(k) - 1.0)).exp();
            assert!((f64::from(answer[40 - k as usize]) - expected).abs() < 1e-6);
        }
    }
}
