use super::number::COUNT;

/// Parts that decide the numbers: inductance, capacitance, resistance at the working frequency, direct-current resistance.
pub(super) const BASE: usize = 4;

/// How the resistance grows with frequency when a resonance moves, `R ∝ f^p`: half way between none and proportional (skin and proximity effect).
pub(super) const RESISTANCE_POWER: f64 = 0.5;

/// What each number gains in the logarithm for a change of each part: `f₀ = 1/2π√(LC)`, `Q = √(L/C)/R`.
pub(super) const NUMBERS_BY_PART: [[f64; BASE]; COUNT] = [
    [-0.5, -0.5, 0.0, 0.0],
    [0.5, -0.5, -1.0, 0.0],
    [1.0, 0.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 0.0],
    [0.0, 1.0, 0.0, 0.0],
    [0.0, 0.0, 0.0, 1.0],
];

/// A coil with one thing wrong, as natural logarithms of ratios to the sound coil.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct State {
    /// At the sound coil's working frequency, as an impedance meter has it.
    pub(super) inductance: f64,
    pub(super) resistance: f64,
    /// At the ring's own new resonance.
    pub(super) ring_inductance: f64,
    pub(super) ring_resistance: f64,
    pub(super) capacitance: f64,
    pub(super) direct: f64,
}

impl State {
    /// The logarithms of the ratios of all numbers, in the order of [`Number::ALL`](super::Number::ALL).
    pub(super) fn numbers(&self) -> [f64; COUNT] {
        [
            -0.5 * (self.ring_inductance + self.capacitance),
            0.5 * (self.ring_inductance - self.capacitance) - self.ring_resistance,
            self.inductance,
            self.resistance,
            self.capacitance,
            self.direct,
        ]
    }
}

/// A coil beside, or with, a closed loop; inductances over the sound coil's.
///
/// The loop reflects `jωL₂ + R₂` into the coil as `ω²M²/(R₂ + jωL₂)`: with `m = M²/(L L₂)` and the loop's own `Q₂ = ωL₂/R₂` it takes
/// `m Q₂²/(1 + Q₂²)` off the inductance and adds `m Q₂/(1 + Q₂²)` of the sound reactance to the resistance.
#[derive(Clone, Copy, Debug)]
pub(super) struct WithLoop {
    /// Inductance that is left in the circuit.
    pub(super) rest: f64,
    /// Part of the resistance that is left in it.
    pub(super) resistance: f64,
    /// `m`.
    pub(super) shared: f64,
    /// `Q₂` at the sound resonance.
    pub(super) loop_q: f64,
    /// Q of the sound coil.
    pub(super) q: f64,
    /// How the resistance that is left grows with frequency, `R ∝ f^p`.
    pub(super) power: f64,
}

impl WithLoop {
    /// Inductance and resistance, over the sound coil's, at a frequency over the sound resonance.
    fn at(&self, frequency: f64) -> (f64, f64) {
        let loop_q = self.loop_q * frequency;
        let reflected = self.shared / (1.0 + loop_q * loop_q);
        (
            (self.rest - reflected * loop_q * loop_q).max(1e-3),
            self.resistance * frequency.powf(self.power) + self.q * frequency * reflected * loop_q,
        )
    }

    /// The coil's state; the resonance is found by repetition, since the loop's Q rises with it.
    pub(super) fn state(&self) -> State {
        let (inductance, resistance) = self.at(1.0);
        let mut frequency = 1.0;
        for _ in 0..6 {
            frequency = self.at(frequency).0.sqrt().recip();
        }
        let (ring_inductance, ring_resistance) = self.at(frequency);
        State {
            inductance: inductance.ln(),
            resistance: resistance.ln(),
            ring_inductance: ring_inductance.ln(),
            ring_resistance: ring_resistance.ln(),
            ..State::default()
        }
    }
}
