//! Coils turn by turn.

use coilwright_coil::coupling::{CoaxialCircles, SectionCoil, coaxial_circles_henry};
use coilwright_coil::inductance::{
    CircularLoop, Conductor, LayerWinding, Turn, circular_loop_rayleigh_niven_henry,
};
use coilwright_coil::loss::{COPPER, Wire, winding_resistance};
use num_complex::Complex64;
use rand::{Rng, RngExt};
use std::f64::consts::TAU;
use std::ops::Range;

/// Working frequency, hertz.
pub(crate) const CARRIER_HZ: f64 = 125e3;

/// A closed loop in or near a coil.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Loop {
    pub(crate) inductance_henry: f64,
    pub(crate) resistance_ohm: f64,
    pub(crate) mutual_henry: f64,
}

/// A ring of coil, capacitor and driver.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ring {
    pub(crate) turns: usize,
    pub(crate) inductance_henry: f64,
    pub(crate) resistance_ohm: f64,
    pub(crate) direct_ohm: f64,
    pub(crate) capacitance_farad: f64,
    pub(crate) driver_ohm: f64,
    pub(crate) beside: Option<Loop>,
}

impl Ring {
    /// Impedance of the coil alone.
    pub(crate) fn coil_ohm(&self, frequency_hz: f64) -> Complex64 {
        let omega = TAU * frequency_hz;
        let own = Complex64::new(self.resistance_ohm, omega * self.inductance_henry);
        let reflected = self.beside.map_or(Complex64::new(0.0, 0.0), |l| {
            (omega * l.mutual_henry).powi(2)
                / Complex64::new(l.resistance_ohm, omega * l.inductance_henry)
        });
        own + reflected
    }
}

/// A coil with the mutual inductances of all its turns.
pub(crate) struct Wound {
    pub(crate) ring: Ring,
    pub(crate) positions: Vec<Turn>,
    pub(crate) matrix: Vec<Vec<f64>>,
    pub(crate) section: SectionCoil,
    /// Distance from the plane of the first turn to the end of the winding, metres.
    pub(crate) end_m: f64,
}

/// A sound coil of random size, tuned to the carrier.
pub(crate) fn wind(random: &mut impl Rng) -> Wound {
    let bare = random.random_range(0.1e-3..0.3e-3);
    let turns_per_layer = random.random_range(8..30);
    let winding = LayerWinding {
        former_radius_m: random.random_range(8e-3..22e-3),
        turns: turns_per_layer * random.random_range(2..7),
        turns_per_layer,
        axial_pitch_m: 1.12 * bare,
        layer_pitch_m: 1.12 * bare,
        conductor: Conductor::round(bare),
    };
    let positions = winding.positions().expect("positions");
    let matrix = mutual(&positions, &winding.conductor);
    let inductance_henry: f64 = matrix.iter().flatten().sum();
    let copper = COPPER.resistivity_ohm_m(20.0).expect("copper");
    let loss = winding_resistance(
        &winding,
        &Wire::Solid { diameter_m: bare },
        copper,
        CARRIER_HZ,
    )
    .expect("resistance");
    let section = SectionCoil {
        section: winding.section().expect("section"),
        turns: winding.turns as f64,
    };
    Wound {
        ring: Ring {
            turns: winding.turns,
            inductance_henry,
            resistance_ohm: loss.alternating_ohm.value,
            direct_ohm: loss.direct_ohm,
            capacitance_farad: ((TAU * CARRIER_HZ).powi(2) * inductance_henry).recip(),
            driver_ohm: random.random_range(0.0..0.03) * TAU * CARRIER_HZ * inductance_henry,
            beside: None,
        },
        positions,
        matrix,
        section,
        end_m: 0.5 * winding.axial_pitch_m,
    }
}

impl Wound {
    /// Sum of the mutual inductances of two sets of turns, henry.
    pub(crate) fn mutual_henry(&self, one: &Range<usize>, other: &Range<usize>) -> f64 {
        let rows = &self.matrix[one.clone()];
        rows.iter().flat_map(|row| &row[other.clone()]).sum()
    }

    /// Part of the wire in a set of turns.
    pub(crate) fn share(&self, turns: &Range<usize>) -> f64 {
        let length = |turns: &[Turn]| turns.iter().map(|t| t.radius_m).sum::<f64>();
        length(&self.positions[turns.clone()]) / length(&self.positions)
    }
}

fn mutual(positions: &[Turn], conductor: &Conductor) -> Vec<Vec<f64>> {
    let pair = |a: &Turn, b: &Turn| {
        coaxial_circles_henry(&CoaxialCircles {
            first_radius_m: a.radius_m,
            second_radius_m: b.radius_m,
            distance_m: (a.height_m - b.height_m).abs(),
        })
        .expect("two turns")
        .value
    };
    let own = |a: &Turn| {
        circular_loop_rayleigh_niven_henry(&CircularLoop {
            radius_m: a.radius_m,
            conductor: *conductor,
        })
        .expect("a turn")
        .value
    };
    let mut matrix = vec![vec![0.0; positions.len()]; positions.len()];
    for (i, a) in positions.iter().enumerate() {
        matrix[i][i] = own(a);
        for (j, b) in positions.iter().enumerate().take(i) {
            let value = pair(a, b);
            matrix[i][j] = value;
            matrix[j][i] = value;
        }
    }
    matrix
}
