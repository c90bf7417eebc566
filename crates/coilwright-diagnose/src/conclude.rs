//! From the probabilities of the faults to a verdict that a person can act on.

use crate::evidence::{
    Evidence, FieldEvidence, InterferenceEvidence, KeyEvidence, RecordingEvidence, RingEvidence,
};
use crate::faults::{Profile, profile_of};
use crate::result::{Caution, Fault, NextStep, Other, Verdict};
use crate::verdict::weigh;

/// Faults less likely than this are left out of the list of others.
const WORTH_NAMING: f64 = 0.01;

/// The verdict for the evidence; `has_good` says whether a known-good capture was given.
pub(crate) fn verdict(evidence: &Evidence, has_good: bool) -> Verdict {
    let weighed = weigh(evidence);
    let (fault, probability) = weighed.first().copied().unwrap_or((Fault::CannotTell, 1.0));
    let profile = profile_of(fault);
    let words = match (fault, is_ring_down(evidence)) {
        (Fault::None, true) => SOUND_RING,
        (Fault::CannotTell, true) => UNCLEAR_RING_DOWN,
        _ => Words::of(profile),
    };
    Verdict {
        fault,
        probability,
        sentence: words.sentence.to_owned(),
        others: weighed
            .iter()
            .skip(1)
            .filter(|&&(_, probability)| probability >= WORTH_NAMING)
            .map(|&(fault, probability)| Other { fault, probability })
            .collect(),
        cannot_split: profile.cannot_split.to_owned(),
        missing: missing(evidence, has_good),
        next: words
            .next
            .iter()
            .map(|&(action, tells)| NextStep {
                action: action.to_owned(),
                tells: tells.to_owned(),
            })
            .collect(),
    }
}

fn is_ring_down(evidence: &Evidence) -> bool {
    evidence.field == FieldEvidence::NotExpected
}

/// What is said of a fault.
struct Words {
    sentence: &'static str,
    next: &'static [(&'static str, &'static str)],
}

impl Words {
    const fn of(profile: &Profile) -> Self {
        Self {
            sentence: profile.sentence,
            next: profile.next,
        }
    }
}

/// A ring-down of a ring in tune.
const SOUND_RING: Words = Words {
    sentence: "The antenna ring looks sound and in tune; this ring-down says nothing of field and key.",
    next: &[
        (
            "Capture the lock being switched on with the key in place.",
            "It shows whether the ring is driven and whether the key answers; this capture cannot.",
        ),
        (
            "Keep this capture as the ring's known-good one (--against).",
            "A later ring-down held against it shows small changes of resonance and Q.",
        ),
    ],
};

/// A ring-down that does not carry an answer.
const UNCLEAR_RING_DOWN: Words = Words {
    sentence: "This ring-down does not carry the answer on the ring.",
    next: &[
        (
            "Tap the ring again with a shorter pulse and the pickup coil closer, several times in one recording.",
            "Each clean decay adds to the accuracy; a decay that stays within about a cycle points at shorted turns.",
        ),
        (
            "Capture the lock being switched on.",
            "The ring's own edges show its resonance with the driver connected.",
        ),
    ],
};

fn missing(evidence: &Evidence, has_good: bool) -> Vec<String> {
    if is_ring_down(evidence) {
        return missing_in_ring_down(evidence, has_good);
    }
    let mut missing = Vec::new();
    let mut say = |applies: bool, text: &str| {
        if applies {
            missing.push(text.to_owned());
        }
    };
    let field = evidence.field == FieldEvidence::Present;
    say(
        field && evidence.ring == RingEvidence::Unknown,
        "A switch-on or switch-off within the recording: the ring's resonance and Q are read from it. Start recording before the lock is switched on.",
    );
    say(
        field && evidence.key == KeyEvidence::Unknown,
        "A steady field of 0.1 s or more with less noise, to hear a key's answer. Hold the pickup coil closer.",
    );
    say(
        evidence.recording != RecordingEvidence::Fit,
        "A cleaner recording: see what is said of the recording among the findings.",
    );
    say(
        evidence.interference == InterferenceEvidence::Strong,
        "A recording without the interference: switch off converters, chargers and lamps nearby.",
    );
    say(
        !has_good,
        "A known-good capture from the same kind of lock, taken at the same place (--against): it shows a weak drive and parts drift from metal.",
    );
    missing
}

fn missing_in_ring_down(evidence: &Evidence, has_good: bool) -> Vec<String> {
    let several =
        matches!(&evidence.ring, RingEvidence::Rung { nominals, .. } if nominals.len() > 1);
    [
        (
            several,
            "The carrier that the ring is meant for (--nominal 125000 or --nominal 134200): the resonance is held against it.",
        ),
        (
            !has_good,
            "A known-good ring-down or capture of the same kind of ring (--against): it parts drift from metal and shows small changes.",
        ),
        (
            true,
            "A capture of the lock being switched on: only that shows field, drive and key.",
        ),
    ]
    .into_iter()
    .filter(|&(applies, _)| applies)
    .map(|(_, text)| text.to_owned())
    .collect()
}

/// Cautions that apply to the steps that a verdict asks for.
pub(crate) fn cautions(fault: Fault) -> Vec<Caution> {
    match fault {
        Fault::None => vec![Caution::Permission],
        Fault::KeySilent | Fault::KeyWeak | Fault::KeysCollide => {
            vec![Caution::Permission, Caution::Implant]
        }
        Fault::Interference | Fault::CannotTell | Fault::CarrierOff => vec![Caution::Implant],
        Fault::NoField
        | Fault::RingOpen
        | Fault::NotDriven
        | Fault::RingShorted
        | Fault::TurnsShorted
        | Fault::MetalNear
        | Fault::TuningDrifted
        | Fault::DriveWeak
        | Fault::JointIntermittent => vec![
            Caution::ResonantVoltage,
            Caution::Airbag,
            Caution::Battery,
            Caution::Implant,
            Caution::Permission,
        ],
    }
}
