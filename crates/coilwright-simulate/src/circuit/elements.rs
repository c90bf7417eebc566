use serde::{Deserialize, Serialize};

use crate::SimulateError;
use crate::error::{require, require_coupling, require_not_negative, require_positive};

/// The output stage that drives the ring, up to the cable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Driver {
    /// Resistance of the output stage and its series resistor while the field is on.
    pub resistance_on_ohm: f64,
    /// Resistance while the field is off; the output then rests at 0 V.
    pub resistance_off_ohm: f64,
    /// For an output that goes high-impedance when the field goes off: diodes then hold it at this voltage against the
    /// ring's current, half wave after half wave, until the ring swings less than that; only what is left sees
    /// `resistance_off_ohm`. `None` for an output that stays low.
    pub clamp_volt: Option<f64>,
    /// Inductance of the board and the cable up to the point where the cable's capacitance is lumped.
    pub lead_henry: f64,
    /// Capacitance across the cable.
    pub cable_farad: f64,
}

/// A joint in series with the ring: a connector pin or a solder joint.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// Resistance while the joint is closed.
    pub closed_ohm: f64,
    /// Resistance while the joint is broken.
    pub broken_ohm: f64,
    /// Capacitance across the gap, which stays when the joint breaks.
    pub gap_farad: f64,
}

/// The series-tuned antenna coil round the lock.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ring {
    /// Inductance of the coil.
    pub inductance_henry: f64,
    /// Resistance of the coil's wire at the carrier.
    pub resistance_ohm: f64,
    /// The series capacitor that tunes the ring.
    pub capacitance_farad: f64,
    /// Self-capacitance of the coil and its near wiring.
    pub stray_farad: f64,
    /// Resistance across the coil that stands for its losses at its self-resonance.
    pub stray_loss_ohm: f64,
    /// Inductance of the wires between cable and coil.
    pub lead_henry: f64,
    /// The joint in series with the coil.
    pub joint: Joint,
    /// Resistance of a short across the coil (behind the capacitor); `None` when there is none.
    pub coil_short_ohm: Option<f64>,
    /// Resistance of a short across the ring's terminals (before the capacitor); `None` when there is none.
    pub terminal_short_ohm: Option<f64>,
}

/// A closed loop near the ring: a metal collar, or some turns of the ring that are shorted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClosedLoop {
    /// Inductance of the loop.
    pub inductance_henry: f64,
    /// Resistance round the loop.
    pub resistance_ohm: f64,
    /// Coupling factor to the ring's coil.
    pub coupling_ring: f64,
    /// Coupling factor to the pickup coil.
    pub coupling_pickup: f64,
    /// Coupling factor to every key coil.
    pub coupling_keys: f64,
}

/// A key: a parallel-tuned coil with a load that a switch changes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Key {
    /// Inductance of the key's coil.
    pub inductance_henry: f64,
    /// Resistance of the key's coil.
    pub resistance_ohm: f64,
    /// The capacitor across the coil.
    pub capacitance_farad: f64,
    /// Load while the modulator's switch is open (level 0).
    pub load_open_ohm: f64,
    /// Load while the modulator's switch is closed (level 1).
    pub load_closed_ohm: f64,
    /// Coupling factor to the ring's coil.
    pub coupling_ring: f64,
    /// Coupling factor to the pickup coil.
    pub coupling_pickup: f64,
}

/// The pickup coil and the recorder's input across it. Its voltage is the captured signal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pickup {
    /// Inductance of the pickup coil.
    pub inductance_henry: f64,
    /// Resistance of the pickup coil.
    pub resistance_ohm: f64,
    /// Capacitance of coil, cable and input.
    pub capacitance_farad: f64,
    /// Resistance of the input, or of a damping resistor.
    pub load_ohm: f64,
    /// Coupling factor to the ring's coil.
    pub coupling_ring: f64,
    /// Coupling factor to the driver's lead: what is left when the ring carries no current.
    pub coupling_lead: f64,
}

/// Everything that is coupled.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Circuit {
    /// The output stage.
    pub driver: Driver,
    /// The antenna ring.
    pub ring: Ring,
    /// The pickup coil.
    pub pickup: Pickup,
    /// The keys in the field, possibly none.
    pub keys: Vec<Key>,
    /// Coupling factor between every two key coils.
    pub coupling_between_keys: f64,
    /// Closed loops: metal and shorted turns.
    pub loops: Vec<ClosedLoop>,
}

