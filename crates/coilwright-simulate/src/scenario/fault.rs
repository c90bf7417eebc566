use serde::{Deserialize, Serialize};

/// What is wrong in a scenario.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// Nothing: field and key are healthy.
    None,
    /// The ring or its wiring is broken.
    RingOpen,
    /// The driver never switches on.
    NotDriven,
    /// The ring's terminals are shorted.
    RingShorted,
    /// Some turns of the ring are shorted.
    TurnsShorted,
    /// A metal loop stands close to the ring.
    MetalNear,
    /// The ring's capacitance has drifted.
    TuningDrifted,
    /// The driver is weaker than it was in the reference.
    DriveWeak,
    /// A joint in the ring opens now and then.
    JointIntermittent,
    /// The drive is off its nominal frequency.
    CarrierOff,
    /// No key, or a key that does not modulate.
    KeySilent,
    /// A key whose modulation is far shallower than usual.
    KeyWeak,
    /// Two keys answer at once.
    KeysCollide,
    /// Narrow lines or noise bursts mask the key.
    Interference,
    /// The capture holds too little to tell.
    CannotTell,
}

impl Fault {
    /// Every fault.
    pub const ALL: [Self; 15] = [
        Self::None,
        Self::RingOpen,
        Self::NotDriven,
        Self::RingShorted,
        Self::TurnsShorted,
        Self::MetalNear,
        Self::TuningDrifted,
        Self::DriveWeak,
        Self::JointIntermittent,
        Self::CarrierOff,
        Self::KeySilent,
        Self::KeyWeak,
        Self::KeysCollide,
        Self::Interference,
        Self::CannotTell,
    ];

    /// Returns the identifier, such as `ring_open`.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::RingOpen => "ring_open",
            Self::NotDriven => "not_driven",
            Self::RingShorted => "ring_shorted",
            Self::TurnsShorted => "turns_shorted",
            Self::MetalNear => "metal_near",
            Self::TuningDrifted => "tuning_drifted",
            Self::DriveWeak => "drive_weak",
            Self::JointIntermittent => "joint_intermittent",
            Self::CarrierOff => "carrier_off",
            Self::KeySilent => "key_silent",
            Self::KeyWeak => "key_weak",
            Self::KeysCollide => "keys_collide",
            Self::Interference => "interference",
            Self::CannotTell => "cannot_tell",
        }
    }

    /// Returns the fault with this identifier.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|fault| fault.identifier() == identifier)
    }
}

#[cfg(test)]
mod tests {
    use super::Fault;

    #[test]
    fn identifiers_and_json_agree() {
        for fault in Fault::ALL {
            assert_eq!(Fault::from_identifier(fault.identifier()), Some(fault));
            assert_eq!(
                serde_json::to_value(fault).ok(),
                Some(serde_json::Value::from(fault.identifier()))
            );
        }
        assert_eq!(Fault::from_identifier("unheard_of"), None);
    }
}
