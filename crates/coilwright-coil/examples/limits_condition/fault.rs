//! What is wrong with a coil, and the lumped ring that it leaves.

use crate::coil::{CARRIER_HZ, Loop, Ring, Wound};
use coilwright_coil::condition::Condition;
use coilwright_coil::coupling::{HalfSpace, half_space_change};
use rand::{Rng, RngExt};
use std::f64::consts::TAU;
use std::ops::Range;

/// Aluminium, copper, brass and austenitic steel, ohm metres.
const METALS: [f64; 4] = [2.8e-8, 1.7e-8, 6.5e-8, 7.0e-7];

/// A condition with its size.
#[derive(Clone, Debug)]
pub(crate) enum Fault {
    None,
    Open,
    Shorted,
    /// Neighbouring turns, in the order in which they were wound, bridged with a little resistance.
    Bridged {
        turns: Range<usize>,
        contact_ohm: f64,
    },
    /// Relative change of the capacitance.
    Drifted(f64),
    /// Metal below the coil.
    Metal(HalfSpace),
}

impl Fault {
    /// One of this condition; metal and drift change inductance or capacitance by at least so much, and twice that.
    pub(crate) fn draw(
        condition: Condition,
        wound: &Wound,
        least: f64,
        random: &mut impl Rng,
    ) -> Self {
        match condition {
            Condition::Open => Self::Open,
            Condition::Shorted => Self::Shorted,
            Condition::TurnsShorted => {
                let turns = wound.ring.turns;
                let part = (random.random_range(0.03_f64.ln()..0.3_f64.ln())).exp();
                let bridged = ((part * turns as f64).ceil() as usize).max(1);
                let first = random.random_range(0..=turns - bridged);
                Self::Bridged {
                    turns: first..first + bridged,
                    contact_ohm: random.random_range(0.0..0.05),
                }
            }
            Condition::CapacitorDrifted => {
                let size: f64 = (random.random_range((2.0 * least).ln()..0.4_f64.ln())).exp();
                Self::Drifted(if random.random() { size } else { -size })
            }
            Condition::MetalNear => loop {
                let radius = wound.section.section.mean_radius_m;
                let metal = Self::Metal(HalfSpace {
                    gap_m: radius * random.random_range(0.06..1.0),
                    resistivity_ohm_m: METALS[random.random_range(0..METALS.len())],
                    relative_permeability: 1.0,
                });
                if -metal.size(wound) >= least {
                    break metal;
                }
            },
            _ => Self::None,
        }
    }

    /// Part of the turns, relative change of the capacitance or of the inductance.
    pub(crate) fn size(&self, wound: &Wound) -> f64 {
        match self {
            Self::Bridged { turns, .. } => turns.len() as f64 / wound.ring.turns as f64,
            Self::Drifted(change) => *change,
            Self::Metal(metal) => reflected(wound, metal).0 / wound.ring.inductance_henry,
            _ => 0.0,
        }
    }

    /// The ring with it, by lumped parts; `sound` is the coil's own ring on that day or as it was made.
    pub(crate) fn ring(&self, wound: &Wound, sound: &Ring) -> Ring {
        let mut ring = *sound;
        let scale = sound.inductance_henry / wound.ring.inductance_henry;
        match self {
            Self::Bridged { turns, contact_ohm } => {
                let all = 0..wound.ring.turns;
                let own = wound.mutual_henry(turns, turns);
                let across = wound.mutual_henry(turns, &all) - own;
                let share = wound.share(turns);
                ring.inductance_henry -= scale * (own + 2.0 * across);
                ring.resistance_ohm *= 1.0 - share;
                ring.direct_ohm *= 1.0 - share;
                ring.beside = Some(Loop {
                    inductance_henry: scale * own,
                    resistance_ohm: share * sound.resistance_ohm + contact_ohm,
                    mutual_henry: scale * across,
                });
            }
            Self::Drifted(change) => ring.capacitance_farad *= 1.0 + change,
            Self::Metal(metal) => {
                // The loop that reflects the same at the carrier: Q₂ = −ωΔL/ΔR, M²/L₂ = −ΔL (1 + 1/Q₂²).
                let (l, r) = reflected(wound, metal);
                let omega = TAU * CARRIER_HZ;
                let loop_q = -omega * l / r;
                let mutual = (1e-7 * -l * scale * (1.0 + loop_q.powi(-2))).sqrt();
                ring.beside = Some(Loop {
                    inductance_henry: 1e-7,
                    resistance_ohm: omega * 1e-7 / loop_q,
                    mutual_henry: mutual,
                });
            }
            Self::None | Self::Open | Self::Shorted => {}
        }
        ring
    }
}

/// Change of inductance and resistance by a half-space of metal.
fn reflected(wound: &Wound, metal: &HalfSpace) -> (f64, f64) {
    let change = half_space_change(&wound.section, metal, CARRIER_HZ).expect("metal below a coil");
    (change.inductance_henry.value, change.resistance_ohm.value)
}
