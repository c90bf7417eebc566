use super::number::COUNT;

/// Parts that decide the numbers: inductance, capacitance, resistance at the working frequency, direct-current resistance.
pub(super) const BASE: usize = 4;

/// How the resistance grows with frequency when a resonance moves, `R ∝ f^p`: between none and the square root's double (skin and proximity effect).
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
    pub(super) inductance: f64,
    pub(super) capacitance: f64,
    /// At the sound coil's working frequency.
    pub(super) resistance: f64,
    pub(super) direct: f64,
    /// `p` of `R ∝ f^p`.
    pub(super) resistance_power: f64,
}

impl State {
    /// The logarithms of the ratios of all numbers.
    pub(super) fn numbers(&self) -> [f64; COUNT] {
        let parts = [
            self.inductance,
            self.capacitance,
            self.resistance,
            self.direct,
        ];
        let mut numbers =
            NUMBERS_BY_PART.map(|row| row.iter().zip(parts).map(|(by, part)| by * part).sum());
        let [resonance, q, ..] = &mut numbers;
        *q -= self.resistance_power * *resonance;
        numbers
    }
}

/// What a closed loop near a coil does to it: inductance as a ratio, and added resistance over the coil's reactance.
///
/// `Z = jωL + ω²M²/(R₂ + jωL₂)` with `k² = M²/(L L₂)` and the loop's own `Q₂ = ωL₂/R₂`: the reflected impedance is
/// `ωL k² (Q₂ − jQ₂²)/(1 + Q₂²)`.
pub(super) fn closed_loop(coupling_squared: f64, loop_q: f64) -> (f64, f64) {
    let shared = coupling_squared / (1.0 + loop_q * loop_q);
    (1.0 - shared * loop_q * loop_q, shared * loop_q)
}
