use serde::Serialize;

use super::{Circuit, Configuration, Modes, State, StateSpace};
use crate::SimulateError;

/// Smallest participation that counts: in a lone resonance current and voltage each take a part of 1.
const LEADING_PART: f64 = 0.3;

/// A natural oscillation of the circuit, from a complex rate `s = −α ± jω`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Pole {
    /// Undamped frequency `|s|/2π`.
    pub resonance_hz: f64,
    /// Loaded quality factor `|s|/2α`.
    pub q: f64,
}

impl Pole {
    fn from_rate(rate: nalgebra::Complex<f64>) -> Self {
        Self {
            resonance_hz: rate.norm() / std::f64::consts::TAU,
            q: rate.norm() / (-2.0 * rate.re),
        }
    }
}

impl StateSpace {
    /// Returns the oscillating poles by rising frequency.
    ///
    /// # Errors
    /// When the modes cannot be computed.
    pub fn poles(&self) -> Result<Vec<Pole>, SimulateError> {
        let mut poles: Vec<Pole> = Modes::new(self)?
            .rates
            .into_iter()
            .filter(|rate| rate.im > 1e-9 * rate.norm())
            .map(Pole::from_rate)
            .collect();
        poles.sort_by(|a, b| a.resonance_hz.total_cmp(&b.resonance_hz));
        Ok(poles)
    }

    /// Returns the oscillating pole in which a state takes part most, or `None` when the state takes no leading part
    /// in any oscillation.
    ///
    /// # Errors
    /// When the modes cannot be computed.
    pub fn pole_of(&self, state: State) -> Result<Option<Pole>, SimulateError> {
        let modes = Modes::new(self)?;
        let Some(row) = self.row(state) else {
            return Ok(None);
        };
        Ok(modes
            .participation(row)
            .into_iter()
            .zip(modes.rates)
            .filter(|(_, rate)| rate.im > 1e-9 * rate.norm())
            .filter(|(share, _)| *share > LEADING_PART)
            .max_by(|(a, _), (b, _)| a.total_cmp(b))
            .map(|(_, rate)| Pole::from_rate(rate)))
    }
}

impl Circuit {
    /// Returns the ring's own pole in a configuration: the one in which its series capacitor takes part most.
    ///
    /// # Errors
    /// When the circuit makes no sense or its modes cannot be computed.
    pub fn ring_pole(&self, configuration: &Configuration) -> Result<Option<Pole>, SimulateError> {
        StateSpace::new(self, configuration)?.pole_of(State::SeriesVoltage)
    }
}
