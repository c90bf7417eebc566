use num_complex::Complex64;

use super::output::Output;
use super::residual::Residual;
use super::sidebands::{Sidebands, balance, orders};
use super::timing::best_start;

/// Sidebands up to this order hold 97 % of a square subcarrier's power.
const MOST_ORDER: i32 = 15;
/// Values a bit.
const VALUES: f64 = 64.0;
/// Fewer bits than this show no axis.
const MIN_BITS: usize = 24;
/// Steps towards the principal axis.
const STEPS: usize = 40;

/// What a phase-shift key sent, coherent with the carrier.
pub(super) struct PhaseBits {
    /// ± the deviation, one for each bit.
    pub symbols: Vec<f32>,
    /// The size of a symbol without noise.
    pub deviation: f64,
    /// Variance of a symbol by noise.
    pub noise_variance: f64,
    /// Sample position of the first bit, from the start of the residual.
    pub start: f64,
    /// Samples to a bit.
    pub period: f64,
    /// Direction of the modulation against the carrier's phase.
    pub axis_rad: f64,
    /// How alike the two sidebands are.
    pub balance: f64,
    sidebands: Sidebands,
    /// The order of each sideband and what a 1 sends in it, of unit size together.
    templates: Vec<(i32, Complex64)>,
}

impl PhaseBits {
    /// The output of the matched filter at every instant.
    pub(super) fn output(&self) -> Output {
        Output::of_phase(&self.sidebands, self.period, &self.templates)
    }
}

/// The bits of `clocks_per_bit` carrier periods of a key whose subcarrier lasts `clocks`.
///
/// A bit ± sends ±h: one complex number for every sideband of the subcarrier and of its odd harmonics, whatever ring
/// and pickup make of them. Over the bits, the real and imaginary parts of all sidebands together scatter along h and,
/// by noise alone, evenly across it: h is the principal axis of their covariance, and the bit its sign along h. That is
/// the matched filter for a subcarrier of any shape, and it takes both sidebands in: one alone would lose 3 dB, the
/// fundamental alone 0.9 dB. With a subcarrier of half the carrier, lower sidebands fold at 0 Hz onto one another; the
/// real samples then show fewer lines, which hold all the same.
pub(super) fn read(residual: &Residual, clocks: u32, clocks_per_bit: u32) -> Option<PhaseBits> {
    let period = f64::from(clocks_per_bit) / residual.clock_frequency;
    let orders = orders(residual, clocks, MOST_ORDER);
    let offsets: Vec<f64> = orders
        .iter()
        .map(|&order| f64::from(order) / f64::from(clocks))
        .collect();
    let sidebands = Sidebands::of(residual, &offsets, period, VALUES);
    let fundamental: Vec<usize> = (0..orders.len())
        .filter(|&line| orders[line].abs() == 1)
        .collect();
    let start = best_start(sidebands.begin(), period, |start| {
        let count = sidebands.count(sidebands.begin(), period).saturating_sub(1);
        let energies = fundamental.iter().map(|&line| {
            let means = sidebands.means(line, start, period, count);
            let (power, square) = means.fold((0.0, Complex64::default()), |sums, y| {
                (sums.0 + y.norm_sqr(), sums.1 + y * y)
            });
            power + square.norm()
        });
        energies.sum()
    });
    let count = sidebands.count(start, period);
    let parts: Vec<Vec<f64>> = (0..sidebands.lines())
        .flat_map(|line| {
            let means: Vec<Complex64> = sidebands.means(line, start, period, count).collect();
            [
                means.iter().map(|y| y.re).collect::<Vec<f64>>(),
                means.iter().map(|y| y.im).collect(),
            ]
        })
        .collect();
    if count < MIN_BITS || fundamental.is_empty() {
        return None;
    }
    let Axis {
        direction,
        power,
        trace,
    } = principal_axis(&parts, count)?;
    let noise_variance = (trace - power).max(0.0) / (parts.len() - 1) as f64;
    let symbols = (0..count)
        .map(|bit| {
            let along = parts.iter().zip(&direction).map(|(part, d)| part[bit] * d);
            along.sum::<f64>() as f32
        })
        .collect();
    let template = |(line, &order): (usize, &i32)| {
        let h = Complex64::new(direction[2 * line], direction[2 * line + 1]);
        (order, h)
    };
    Some(PhaseBits {
        symbols,
        deviation: (power - noise_variance).max(0.1 * power).sqrt(),
        noise_variance,
        start,
        period,
        axis_rad: modulation_axis(&orders, &direction),
        balance: balance(&orders, |line| {
            direction[2 * line].hypot(direction[2 * line + 1])
        }),
        sidebands,
        templates: orders.iter().enumerate().map(template).collect(),
    })
}

/// The direction in which values scatter most, their mean square along it and in all directions together.
struct Axis {
    direction: Vec<f64>,
    power: f64,
    trace: f64,
}

/// The principal eigenvector of the second moments by power iteration.
fn principal_axis(parts: &[Vec<f64>], count: usize) -> Option<Axis> {
    let moment =
        |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>() / count as f64;
    let moments: Vec<Vec<f64>> = parts
        .iter()
        .map(|a| parts.iter().map(|b| moment(a, b)).collect())
        .collect();
    let trace: f64 = (0..parts.len()).map(|k| moments[k][k]).sum();
    let strongest = (0..parts.len()).max_by(|&a, &b| moments[a][a].total_cmp(&moments[b][b]))?;
    let mut direction = moments[strongest].clone();
    let mut power = 0.0;
    for _ in 0..STEPS {
        let length = direction.iter().map(|d| d * d).sum::<f64>().sqrt();
        if length <= 0.0 {
            return None;
        }
        for d in &mut direction {
            *d /= length;
        }
        let next: Vec<f64> = moments
            .iter()
            .map(|row| row.iter().zip(&direction).map(|(m, d)| m * d).sum())
            .collect();
        power = next.iter().zip(&direction).map(|(n, d)| n * d).sum();
        direction = next;
    }
    let length = direction.iter().map(|d| d * d).sum::<f64>().sqrt();
    for d in &mut direction {
        *d /= length.max(1e-300);
    }
    Some(Axis {
        direction,
        power,
        trace,
    })
}

/// Half the angle of the product of the two sidebands of order 1: the subcarrier's own phase cancels.
fn modulation_axis(orders: &[i32], direction: &[f64]) -> f64 {
    let side = |order: i32| {
        let line = orders.iter().position(|&found| found == order)?;
        Some(Complex64::new(direction[2 * line], direction[2 * line + 1]))
    };
    match (side(1), side(-1)) {
        (Some(upper), Some(lower)) => (upper * lower).arg() / 2.0,
        _ => 0.0,
    }
}
