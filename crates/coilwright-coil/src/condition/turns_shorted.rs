use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil, between, evenly, scattered};
use super::judge::Condition;
use super::state::{State, WithLoop};
use crate::Estimate;

/// Smallest and largest part of the turns, evenly in the logarithm for half of the coils.
const PART: (f64, f64) = (0.004, 0.6);
/// Turns of neighbouring layers that touch bridge any number up to the turns of both layers, evenly: the other half.
const LAYERS: f64 = 0.5;
/// `s` in `L_p = p² L (1 − s ln p)`, inductance of a part p of the turns that lie together: 1/2Λ with Λ = ln(8r/ρ) − 2 where the part is a smaller bundle of
/// the same shape. Sums over all pairs of turns (the tests have them) give 0.01 to 0.3 for layer upon layer, 0.1 to 0.8 for flat spirals, 0.3 to 1.3 for one layer.
const SLIMNESS: (f64, f64) = (0.02, 1.0);
/// Squared mutual inductance of the part and the rest, over `L L_p`, is about `0.8/(1 + 2.2 s)` by the same sums, times this, as long as the
/// part is small.
const CLOSENESS: (f64, f64) = (0.5, 1.3);
/// Resistance of the bridge over the direct-current resistance of what it bridges: a weld, or a touch (a guess, no source).
const BRIDGE: (f64, f64) = (0.005, 1.0);
/// Alternating-current resistance of the bridged turns over their direct-current resistance (skin and proximity effect).
const LOSS: (f64, f64) = (1.0, 3.0);
/// Part of the direct-current resistance in the loss of the ring, where it is not known.
const DIRECT_PART: (f64, f64) = (0.2, 0.95);
/// Most that the resistance left in the circuit grows with frequency, `R ∝ f^p`: a driver's does not, proximity loss does with p = 2, and the ring
/// may come to lie several times higher.
const MOST_POWER: f64 = 2.0;
/// Least inductance that is left of the coil's: the other part is not coupled closer. Half of two or four layers on 16 to 80 mm leaves 0.007 to 0.015 by sums
/// over all pairs of turns; less is a bridge across the terminals with its leads.
const LEAST_LEFT: f64 = 0.004;
/// Cases that are weighed.
const CASES: usize = 16_000;

/// Some of the turns are bridged: they are a closed winding inside the coil.
pub(super) struct TurnsShorted;

impl Hypothesis for TurnsShorted {
    fn condition(&self) -> Condition {
        Condition::TurnsShorted
    }

    fn prior(&self) -> f64 {
        0.08
    }

    fn predict(&self, coil: &SoundCoil) -> Prediction {
        let cases = scattered(CASES)
            .map(|[part, slimness, loss, direct, power, closeness, bridge]| {
                let direct_q = coil
                    .direct_q
                    .unwrap_or_else(|| coil.q / between(DIRECT_PART, direct));
                let bridged = Bridged {
                    part: part_of_turns(part),
                    slimness: between(SLIMNESS, slimness),
                    closeness: CLOSENESS.0 + (CLOSENESS.1 - CLOSENESS.0) * closeness,
                    bridge: between(BRIDGE, bridge),
                    loss: between(LOSS, loss),
                    direct_q,
                    q: coil.q,
                    power: MOST_POWER * power,
                };
                Case {
                    state: bridged.state(),
                    weight: 0.0,
                    size: bridged.part,
                }
            })
            .filter(|case| case.state.inductance > LEAST_LEFT.ln());
        // The lumped loop at one frequency stands for a low-Q ring whose poles lie elsewhere.
        Prediction::Cases {
            cases: evenly(cases.collect()),
            model: [0.04, 0.15, 0.04, 0.15, 0.0, 0.01],
        }
    }

