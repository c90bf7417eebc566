//! From the probabilities of the faults to a verdict that a person can act on.

use crate::evidence::{
    Evidence, FieldEvidence, InterferenceEvidence, KeyEvidence, RecordingEvidence, RingEvidence,
};
use crate::faults::profile_of;
use crate::result::{Caution, Fault, Other, Verdict};
use crate::verdict::weigh;

/// Faults less likely than this are left out of the list of others.
const WORTH_NAMING: f64 = 0.01;

/// The verdict for the evidence; `has_good` says whether a known-good capture was given.
pub(crate) fn verdict(evidence: &Evidence, has_good: bool) -> Verdict {
    let weighed = weigh(evidence);
    let (fault, probability) = weighed.first().copied().unwrap_or((Fault::CannotTell, 1.0));
    let profile = profile_of(fault);
    Verdict {
        fault,
        probability,
        sentence: profile.sentence.to_owned(),
        others: weighed
            .iter()
            .skip(1)
            .filter(|&&(_, probability)| probability >= WORTH_NAMING)
            .map(|&(fault, probability)| Other { fault, probability })
            .collect(),
        cannot_split: profile.cannot_split.to_owned(),
        missing: missing(evidence, has_good),
        next: profile.next_steps(),
    }
}

fn missing(evidence: &Evidence, has_good: bool) -> Vec<String> {
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
