use coilwright_diagnose::Fault;
use coilwright_diagnose::result::{SignalKind, Tail};

/// A fault in a few plain words.
pub(crate) const fn fault_words(fault: Fault) -> &'static str {
    match fault {
        Fault::None => "field and key healthy",
        Fault::NoField => "no field: ring open or not driven",
        Fault::RingOpen => "ring open",
        Fault::NotDriven => "ring not driven",
        Fault::RingShorted => "ring shorted at its terminals",
        Fault::TurnsShorted => "shorted turns in the ring",
        Fault::MetalNear => "metal near the ring",
        Fault::TuningDrifted => "tuning drifted",
        Fault::DriveWeak => "drive weak",
        Fault::JointIntermittent => "intermittent joint",
        Fault::CarrierOff => "carrier off frequency",
        Fault::KeySilent => "key absent or mute",
        Fault::KeyWeak => "key weak or off tune",
        Fault::KeysCollide => "two keys answering at once",
        Fault::Interference => "interference",
        Fault::CannotTell => "something this capture does not show",
    }
}

/// The kind of signal in a few plain words.
pub(crate) const fn signal_words(kind: SignalKind) -> &'static str {
    match kind {
        SignalKind::Direct => "carrier seen directly",
        SignalKind::Aliased => "carrier seen folded",
        SignalKind::Envelope => "envelope from a diode detector",
        SignalKind::ComplexBaseband => "complex samples round the carrier",
        SignalKind::RingDown => "ring-down, without a drive",
        SignalKind::NoCarrier => "no carrier in it",
    }
}

/// What the tail tells, in a few plain words.
pub(crate) const fn tail_words(tail: Tail) -> &'static str {
    match tail {
        Tail::Free => "it rings freely after switch-off",
        Tail::Held => "the driver does not let the tail ring freely",
        Tail::Gone => "the tail dies within about a cycle",
        Tail::Foreign => "what rings on is too weak to be the ring",
        Tail::NotSeen => "no tail was seen",
    }
}

/// The frame's type in words; an unknown type by its own name.
pub(crate) fn frame_words(kind: &str) -> &str {
    match kind {
        "read_only_64" => "64-bit read-only",
        "fdx_b" => "FDX-B",
        "hdx" => "HDX",
        "sia_26" => "26-bit SIA",
        other => other,
    }
}

/// The modulation and its subcarriers in words; none for a load that the line code itself switches, as most do.
pub(crate) fn modulation_words(modulation: &str, subcarrier_clocks: &[u32]) -> Option<String> {
    let divided: Vec<String> = subcarrier_clocks
        .iter()
        .map(|clocks| format!("RF/{clocks}"))
        .collect();
    match modulation {
        "ask" => None,
        "half_duplex" => Some("two tones after the field".to_owned()),
        other => Some(format!(
            "{} {}",
            other.to_uppercase(),
            divided.join(" and ")
        )),
    }
}

/// The line code in words; an unknown code by its own name.
pub(crate) fn line_code_words(code: &str) -> &str {
    match code {
        "manchester" => "Manchester",
        "biphase_space" | "biphase" => "biphase",
        "manchester_or_biphase" => "Manchester or biphase",
        "biphase_mark" => "biphase (mark)",
        "differential_biphase" => "differential biphase",
        "miller" => "Miller",
        "nrz" => "NRZ",
        other => other,
    }
}