    fn physics(&self) -> &'static str {
        "Bridged turns are a closed winding inside the coil: the field drives a current in them that cancels part of the field. Inductance falls, the \
         resonance rises and Q collapses, 1 % of the turns being enough; direct-current resistance falls only by their part."
    }

    fn confirm(&self) -> &'static str {
        "Measure inductance and Q away from metal, and direct-current resistance within 1 % at a known temperature, both against a good coil: shorted turns \
         stay wherever the coil is, and lower the resistance by their part."
    }

    fn size_text(&self, size: Estimate, coil: &SoundCoil) -> Option<String> {
        let part = format!(
            "about {:.1} ± {:.1} % of the turns",
            100.0 * size.value,
            100.0 * size.std_dev
        );
        Some(match coil.turns {
            Some(turns) if turns * size.std_dev < 0.5 => {
                format!("{part}, about {:.0} of {turns:.0}", turns * size.value)
            }
            Some(turns) => format!(
                "{part}, {:.0} ± {:.0} of {turns:.0}",
                turns * size.value,
                turns * size.std_dev
            ),
            None => part,
        })
    }
}

/// A part of the turns at a place between 0 and 1.
fn part_of_turns(place: f64) -> f64 {
    if place < 0.5 {
        between(PART, 2.0 * place)
    } else {
        PART.0 + (LAYERS - PART.0) * (2.0 * place - 1.0)
    }
}

/// A coil of which a part of the turns is bridged.
struct Bridged {
    part: f64,
    slimness: f64,
    closeness: f64,
    bridge: f64,
    loss: f64,
    /// `ωL/R` of the whole winding with the direct-current resistance.
    direct_q: f64,
    q: f64,
    power: f64,
}

impl Bridged {
    /// Inductance of the part, and the squared mutual inductance of part and rest over it; both over the whole coil's.
    fn coupled(&self) -> (f64, f64) {
        let own = self.part * self.part * (1.0 - self.slimness * self.part.ln());
        let small = 0.8 * self.closeness / (1.0 + 2.2 * self.slimness);
        // L_r = L − L_p − 2M, and no coupling is closer than M² = L_p L_r: M ≤ √L_p − L_p. The sums come near it as the fourth powers do.
        let most = (1.0 - own.sqrt()).powi(2);
        (own, (small.powi(-4) + most.powi(-4)).powf(-0.25))
    }

