//! The limits that findings are held against, each with its origin.

/// A limit and where it comes from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Limit {
    /// The limit.
    pub value: f64,
    /// Its origin, as findings print it.
    pub origin: &'static str,
}

/// Largest share by which a carrier may be off nominal.
///
/// The half-duplex chip NCD1015-50RO asks for 134.2 kHz ± 1 kHz, which is 0.75 %; no source was found for 125 kHz.
pub(crate) const CARRIER_OFFSET: Limit = Limit {
    value: 0.0075,
    origin: "134.2 kHz ± 1 kHz, data sheet NCD1015-50RO cl. 2.1; the same share at 125 kHz: common practice, no source",
};

/// Level over full scale under which a carrier may be only the driver's residue, in decibels.
pub(crate) const LOW_LEVEL_DB: Limit = Limit {
    value: -40.0,
    origin: "broken rings leave millivolts against volts (simulated circuits), with a recorder set for a working lock",
};

/// Third harmonic over fundamental that a working ring stays under, in decibels.
pub(crate) const THIRD_HARMONIC_DB: Limit = Limit {
    value: -7.0,
    origin: "highest of simulated healthy rings; broken rings lie at -13 to +16 dB",
};

/// Share by which a ring may be off its carrier.
pub(crate) const DETUNING: Limit = Limit {
    value: 0.04,
    origin: "common practice, no source",
};

/// Loaded Q under which a ring is called damped.
pub(crate) const LOW_Q: Limit = Limit {
    value: 4.0,
    origin: "usual rings have 5 to 40: common practice, no source",
};

/// Depth of modulation under which a key is called weak: half of 0.8 % peak to peak.
pub(crate) const LOW_DEPTH: Limit = Limit {
    value: 0.004,
    origin: "simulated keys within a ring: 0.8 to 17 % peak to peak",
};

/// Depth that a recording must be able to show before "no key" can be said.
pub(crate) const VISIBLE_DEPTH: Limit = Limit {
    value: 0.01,
    origin: "usual keys modulate by more: coupled-circuit simulation",
};

/// Share of level by which a known-good capture may differ.
pub(crate) const LEVEL_CHANGE: Limit = Limit {
    value: 0.3,
    origin: "the pickup is never put back in exactly the same place: common practice, no source",
};

/// Share of resonance by which a known-good capture may differ.
pub(crate) const RESONANCE_CHANGE: Limit = Limit {
    value: 0.02,
    origin: "a key in the field pulls the resonance by up to 1 %: coupled-circuit simulation",
};

/// Share of Q by which a known-good capture may differ.
pub(crate) const Q_CHANGE: Limit = Limit {
    value: 0.3,
    origin: "a key in the field changes Q by -15 to +28 %: coupled-circuit simulation",
};
