use std::f64::consts::TAU;

use num_complex::Complex64;

use super::sidebands::balance;

/// Phases to a carrier period at which a subcarrier may begin a bit.
const PHASES_PER_CLOCK: u32 = 4;

/// One of the two tones: what is seen at its sidebands, and its templates.
pub(super) struct Tone {
    pub orders: Vec<i32>,
    /// For each sideband the mean envelope of every bit, its phase counted from the start of the bit.
    pub seen: Vec<Vec<Complex64>>,
    pub noise: f64,
    /// e^(−jkψ) for each phase ψ and order k.
    turns: Vec<Vec<Complex64>>,
    pub templates: Vec<Complex64>,
    /// Weight of each ψ.
    phases: Vec<f64>,
    /// Probability of each ψ for each bit, if it has this tone.
    posterior: Vec<Vec<f64>>,
}

impl Tone {
    pub(super) fn new(
        orders: Vec<i32>,
        seen: Vec<Vec<Complex64>>,
        clocks: u32,
        noise: f64,
    ) -> Self {
        let count = clocks * PHASES_PER_CLOCK;
        let turns = (0..count)
            .map(|p| {
                let phase = TAU * f64::from(p) / f64::from(count);
                let turn = |&order: &i32| Complex64::cis(-f64::from(order) * phase);
                orders.iter().map(turn).collect()
            })
            .collect();
        Self {
            templates: vec![Complex64::default(); orders.len()],
            phases: vec![1.0 / f64::from(count); count as usize],
            posterior: Vec::new(),
            orders,
            seen,
            noise,
            turns,
        }
    }

    /// The first templates, from the bits that probably have this tone: the sidebands of order 1, whose phases add up to
    /// the same in every bit.
    pub(super) fn begin(&mut self, weights: &[f64]) {
        let total = weights.iter().sum::<f64>().max(1.0);
        let size = |seen: &[Complex64]| {
            let power: f64 = seen
                .iter()
                .zip(weights)
                .map(|(y, w)| y.norm_sqr() * w)
                .sum();
            (power / total - self.noise).max(0.1 * power / total).sqrt()
        };
        let line = |order: i32| self.orders.iter().position(|&found| found == order);
        match (line(1), line(-1)) {
            (Some(upper), Some(lower)) => {
                let pairs = self.seen[upper].iter().zip(&self.seen[lower]).zip(weights);
                let product: Complex64 = pairs.map(|((u, l), w)| u * l * w).sum();
                self.templates[upper] = size(&self.seen[upper]).into();
                self.templates[lower] =
                    Complex64::from_polar(size(&self.seen[lower]), product.arg());
            }
            (Some(one), None) | (None, Some(one)) => {
                self.templates[one] = size(&self.seen[one]).into();
            }
            (None, None) => {}
        }
    }

    /// Templates and weights of the phases as the bits show them, each with the probability that it has this tone.
    pub(super) fn learn(&mut self, weights: &[f64]) {
        let total = weights.iter().sum::<f64>().max(1.0);
        for (line, template) in self.templates.iter_mut().enumerate() {
            let mut sum = Complex64::default();
            for ((y, weight), posterior) in self.seen[line].iter().zip(weights).zip(&self.posterior)
            {
                let turn: Complex64 = posterior
                    .iter()
                    .zip(&self.turns)
                    .map(|(p, t)| t[line] * p)
                    .sum();
                sum += y * turn * weight;
            }
            *template = sum / total;
        }
        let smallest = 1.0 / self.phases.len() as f64;
        let mut phases = vec![smallest; self.phases.len()];
        for (weight, posterior) in weights.iter().zip(&self.posterior) {
            for (phase, p) in phases.iter_mut().zip(posterior) {
                *phase += weight * p;
            }
        }
        let sum: f64 = phases.iter().sum();
        self.phases = phases.into_iter().map(|phase| phase / sum).collect();
    }

    /// For each bit the logarithm of the likelihood of this tone over that of noise alone.
    pub(super) fn likelihoods(&mut self) -> Vec<f64> {
        let energy = self.power() / self.noise;
        let count = self.seen.first().map_or(0, Vec::len);
        self.posterior.clear();
        let mut likelihoods = Vec::with_capacity(count);
        let weights: Vec<f64> = self.phases.iter().map(|phase| phase.ln()).collect();
        let scaled: Vec<Complex64> = self
            .templates
            .iter()
            .map(|h| h.conj() * (2.0 / self.noise))
            .collect();
        let mut matched = vec![Complex64::default(); scaled.len()];
        for bit in 0..count {
            for (line, value) in matched.iter_mut().enumerate() {
                *value = self.seen[line][bit] * scaled[line];
            }
            let mut exponents: Vec<f64> = self
                .turns
                .iter()
                .zip(&weights)
                .map(|(turns, weight)| {
                    let along = turns
                        .iter()
                        .zip(&matched)
                        .map(|(t, m)| t.re * m.re - t.im * m.im);
                    weight + along.sum::<f64>()
                })
                .collect();
            let most = exponents.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let mut sum = 0.0;
            for exponent in &mut exponents {
                *exponent = (*exponent - most).exp();
                sum += *exponent;
            }
            for p in &mut exponents {
                *p /= sum;
            }
            likelihoods.push(most + sum.ln() - energy);
            self.posterior.push(exponents);
        }
        likelihoods
    }

    /// For each bit the mean of e^(jψ) over the phases that it may begin with.
    pub(super) fn begins(&self) -> Vec<Complex64> {
        let count = self.phases.len() as f64;
        let directions: Vec<Complex64> = (0..self.phases.len())
            .map(|phase| Complex64::cis(TAU * phase as f64 / count))
            .collect();
        let mean = |odds: &Vec<f64>| odds.iter().zip(&directions).map(|(p, d)| d * *p).sum();
        self.posterior.iter().map(mean).collect()
    }

    pub(super) fn power(&self) -> f64 {
        self.templates.iter().map(Complex64::norm_sqr).sum()
    }

    pub(super) fn balance(&self) -> f64 {
        balance(&self.orders, |line| self.templates[line].norm())
    }

    pub(super) fn axis_rad(&self) -> f64 {
        let template = |order: i32| {
            let line = self.orders.iter().position(|&found| found == order)?;
            Some(self.templates[line])
        };
        match (template(1), template(-1)) {
            (Some(upper), Some(lower)) => (upper * lower).arg() / 2.0,
            _ => 0.0,
        }
    }
}
