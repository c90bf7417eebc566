use num_complex::Complex32;
use serde::Serialize;

use super::grid::{Means, half_bit};
use crate::code::LineCode;
use crate::demodulate::{KeyRead, Modulation, Plane};

/// Points that are shown at most, from the start of the plane.
const POINTS: usize = 4000;

/// What the two directions of a constellation are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Axes {
    /// The carrier's amplitude and its phase.
    Carrier,
    /// In phase with the subcarrier, and a quarter of its period beside it.
    Subcarrier,
    /// The size of the faster tone, and of the slower one.
    Tones,
}

impl Axes {
    /// The name used in machine-readable output: `carrier`, `subcarrier` or `tones`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Carrier => "carrier",
            Self::Subcarrier => "subcarrier",
            Self::Tones => "tones",
        }
    }
}

/// What a key sent as points in a plane.
///
/// A key that switches its load makes two clouds on its modulation axis, two keys on one clock make four. A key that turns
/// the phase of a subcarrier makes two clouds too; one of two tones makes one cloud on each axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Constellation {
    /// What the plane is.
    pub axes: Axes,
    /// Relative to the carrier. `Axes::Carrier`: mean deviation over each half-bit, real where the amplitude changes,
    /// imaginary where the phase does. Otherwise: what the matched filters give, one point for each bit that the
    /// subcarrier carries.
    pub points: Vec<Complex32>,
    /// Which half-bit of the read each point shows, or begins with: 2k is the first half of bit k.
    pub half_bits: Vec<usize>,
    /// Direction in which the bits differ, −π/2 to π/2.
    pub axis_rad: f64,
}

impl Constellation {
    /// The constellation of a read in the plane that it came from; `None` where none of it lies in the plane, and for a
    /// key that answers after the field went off.
    #[must_use]
    pub fn of(plane: &Plane, read: &KeyRead, axis_rad: Option<f64>) -> Option<Self> {
        match read.modulation {
            Modulation::Ask => Self::of_half_bits(plane, read, axis_rad.unwrap_or(0.0)),
            Modulation::Psk { .. } => Self::of_symbols(plane, read, Axes::Subcarrier, 0.0),
            Modulation::Fsk { .. } => {
                Self::of_symbols(plane, read, Axes::Tones, -std::f64::consts::FRAC_PI_4)
            }
            Modulation::HalfDuplex => None,
        }
    }

    fn of_half_bits(plane: &Plane, read: &KeyRead, axis_rad: f64) -> Option<Self> {
        let part = |part: fn(&Complex32) -> f32| {
            let values: Vec<f32> = plane.values.iter().map(part).collect();
            Means::of(&values, plane.first, plane.step)
        };
        let (in_phase, quadrature) = (part(|z| z.re), part(|z| z.im));
        let times = read.bit_times;
        let points = (0..2 * read.bits.len()).filter_map(|index| {
            let (from, to) = (half_bit(&times, index), half_bit(&times, index + 1));
            let re = in_phase.over(from, to)? as f32;
            let im = quadrature.over(from, to)? as f32;
            Some((index, Complex32::new(re, im)))
        });
        Self::of_points(points, Axes::Carrier, axis_rad)
    }

    /// Where the matched filters stand over the middle of each bit that the subcarrier carries: two to a Manchester bit.
    fn of_symbols(plane: &Plane, read: &KeyRead, axes: Axes, axis_rad: f64) -> Option<Self> {
        let halves = if read.line_code == Some(LineCode::Manchester) {
            1
        } else {
            2
        };
        let times = read.bit_times;
        let points = (0..2 * read.bits.len())
            .step_by(halves)
            .filter_map(|index| {
                let middle = 0.5 * (half_bit(&times, index) + half_bit(&times, index + halves));
                let place = ((middle - plane.first) / plane.step).round();
                let point = plane
                    .values
                    .get((place >= 0.0).then_some(place as usize)?)?;
                Some((index, *point))
            });
        Self::of_points(points, axes, axis_rad)
    }

    fn of_points(
        points: impl Iterator<Item = (usize, Complex32)>,
        axes: Axes,
        axis_rad: f64,
    ) -> Option<Self> {
        let (half_bits, points) = points
            .take(POINTS)
            .unzip::<usize, Complex32, Vec<_>, Vec<_>>();
        (!points.is_empty()).then_some(Self {
            axes,
            points,
            half_bits,
            axis_rad,
        })
    }
}