impl Circuit {
    /// Checks every value of the circuit; couplings that contradict each other show only in
    /// [`super::StateSpace::new`].
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] names the first value that makes no sense.
    pub fn validate(&self) -> Result<(), SimulateError> {
        self.driver.validate()?;
        self.ring.validate()?;
        self.pickup.validate()?;
        self.keys.iter().try_for_each(Key::validate)?;
        self.loops.iter().try_for_each(ClosedLoop::validate)?;
        require_coupling("coupling_between_keys", self.coupling_between_keys)
    }

    /// Returns the circuit with neither key nor loop: the bare driven ring and the pickup.
    #[must_use]
    pub fn without_keys(&self) -> Self {
        Self {
            keys: Vec::new(),
            ..self.clone()
        }
    }
}

impl Driver {
    fn validate(&self) -> Result<(), SimulateError> {
        require_positive("driver.resistance_on_ohm", self.resistance_on_ohm)?;
        require_positive("driver.resistance_off_ohm", self.resistance_off_ohm)?;
        if let Some(clamp_volt) = self.clamp_volt {
            require_positive("driver.clamp_volt", clamp_volt)?;
        }
        require_positive("driver.lead_henry", self.lead_henry)?;
        require_positive("driver.cable_farad", self.cable_farad)
    }
}

impl Ring {
    fn validate(&self) -> Result<(), SimulateError> {
        require_positive("ring.inductance_henry", self.inductance_henry)?;
        require_positive("ring.resistance_ohm", self.resistance_ohm)?;
        require_positive("ring.capacitance_farad", self.capacitance_farad)?;
        require_positive("ring.stray_farad", self.stray_farad)?;
        require_positive("ring.stray_loss_ohm", self.stray_loss_ohm)?;
        require_positive("ring.lead_henry", self.lead_henry)?;
        require_positive("ring.joint.closed_ohm", self.joint.closed_ohm)?;
        require_positive("ring.joint.broken_ohm", self.joint.broken_ohm)?;
        require_positive("ring.joint.gap_farad", self.joint.gap_farad)?;
        if let Some(short_ohm) = self.coil_short_ohm {
            require_positive("ring.coil_short_ohm", short_ohm)?;
        }
        if let Some(short_ohm) = self.terminal_short_ohm {
            require_positive("ring.terminal_short_ohm", short_ohm)?;
        }
        Ok(())
    }
}

impl ClosedLoop {
    fn validate(&self) -> Result<(), SimulateError> {
        require_positive("loops.inductance_henry", self.inductance_henry)?;
        require_positive("loops.resistance_ohm", self.resistance_ohm)?;
        require_coupling("loops.coupling_ring", self.coupling_ring)?;
        require_coupling("loops.coupling_pickup", self.coupling_pickup)?;
        require_coupling("loops.coupling_keys", self.coupling_keys)
    }
}

impl Key {
    /// Quality of the coil with the mean of both loads.
    pub(crate) fn q(&self) -> f64 {
        let reactance_ohm = (self.inductance_henry / self.capacitance_farad).sqrt();
        let load = 0.5 * (self.load_open_ohm.recip() + self.load_closed_ohm.recip());
        (self.resistance_ohm / reactance_ohm + reactance_ohm * load).recip()
    }

    fn validate(&self) -> Result<(), SimulateError> {
        require_positive("keys.inductance_henry", self.inductance_henry)?;
        require_positive("keys.resistance_ohm", self.resistance_ohm)?;
        require_positive("keys.capacitance_farad", self.capacitance_farad)?;
        require_positive("keys.load_open_ohm", self.load_open_ohm)?;
        require_positive("keys.load_closed_ohm", self.load_closed_ohm)?;
        require_coupling("keys.coupling_ring", self.coupling_ring)?;
        require_coupling("keys.coupling_pickup", self.coupling_pickup)
    }
}

impl Pickup {
    fn validate(&self) -> Result<(), SimulateError> {
        require_positive("pickup.inductance_henry", self.inductance_henry)?;
        require_not_negative("pickup.resistance_ohm", self.resistance_ohm)?;
        require_positive("pickup.capacitance_farad", self.capacitance_farad)?;
        require_positive("pickup.load_ohm", self.load_ohm)?;
        require_coupling("pickup.coupling_ring", self.coupling_ring)?;
        require_coupling("pickup.coupling_lead", self.coupling_lead)?;
        require(
            self.coupling_ring != 0.0 || self.coupling_lead != 0.0,
            "pickup.coupling_ring",
            self.coupling_ring,
            "a coupling to the ring or to the lead: the pickup would hear nothing",
        )
    }
}
