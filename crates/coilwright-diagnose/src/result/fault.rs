use serde::Serialize;

/// What may be wrong. The identifiers are part of the JSON form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// Field and key are healthy; the pairing data is next.
    None,
    /// No field: the ring is open or it is not driven; one capture cannot split these.
    NoField,
    /// The ring or its lead is open, proved by more than a capture.
    RingOpen,
    /// The ring is not driven, proved by more than a capture.
    NotDriven,
    /// The ring's terminals are shorted.
    RingShorted,
    /// Turns of the ring are shorted.
    TurnsShorted,
    /// Metal near the ring spoils the field.
    MetalNear,
    /// The ring's tuning has drifted.
    TuningDrifted,
    /// The drive is weak against a known-good capture.
    DriveWeak,
    /// A joint makes contact only now and then.
    JointIntermittent,
    /// The carrier is off its nominal frequency.
    CarrierOff,
    /// No key answers: absent or mute.
    KeySilent,
    /// A key answers, but weakly or off tune.
    KeyWeak,
    /// Two keys answer at once.
    KeysCollide,
    /// Interference hides the key or the field.
    Interference,
    /// The capture does not carry the answer.
    CannotTell,
}

impl Fault {
    /// All faults, in the order of the documentation.
    pub const ALL: [Self; 16] = [
        Self::None,
        Self::NoField,
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

    /// The identifier used in JSON and on the command line.
    ///
    /// ```
    /// use coilwright_diagnose::Fault;
    /// assert_eq!(Fault::MetalNear.id(), "metal_near");
    /// ```
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::NoField => "no_field",
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
}
