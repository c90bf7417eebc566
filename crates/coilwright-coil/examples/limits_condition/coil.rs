//! Coils turn by turn, with something wrong.

use coilwright_coil::condition::Condition;
use coilwright_coil::coupling::{
    CoaxialCircles, HalfSpace, SectionCoil, coaxial_circles_henry, half_space_change,
};
use coilwright_coil::inductance::{
    CircularLoop, Conductor, LayerWinding, Turn, circular_loop_rayleigh_niven_henry,
};
use coilwright_coil::loss::{COPPER, Wire, winding_resistance};
use num_complex::Complex64;
use rand::{Rng, RngExt};
use std::f64::consts::TAU;

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
    positions: Vec<Turn>,
    matrix: Vec<Vec<f64>>,
    section: SectionCoil,
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

impl Wound {
    /// The ring with a condition of at least this relative change of inductance or capacitance, and the condition's size where it has one.
    pub(crate) fn with(
        &self,
        condition: Condition,
        least: f64,
        random: &mut impl Rng,
    ) -> (Ring, f64) {
        match condition {
            Condition::TurnsShorted => self.turns_shorted(random),
            Condition::CapacitorDrifted => {
                let size: f64 = (random.random_range((2.0 * least).ln()..0.4_f64.ln())).exp();
                let signed = if random.random() { size } else { -size };
                let mut ring = self.ring;
                ring.capacitance_farad *= 1.0 + signed;
                (ring, signed)
            }
            Condition::MetalNear => self.near_metal(least, random),
            _ => (self.ring, 0.0),
        }
    }

    /// Neighbouring turns, in the order in which they were wound, bridged with a little resistance.
    fn turns_shorted(&self, random: &mut impl Rng) -> (Ring, f64) {
        let turns = self.ring.turns;
        let part = (random.random_range(0.03_f64.ln()..0.3_f64.ln())).exp();
        let bridged = ((part * turns as f64).ceil() as usize).max(1);
        let first = random.random_range(0..=turns - bridged);
        let inside = |n: usize| (first..first + bridged).contains(&n);
        let sum = |a: bool, b: bool| -> f64 {
            let rows = self
                .matrix
                .iter()
                .enumerate()
                .filter(|(i, _)| inside(*i) == a);
            rows.flat_map(|(_, row)| row.iter().enumerate())
                .filter(|(j, _)| inside(*j) == b)
                .map(|(_, m)| m)
                .sum()
        };
        let length: f64 = self.positions.iter().map(|t| t.radius_m).sum();
        let share: f64 = self.positions[first..first + bridged]
            .iter()
            .map(|t| t.radius_m)
            .sum::<f64>()
            / length;
        let contact = random.random_range(0.0..0.05);
        let mut ring = self.ring;
        ring.inductance_henry = sum(false, false);
        ring.resistance_ohm *= 1.0 - share;
        ring.direct_ohm *= 1.0 - share;
        ring.beside = Some(Loop {
            inductance_henry: sum(true, true),
            resistance_ohm: share * self.ring.resistance_ohm + contact,
            mutual_henry: sum(false, true),
        });
        (ring, bridged as f64 / turns as f64)
    }

    /// A half-space of aluminium, copper, brass or austenitic steel, near enough to take at least this part of the inductance.
    fn near_metal(&self, least: f64, random: &mut impl Rng) -> (Ring, f64) {
        let omega = TAU * CARRIER_HZ;
        loop {
            let metals = [2.8e-8, 1.7e-8, 6.5e-8, 7.0e-7];
            let radius = self.section.section.mean_radius_m;
            let change = half_space_change(
                &self.section,
                &HalfSpace {
                    gap_m: radius * random.random_range(0.06..1.0),
                    resistivity_ohm_m: metals[random.random_range(0..metals.len())],
                    relative_permeability: 1.0,
                },
                CARRIER_HZ,
            )
            .expect("metal below a coil");
            let (l, r) = (change.inductance_henry.value, change.resistance_ohm.value);
            if -l < least * self.ring.inductance_henry {
                continue;
            }
            // The loop that reflects the same at the carrier: Q₂ = −ωΔL/ΔR, M²/L₂ = −ΔL (1 + 1/Q₂²).
            let loop_q = -omega * l / r;
            let mut ring = self.ring;
            ring.beside = Some(Loop {
                inductance_henry: 1e-7,
                resistance_ohm: omega * 1e-7 / loop_q,
                mutual_henry: (1e-7 * -l * (1.0 + loop_q.powi(-2))).sqrt(),
            });
            return (ring, l / self.ring.inductance_henry);
        }
    }
}