    /// What is left in the circuit has the inductance `L_r = L − L_p − 2M`, since part and rest in series are the coil.
    fn state(&self) -> State {
        let (own, shared) = self.coupled();
        let mutual = (shared * own).sqrt();
        let coil = WithLoop {
            rest: 1.0 - own - 2.0 * mutual,
            resistance: 1.0 - self.part,
            shared,
            loop_q: self.direct_q * own / (self.part * (self.loss + self.bridge)),
            q: self.q,
            power: self.power,
        };
        State {
            direct: (-self.part / (1.0 + self.bridge)).ln_1p(),
            ..coil.state()
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
mod tests {
    use super::*;
    use crate::coupling::{CoaxialCircles, coaxial_circles_henry};
    use crate::inductance::{
        CircularLoop, Conductor, LayerWinding, Turn, circular_loop_rayleigh_niven_henry,
    };
    use std::ops::Range;

    /// Mutual inductances of all pairs of turns.
    fn pairs(winding: &LayerWinding) -> Vec<Vec<f64>> {
        let turns = winding.positions().unwrap();
        let pair = |a: &Turn, b: &Turn| {
            let circles = CoaxialCircles {
                first_radius_m: a.radius_m,
                second_radius_m: b.radius_m,
                distance_m: (a.height_m - b.height_m).abs(),
            };
            coaxial_circles_henry(&circles).unwrap().value
        };
        let own = |a: &Turn| {
            let circle = CircularLoop {
                radius_m: a.radius_m,
                conductor: winding.conductor,
            };
            circular_loop_rayleigh_niven_henry(&circle).unwrap().value
        };
        let of = |i: usize, j: usize| {
            if i == j {
                own(&turns[i])
            } else {
                pair(&turns[i], &turns[j])
            }
        };
        (0..turns.len())
            .map(|i| (0..turns.len()).map(|j| of(i, j)).collect())
            .collect()
    }

    /// Slimness and closeness of neighbouring turns in a winding.
    fn shape(pairs: &[Vec<f64>], bridged: &Range<usize>) -> (f64, f64) {
        let sum = |rows: Range<usize>| -> f64 {
            pairs[rows]
                .iter()
                .flat_map(|row| &row[bridged.clone()])
                .sum()
        };
        let whole: f64 = pairs.iter().flatten().sum();
        let own = sum(bridged.clone()) / whole;
        let mutual = sum(0..pairs.len()) / whole - own;
        let part = bridged.len() as f64 / pairs.len() as f64;
        let slimness = (1.0 - own / (part * part)) / part.ln();
        let (shared, most) = (mutual * mutual / own, (1.0 - own.sqrt()).powi(2));
        let small = (shared.powi(-4) - most.powi(-4)).max(0.0).powf(-0.25);
        (slimness, small * (1.0 + 2.2 * slimness) / 0.8)
    }

    #[test]
    fn sums_over_all_pairs_of_turns_lie_in_the_stated_ranges() {
        let mut shapes = Vec::new();
        for [kind, turns, layers, radius, bare, part, place] in scattered(240) {
            let count = |low: f64, high: f64, place: f64| (low + (high - low) * place) as usize;
            let (turns_per_layer, layers) = match (3.0 * kind) as usize {
                0 => (count(8.0, 30.0, turns), count(2.0, 6.0, layers)),
                1 => (count(20.0, 100.0, turns), 1),
                _ => (1, count(10.0, 40.0, turns)),
            };
            let bare = between((0.1e-3, 0.4e-3), bare);
            let winding = LayerWinding {
                former_radius_m: between((8e-3, 30e-3), radius),
                turns: turns_per_layer * layers,
                turns_per_layer,
                axial_pitch_m: 1.12 * bare,
                layer_pitch_m: 1.12 * bare,
                conductor: Conductor::round(bare),
            };
            let bridged = (between((0.03, 0.3), part) * winding.turns as f64).ceil() as usize;
            let first = (place * (winding.turns - bridged) as f64) as usize;
            shapes.push(shape(&pairs(&winding), &(first..first + bridged)));
        }
        let within = |ends: (f64, f64), value: f64| ends.0 <= value && value <= ends.1;
        let both = shapes
            .iter()
            .filter(|(s, c)| within(SLIMNESS, *s) && within(CLOSENESS, *c))
            .count();
        assert!(both >= 216, "{both} of 240: {shapes:?}");
    }

    #[test]
    fn more_than_the_least_is_left_beside_half_of_the_turns() {
        for (former_radius_m, layers, turns_per_layer) in
            [(8e-3, 2, 50), (40e-3, 2, 50), (40e-3, 4, 20)]
        {
            let winding = LayerWinding {
                former_radius_m,
                turns: layers * turns_per_layer,
                turns_per_layer,
                axial_pitch_m: 0.15e-3,
                layer_pitch_m: 0.15e-3,
                conductor: Conductor::round(0.1e-3),
            };
            let pairs = pairs(&winding);
            let middle = winding.turns / 4..3 * winding.turns / 4;
            let sum = |rows: &dyn Fn(usize) -> bool, columns: &dyn Fn(usize) -> bool| -> f64 {
                let each = pairs.iter().enumerate().filter(|(i, _)| rows(*i));
                each.flat_map(|(_, row)| row.iter().enumerate().filter(|(j, _)| columns(*j)))
                    .map(|(_, pair)| pair)
                    .sum()
            };
            let (inside, outside) = (
                |i: usize| middle.contains(&i),
                |i: usize| !middle.contains(&i),
            );
            let mutual = sum(&inside, &outside);
            let left = sum(&outside, &outside) - mutual * mutual / sum(&inside, &inside);
            let part = left / sum(&|_| true, &|_| true);
            assert!(part > LEAST_LEFT && part < 0.02, "{part}");
        }
    }

    #[test]
    fn what_is_left_and_what_is_bridged_are_the_coil() {
        for [part, slimness, closeness] in scattered(500) {
            let bridged = Bridged {
                part: part_of_turns(part),
                slimness: between(SLIMNESS, slimness),
                closeness: CLOSENESS.0 + (CLOSENESS.1 - CLOSENESS.0) * closeness,
                bridge: 0.1,
                loss: 1.0,
                direct_q: 40.0,
                q: 30.0,
                power: 0.5,
            };
            let (own, shared) = bridged.coupled();
            let mutual = (shared * own).sqrt();
            let rest = 1.0 - own - 2.0 * mutual;
            assert!(rest > 0.0 && mutual * mutual < rest * own);
            let state = bridged.state();
            // Two resistances bridged in parallel are no more than either.
            assert!(state.direct < 0.0 && state.direct > (1.0 - bridged.part).ln());
        }
    }
}
