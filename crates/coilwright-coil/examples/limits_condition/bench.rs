//! Where a ring's signals come from: the lumped ring's own equations, or ngspice on the whole circuit.

use crate::coil::{Ring, Wound};
use crate::fault::Fault;
use crate::ngspice;
use nalgebra::{Matrix3, Vector3};
use num_complex::Complex64;
use std::f64::consts::TAU;

pub(crate) const SAMPLE_RATE_HZ: f64 = 1e6;
/// Samples of a ring-down.
pub(crate) const SAMPLES: usize = 1500;
/// Where an instrument measures.
pub(crate) struct Grid {
    pub(crate) low_hz: f64,
    pub(crate) high_hz: f64,
    pub(crate) count: usize,
    /// Stray capacitance of its clips across the coil.
    pub(crate) clips_farad: f64,
}
/// An impedance meter.
pub(crate) const METER: Grid = Grid {
    low_hz: 60e3,
    high_hz: 180e3,
    count: 25,
    clips_farad: 30e-12,
};

/// What makes the signals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Origin {
    Equations,
    Ngspice,
}

/// A ring on the bench.
pub(crate) struct Bench<'a> {
    pub(crate) wound: &'a Wound,
    pub(crate) fault: &'a Fault,
    /// The ring as it would be without the fault, on this day or as it was made.
    pub(crate) sound: Ring,
    pub(crate) origin: Origin,
}

impl Bench<'_> {
    /// The ring with its fault, by lumped parts.
    pub(crate) fn ring(&self) -> Ring {
        self.fault.ring(self.wound, &self.sound)
    }

    /// Current after the charged capacitor was connected, over that of the sound ring at its first peak.
    pub(crate) fn ring_down(&self) -> Vec<f64> {
        match (self.origin, self.fault) {
            (Origin::Ngspice, _) => {
                let ring = self.ring();
                let coil = crate::netlist::coil(self.wound, self.fault, &self.sound);
                let scale = (self.sound.inductance_henry / self.sound.capacitance_farad).sqrt();
                let current = ngspice::ring_down(&coil, ring.capacitance_farad, ring.driver_ohm);
                current.iter().map(|i| scale * i).collect()
            }
            (Origin::Equations, Fault::Open | Fault::Shorted) => vec![0.0; SAMPLES],
            (Origin::Equations, _) => by_equations(&self.ring()),
        }
    }

    /// Frequencies and impedances of the coil with the instrument's clips.
    pub(crate) fn impedances(&self, grid: &Grid) -> (Vec<f64>, Vec<Complex64>) {
        let step = (grid.high_hz - grid.low_hz) / (grid.count - 1) as f64;
        let frequencies: Vec<f64> = (0..grid.count)
            .map(|n| grid.low_hz + step * n as f64)
            .collect();
        if self.origin == Origin::Ngspice {
            let coil = crate::netlist::coil(self.wound, self.fault, &self.sound);
            return (frequencies, ngspice::impedances(&coil, grid));
        }
        let ring = self.ring();
        let of = |&f: &f64| {
            let coil = match self.fault {
                Fault::Open => Complex64::new(1e9, 0.0),
                Fault::Shorted => Complex64::new(0.1, TAU * f * 0.3e-6),
                _ => ring.coil_ohm(f),
            };
            coil / (1.0 + Complex64::new(0.0, TAU * f * grid.clips_farad) * coil)
        };
        let values = frequencies.iter().map(of).collect();
        (frequencies, values)
    }

    /// The same of the coil with its capacitor and the driver in series.
    pub(crate) fn ring_impedances(&self, grid: &Grid) -> (Vec<f64>, Vec<Complex64>) {
        let ring = self.ring();
        let (frequencies, coil) = self.impedances(grid);
        let with = |(f, z): (&f64, &Complex64)| {
            z + ring.driver_ohm + Complex64::new(0.0, TAU * f * ring.capacitance_farad).inv()
        };
        let values = frequencies.iter().zip(&coil).map(with).collect();
        (frequencies, values)
    }

    /// What an ohmmeter's current meets; `None` is beyond its range.
    pub(crate) fn direct_ohm(&self) -> Option<f64> {
        match (self.origin, self.fault) {
            (Origin::Ngspice, _) => {
                let coil = crate::netlist::coil(self.wound, self.fault, &self.sound);
                Some(ngspice::direct_ohm(&coil)).filter(|r| *r < 20e6)
            }
            (_, Fault::Open) => None,
            (_, Fault::Shorted) => Some(0.02),
            _ => Some(self.ring().direct_ohm),
        }
    }
}

/// From the circuit's equations by the exponential of their matrix.
fn by_equations(ring: &Ring) -> Vec<f64> {
    let (l2, r2, m) = ring.beside.map_or((1.0, 1.0, 0.0), |l| {
        (l.inductance_henry, l.resistance_ohm, l.mutual_henry)
    });
    let (l, r) = (ring.inductance_henry, ring.resistance_ohm + ring.driver_ohm);
    // L i' + M i₂' = −R i − q/C,  M i' + L₂ i₂' = −R₂ i₂,  q' = i
    let d = l * l2 - m * m;
    let c = ring.capacitance_farad;
    let matrix = Matrix3::new(
        0.0,
        1.0,
        0.0,
        -l2 / (c * d),
        -l2 * r / d,
        m * r2 / d,
        m / (c * d),
        m * r / d,
        -l * r2 / d,
    );
    let step = (matrix / SAMPLE_RATE_HZ).exp();
    let mut state = Vector3::new(c, 0.0, 0.0);
    let mut samples = vec![0.0; SAMPLES];
    for sample in &mut samples {
        *sample = state[1] * (l / c).sqrt();
        state = step * state;
    }
    samples
}
