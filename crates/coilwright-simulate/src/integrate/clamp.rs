use nalgebra::{Complex, DVector};

use super::propagator::Propagator;
use crate::circuit::{Circuit, State, StateSpace};

/// The search for the end of a half wave looks this often in a period of the ring.
const LOOKS_PER_PERIOD: f64 = 32.0;
/// Halvings of the last look: from a quarter microsecond to far below a picosecond.
const HALVINGS: usize = 30;

/// The ring's current and voltage, from which follows whether the output's diodes conduct.
#[derive(Clone, Debug)]
pub(super) struct RingView {
    coil_current: DVector<f64>,
    series_voltage: DVector<f64>,
    impedance_ohm: f64,
    look_s: f64,
}

impl RingView {
    pub(super) fn new(circuit: &Circuit, space: &StateSpace) -> Self {
        let row = |state| {
            space.row(state).map_or_else(
                || DVector::zeros(space.states.len()),
                |row| space.physical.row(row).transpose(),
            )
        };
        let (henry, farad) = (
            circuit.ring.inductance_henry,
            circuit.ring.capacitance_farad,
        );
        Self {
            coil_current: row(State::CoilCurrent),
            series_voltage: row(State::SeriesVoltage),
            impedance_ohm: (henry / farad).sqrt(),
            look_s: std::f64::consts::TAU * (henry * farad).sqrt() / LOOKS_PER_PERIOD,
        }
    }

    /// Returns the direction of the coil's current, 1 or −1.
    pub(super) fn direction(&self, energy: &DVector<f64>) -> f64 {
        1.0_f64.copysign(self.coil_current.dot(energy))
    }

    /// Returns the voltage to which the capacitor is charged when the current next comes to zero, without losses.
    pub(super) fn swing_volt(&self, energy: &DVector<f64>) -> f64 {
        let current_volt = self.coil_current.dot(energy) * self.impedance_ohm;
        self.series_voltage.dot(energy).hypot(current_volt)
    }

    /// Returns the time until the current stops flowing in `direction` while the output is held at `volt`; `None`
    /// when it never flows that way.
    pub(super) fn half_wave_s(
        &self,
        propagator: &Propagator,
        energy: &DVector<f64>,
        volt: f64,
        direction: f64,
        longest_s: f64,
    ) -> Option<f64> {
        let mut start = propagator.modes.of_energy(energy);
        propagator.add_jump(&mut start, volt, 0.0);
        let flows = |time_s: f64| {
            let mut modes: Vec<Complex<f64>> = start.clone();
            propagator.step(&mut modes, time_s);
            propagator.add_jump(&mut modes, -volt, 0.0);
            direction * self.coil_current.dot(&propagator.modes.to_energy(&modes)) > 0.0
        };
        if !flows(self.look_s) {
            return None;
        }
        let mut before_s = self.look_s;
        while flows(before_s + self.look_s) {
            before_s += self.look_s;
            if before_s >= longest_s {
                return Some(longest_s);
            }
        }
        let mut after_s = before_s + self.look_s;
        for _ in 0..HALVINGS {
            let middle_s = 0.5 * (before_s + after_s);
            if flows(middle_s) {
                before_s = middle_s;
            } else {
                after_s = middle_s;
            }
        }
        Some(after_s.min(longest_s))
    }
}
