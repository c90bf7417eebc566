use super::{Circuit, Key};

/// Which resistance the output stage shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DriverSwitch {
    /// Field on.
    On,
    /// Field off: the output rests at 0 V.
    Off,
    /// Field off, but diodes of the output still carry the ring's current; they have the resistance of field on.
    Clamped,
}

/// State of a key's modulator.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeySwitch {
    /// Level 0: the light load.
    Open,
    /// Level 1: the heavy load.
    Closed,
}

impl KeySwitch {
    /// Returns the switch for a half-bit level; every level but 0 closes it.
    #[must_use]
    pub const fn from_level(level: u8) -> Self {
        if level == 0 { Self::Open } else { Self::Closed }
    }

    pub(crate) const fn load_ohm(self, key: &Key) -> f64 {
        match self {
            Self::Open => key.load_open_ohm,
            Self::Closed => key.load_closed_ohm,
        }
    }
}

/// Which switches of a [`Circuit`] are closed: within one configuration the circuit is linear and constant.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Configuration {
    /// The output stage.
    pub driver: DriverSwitch,
    /// Whether the series joint conducts.
    pub joint_closed: bool,
    /// One switch a key, in the order of [`Circuit::keys`].
    pub keys: Vec<KeySwitch>,
}

impl Configuration {
    /// Returns the configuration with the field on, the joint closed and every key at level 0.
    #[must_use]
    pub fn resting(circuit: &Circuit) -> Self {
        Self {
            driver: DriverSwitch::On,
            joint_closed: true,
            keys: vec![KeySwitch::Open; circuit.keys.len()],
        }
    }

    /// Returns the same configuration with every key at the given level.
    #[must_use]
    pub fn with_keys(mut self, switch: KeySwitch) -> Self {
        self.keys.fill(switch);
        self
    }

    /// Returns the same configuration with the given driver switch.
    #[must_use]
    pub fn with_driver(mut self, driver: DriverSwitch) -> Self {
        self.driver = driver;
        self
    }

    pub(crate) const fn source_ohm(&self, circuit: &Circuit) -> f64 {
        match self.driver {
            DriverSwitch::On | DriverSwitch::Clamped => circuit.driver.resistance_on_ohm,
            DriverSwitch::Off => circuit.driver.resistance_off_ohm,
        }
    }

    pub(crate) const fn joint_ohm(&self, circuit: &Circuit) -> f64 {
        if self.joint_closed {
            circuit.ring.joint.closed_ohm
        } else {
            circuit.ring.joint.broken_ohm
        }
    }
}
