use num_complex::Complex32;

use super::grid::{Means, half_bit};
use crate::demodulate::{KeyRead, Plane};

/// Half-bits that are shown at most, from the start of the plane.
const POINTS: usize = 4000;

/// The half-bits of a key in the plane of in-phase and quadrature.
///
/// One key makes two clouds on its modulation axis, two keys on one clock make four.
#[derive(Clone, Debug, PartialEq)]
pub struct Constellation {
    /// Mean deviation of the carrier over each half-bit, relative to the carrier: real where its amplitude changes,
    /// imaginary where its phase does.
    pub points: Vec<Complex32>,
    /// Which half-bit of the read each point shows: 2k is the first half of bit k.
    pub half_bits: Vec<usize>,
    /// Direction of the modulation, −π/2 to π/2.
    pub axis_rad: f64,
}

impl Constellation {
    /// The constellation of a read; `None` where no half-bit lies in the plane.
    #[must_use]
    pub fn of(plane: &Plane, read: &KeyRead, axis_rad: Option<f64>) -> Option<Self> {
        let part = |part: fn(&Complex32) -> f32| {
            let values: Vec<f32> = plane.values.iter().map(part).collect();
            Means::of(&values, plane.first, plane.step)
        };
        let (in_phase, quadrature) = (part(|z| z.re), part(|z| z.im));
        let times = read.bit_times;
        let (half_bits, points) = (0..2 * read.bits.len())
            .filter_map(|index| {
                let (from, to) = (half_bit(&times, index), half_bit(&times, index + 1));
                let re = in_phase.over(from, to)? as f32;
                let im = quadrature.over(from, to)? as f32;
                Some((index, Complex32::new(re, im)))
            })
            .take(POINTS)
            .unzip::<usize, Complex32, Vec<_>, Vec<_>>();
        (!points.is_empty()).then(|| Self {
            points,
            half_bits,
            axis_rad: axis_rad.unwrap_or(0.0),
        })
    }
}
