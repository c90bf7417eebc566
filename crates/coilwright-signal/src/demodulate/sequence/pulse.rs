use num_complex::Complex64;

/// The breaks of a Manchester symbol, in bits, and by how much it steps there: 0 to 1 to −1 to 0.
const BREAKS: [(f64, f64); 3] = [(0.0, 1.0), (0.5, -2.0), (1.0, 1.0)];
/// The same for its autocorrelation: the second difference with itself.
const AUTOCORRELATION: [(f64, f64); 5] = [
    (-1.0, 1.0),
    (-0.5, -4.0),
    (0.0, 6.0),
    (0.5, -4.0),
    (1.0, 1.0),
];

/// A Manchester symbol behind one pole: the symbol s filtered with h(t) = p e^(−pt), t in bits.
///
/// The step response is G(t) = 1 − e^(−pt), so the pulse is ψ(t) = G(t) − 2 G(t − ½) + G(t − 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pulse {
    /// The pole, per bit; the real part is above 0.
    pub pole: Complex64,
}

impl Pulse {
    /// The pulse at `count` times from `first` on in steps of `step`, all in bits.
    pub(super) fn sampled(&self, first: f64, step: f64, count: usize) -> Vec<Complex64> {
        let mut values = vec![Complex64::default(); count];
        let decay = (-self.pole * step).exp();
        for (time, jump) in BREAKS {
            let from = ((time - first) / step).ceil().max(0.0);
            let mut rest = (-self.pole * (first + from * step - time)).exp();
            for value in values.iter_mut().skip(from as usize) {
                *value += jump * (1.0 - rest);
                rest *= decay;
            }
        }
        values
    }

    /// The energy of the pulse over that of a symbol that is not smeared, 0 to 1. For a real pole
    /// it is 1 − 3/p + 4 e^(−p/2)/p − e^(−p)/p.
    pub(super) fn energy(&self) -> f64 {
        self.correlation(0.0).re
    }

    /// ∫ ψ(t) ψ*(t − lag) dt, lag in bits.
    ///
    /// The autocorrelation r of h is |p|²/(p + p*) e^(−p|t|), conjugated for t < 0. That of ψ is the fourth difference
    /// of K with K″ = −r: K(t) = −|p|²/(p + p*) ((e^(−pt) − 1)/p² + t/p) for t ≥ 0 and K(−t) = K*(t), which is smooth at 0.
    fn correlation(&self, lag: f64) -> Complex64 {
        AUTOCORRELATION
            .iter()
            .map(|(time, weight)| weight * self.kernel(lag - time))
            .sum()
    }

    fn kernel(&self, time: f64) -> Complex64 {
        let (pole, t) = (self.pole, time.abs());
        let scale = -pole.norm_sqr() / (2.0 * pole.re);
        let value = scale * (((-pole * t).exp() - 1.0) / (pole * pole) + t / pole);
        if time < 0.0 { value.conj() } else { value }
    }

    /// What the neighbours 1, 2, … `count` bits away add to a symbol behind the matched filter, over the symbol itself.
    pub(super) fn echoes(&self, count: usize) -> Vec<f64> {
        let energy = self.energy();
        (1..=count)
            .map(|lag| self.correlation(lag as f64).re / energy)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steps of the numerical integral; its error falls with their square.
    const STEP: f64 = 1.0 / 512.0;
    const TOLERANCE: f64 = 1e-4;

    #[test]
    fn energy_and_echoes_agree_with_the_integrals() {
        for pole in [(2.0, 0.0), (5.0, 3.0), (20.0, -15.0)] {
            let pulse = Pulse {
                pole: Complex64::new(pole.0, pole.1),
            };
            let values = pulse.sampled(0.5 * STEP, STEP, 12 * 512);
            let integral = |lag: usize| -> Complex64 {
                values[lag * 512..]
                    .iter()
                    .zip(&values)
                    .map(|(a, b)| a * b.conj() * STEP)
                    .sum()
            };
            assert!((integral(0).re - pulse.energy()).abs() < TOLERANCE);
            for (lag, echo) in (1..).zip(pulse.echoes(3)) {
                assert!((integral(lag).re / pulse.energy() - echo).abs() < TOLERANCE);
            }
        }
    }

    #[test]
    fn a_real_pole_has_the_energy_of_the_formula() {
        let p = 4.0_f64;
        let pulse = Pulse { pole: p.into() };
        let energy = 1.0 - 3.0 / p + 4.0 * (-p / 2.0).exp() / p - (-p).exp() / p;
        assert!((pulse.energy() - energy).abs() < 1e-12);
    }
}
