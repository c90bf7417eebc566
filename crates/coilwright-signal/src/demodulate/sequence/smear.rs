use num_complex::{Complex32, Complex64};

use super::echoes::Echoes;
use super::matched::matched;
use super::pulse::Pulse;
use super::response::Response;
use crate::carrier::solve;
use crate::dsp::ComplexSums;

/// Poles per bit from which the search sets out, and what stands for no smearing.
const STARTS: [f64; 4] = [2.5, 5.0, 10.0, 20.0];
const UNSMEARED: f64 = 80.0;
/// A faster pole takes less than 0.9 dB and a plain receiver then loses less than 0.1 dB more.
const FASTEST: f64 = 16.0;
/// A slower pole is no ring's: levels that last look like it.
const SLOWEST: f64 = 1.8;
/// A pulse behind a ring leaves at most this share of the response unexplained, besides noise.
const MOST_LEFT: f64 = 0.15;
/// Delays of the plain receiver that are tried, in bits.
const DELAYS: [f64; 7] = [-0.3, -0.24, -0.18, -0.12, -0.08, -0.04, 0.0];
/// Steps of the Gauss–Newton search.
const STEPS: usize = 8;
/// Natural logarithm of the odds for a smeared pulse over a plain one.
const LEAST_EVIDENCE: f64 = 12.0;
/// Echoes that are worked out.
const ECHOES: usize = 4;

/// A key's pulse behind a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in super::super) struct Smear {
    pulse: Pulse,
    axis_rad: f64,
}

/// Where the search stands: pole, how far it is turned, delay.
#[derive(Clone, Copy)]
struct Point([f64; 3]);

impl Point {
    fn new(decay: f64, late: f64) -> Self {
        Self([decay.ln(), 0.0, late])
    }

    fn pulse(self) -> Pulse {
        let decay = self.0[0].exp();
        Pulse {
            pole: Complex64::new(decay, decay * self.0[1]),
        }
    }

    fn late(self) -> f64 {
        self.0[2]
    }
}

impl Smear {
    /// The pulse that explains `values` best as an answer to `symbols` (−1 to 1 each by what is known of it), which begin at
    /// `start` and last `period` values each; `None` when a pulse without smearing does as well or the ring is so fast that
    /// a plain receiver does.
    ///
    /// The response is fitted with g ψ(t − late) by least squares: g drops out as linear (variable projection), the pole and
    /// the delay are found by Gauss–Newton from the best of a grid.
    pub(in super::super) fn fit(
        sums: &ComplexSums,
        (start, period): (f64, f64),
        symbols: &[f32],
        value_power: f64,
    ) -> Option<Self> {
        let response = Response::of(sums, start, period, symbols);
        if !response.is_measured() {
            return None;
        }
        let left = |point: Point| -> f64 {
            let (rest, _) = response.without(&point.pulse(), point.late());
            rest.iter().map(Complex64::norm_sqr).sum()
        };
        let best_delay = |decay: f64| {
            let points = DELAYS.iter().map(|&late| Point::new(decay, late));
            points
                .map(|point| (left(point), point))
                .min_by(|a, b| a.0.total_cmp(&b.0))
        };
        let (plain, _) = best_delay(UNSMEARED)?;
        let begun = STARTS.iter().filter_map(|&decay| best_delay(decay));
        let (_, begun) = begun.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let found = search(&response, begun);
        let noise = response.noise_power(value_power, period);
        let evidence = (plain - left(found)) / noise;
        let pulse = found.pulse();
        let is_explained = left(found) < MOST_LEFT * response.power() + 2.0 * response.noise(noise);
        let is_ring = (SLOWEST..FASTEST).contains(&pulse.pole.re);
        if evidence < LEAST_EVIDENCE || !is_explained || !is_ring {
            return None;
        }
        let (_, size) = response.without(&pulse, found.late());
        Some(Self {
            pulse,
            axis_rad: size.arg(),
        })
    }

    /// The energy of a smeared bit over that of a plain one.
    pub(in super::super) fn energy(&self) -> f64 {
        self.pulse.energy()
    }

    /// `values` behind the matched filter, along the axis: symbols taken from them have the size of plain ones.
    pub(in super::super) fn matched(&self, values: &[Complex32], period: f64) -> Vec<f32> {
        let axis = Complex64::cis(-self.axis_rad) / self.energy();
        matched(values, self.pulse.pole / period, axis)
    }

    /// What neighbouring symbols add to each other behind the matched filter.
    pub(in super::super) fn echoes(&self) -> Echoes {
        Echoes::new(self.pulse.echoes(ECHOES))
    }
}

/// Gauss–Newton with differences for derivatives; a step that makes things worse is halved.
fn search(response: &Response, begun: Point) -> Point {
    const DIFFERENCE: f64 = 1e-3;
    let rest_at = |point: Point| response.without(&point.pulse(), point.late()).0;
    let power = |rest: &[Complex64]| -> f64 { rest.iter().map(Complex64::norm_sqr).sum() };
    let mut point = begun;
    let mut rest = rest_at(point);
    for _ in 0..STEPS {
        let slopes: [Vec<Complex64>; 3] = std::array::from_fn(|index| {
            let mut moved = point;
            moved.0[index] += DIFFERENCE;
            let moved = rest_at(moved);
            moved
                .iter()
                .zip(&rest)
                .map(|(a, b)| (a - b) / DIFFERENCE)
                .collect()
        });
        let product = |a: &[Complex64], b: &[Complex64]| -> f64 {
            a.iter().zip(b).map(|(a, b)| (a.conj() * b).re).sum()
        };
        let mut matrix: [[f64; 3]; 3] =
            std::array::from_fn(|i| std::array::from_fn(|j| product(&slopes[i], &slopes[j])));
        for (index, row) in matrix.iter_mut().enumerate() {
            row[index] *= 1.0 + 1e-6;
        }
        let right = std::array::from_fn(|i| -product(&slopes[i], &rest));
        let Some((mut step, _)) = solve(&matrix, &right) else {
            break;
        };
        let mut improved = false;
        for _ in 0..4 {
            let moved = Point(std::array::from_fn(|i| {
                point.0[i] + step[i].clamp(-1.0, 1.0)
            }));
            let moved_rest = rest_at(moved);
            if power(&moved_rest) < power(&rest) {
                (point, rest, improved) = (moved, moved_rest, true);
                break;
            }
            step = step.map(|part| 0.5 * part);
        }
        if !improved || step.iter().all(|part| part.abs() < 1e-4) {
            break;
        }
    }
    point
}
