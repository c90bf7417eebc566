//! From evidence to verdict: Bayes' rule over the faults' profiles.

use crate::density::ln_density;
use crate::evidence::{
    AgainstEvidence, DropoutEvidence, Evidence, FieldEvidence, InterferenceEvidence, KeyEvidence,
    RecordingEvidence, RingEvidence,
};
use crate::faults::{PROFILES, Profile};
use crate::result::Fault;

/// Probability of each fault given the evidence, the likeliest first; the probabilities add up to 1.
///
/// `p(fault | evidence) ∝ p(fault) ∏ p(evidence_i | fault)`, with the pieces of evidence taken as independent under a
/// fault. They are not quite; [`MODEL_ERROR`] covers what that and the profiles leave out.
pub(crate) fn weigh(evidence: &Evidence) -> Vec<(Fault, f64)> {
    let scores: Vec<(Fault, f64)> = PROFILES
        .iter()
        .filter(|profile| {
            evidence.field != FieldEvidence::NotExpected
                || SHOWN_BY_RING_DOWN.contains(&profile.fault)
        })
        .map(|profile| {
            let likelihood = ln_likelihood(profile, evidence);
            (profile.fault, profile.prior.ln() + likelihood)
        })
        .collect();
    normalise(scores)
}

/// Faults that the ring's own ringing can show or deny; the others need a field.
const SHOWN_BY_RING_DOWN: [Fault; 5] = [
    Fault::None,
    Fault::TurnsShorted,
    Fault::MetalNear,
    Fault::TuningDrifted,
    Fault::CannotTell,
];

/// Probability that the profiles do not describe the call at all, spread evenly over the faults.
///
/// Chosen by maximum likelihood of the truth on 2250 simulated calls (seeds 30000000 of `examples/accuracy`), among 0.5 to 10 % and together
/// with a scale of the log-likelihood, for which 1 came out best: of the verdicts stated between 0.7 and 0.9, 85 % were right there. No verdict
/// from one capture can be surer than this leaves.
const MODEL_ERROR: f64 = 0.1;

fn normalise(mut scores: Vec<(Fault, f64)>) -> Vec<(Fault, f64)> {
    let top = scores
        .iter()
        .map(|score| score.1)
        .fold(f64::NEG_INFINITY, f64::max);
    for score in &mut scores {
        score.1 = (score.1 - top).exp();
    }
    let total: f64 = scores.iter().map(|score| score.1).sum();
    let even = (scores.len() as f64).recip();
    for score in &mut scores {
        score.1 = (1.0 - MODEL_ERROR) * score.1 / total + MODEL_ERROR * even;
    }
    scores.sort_by(|a, b| b.1.total_cmp(&a.1));
    scores
}

/// Range over which a third harmonic may lie, in decibels.
const HARMONIC_RANGE_DB: f64 = 100.0;
/// Range over which a carrier's level may lie, in decibels.
const LEVEL_RANGE_DB: f64 = 120.0;
/// How finely the setting of a recorder is known, in decibels.
const LEVEL_ERROR_DB: f64 = 3.0;
/// Range of the carrier's offset from nominal.
const OFFSET_RANGE: f64 = 0.4;
/// Range of `ln(f0 / carrier)`.
const DETUNING_RANGE: f64 = 1.0;
/// Range of `ln(Q)`, from 0.5 to 150.
const LN_Q_RANGE: f64 = 5.7;
/// Range of `ln(depth)`, from 0.01 % to 100 %.
const LN_DEPTH_RANGE: f64 = 9.2;
/// Range of `ln(level ratio)`.
const LN_LEVEL_RANGE: f64 = 8.0;
/// How finely a population is known that is measured without stated error: third harmonic, decibels.
const HARMONIC_ERROR_DB: f64 = 1.0;
/// The same for `ln(depth)`.
const LN_DEPTH_ERROR: f64 = 0.1;
/// The same for `ln(level)`: the pickup is never put back in exactly the same place.
const LN_LEVEL_ERROR: f64 = 0.1;

fn ln_likelihood(profile: &Profile, evidence: &Evidence) -> f64 {
    let field = match evidence.field {
        FieldEvidence::Present => profile.field[0],
        FieldEvidence::Trace => profile.field[1],
        FieldEvidence::Absent => profile.field[2],
        FieldEvidence::NotExpected => 1.0,
    };
    let interference = match evidence.interference {
        InterferenceEvidence::None => profile.interference[0],
        InterferenceEvidence::Mild => profile.interference[1],
        InterferenceEvidence::Strong => profile.interference[2],
    };
    let recording = match evidence.recording {
        RecordingEvidence::Fit => profile.recording[0],
        RecordingEvidence::Doubtful => profile.recording[1],
        RecordingEvidence::Unfit => profile.recording[2],
    };
    let dropouts = match evidence.dropouts {
        DropoutEvidence::None => profile.dropouts[0],
        DropoutEvidence::Doubtful => profile.dropouts[1],
        DropoutEvidence::Irregular => profile.dropouts[2],
        DropoutEvidence::Unknown => 1.0,
    };
    let harmonic = evidence.third_harmonic_db.map_or(0.0, |level| {
        ln_density(
            profile.third_harmonic_db,
            level,
            HARMONIC_ERROR_DB,
            HARMONIC_RANGE_DB,
        )
    });
    let level = evidence.level_db.map_or(0.0, |level| {
        ln_density(profile.level_db, level, LEVEL_ERROR_DB, LEVEL_RANGE_DB)
    });
    let offset = evidence.carrier_offset.map_or(0.0, |offset| {
        ln_density(profile.carrier_offset, offset, 0.0, OFFSET_RANGE)
    });
    field.ln()
        + interference.ln()
        + recording.ln()
        + dropouts.ln()
        + level
        + harmonic
        + offset
        + ln_ring(profile, &evidence.ring)
        + ln_key(profile, evidence.key)
        + evidence
            .against
            .map_or(0.0, |against| ln_against(profile, against))
}

fn ln_ring(profile: &Profile, ring: &RingEvidence) -> f64 {
    match ring {
        RingEvidence::Measured { detuning, ln_q } => {
            profile.ring[0].ln()
                + ln_density(
                    profile.detuning,
                    detuning.value,
                    detuning.std_dev,
                    DETUNING_RANGE,
                )
                + ln_density(profile.ln_q, ln_q.value, ln_q.std_dev, LN_Q_RANGE)
        }
        RingEvidence::Rung { nominals, ln_q } => {
            let over_nominals: f64 = nominals
                .iter()
                .map(|against| {
                    let detuning = against.detuning;
                    against.share
                        * ln_density(
                            profile.detuning,
                            detuning.value,
                            detuning.std_dev,
                            DETUNING_RANGE,
                        )
                        .exp()
                })
                .sum();
            profile.ring[0].ln()
                + over_nominals.ln()
                + ln_density(profile.ln_q, ln_q.value, ln_q.std_dev, LN_Q_RANGE)
        }
        RingEvidence::Gone => profile.ring[1].ln(),
        RingEvidence::Unexplained => profile.ring[2].ln(),
        RingEvidence::Foreign => profile.ring[3].ln(),
        RingEvidence::Unknown => 0.0,
    }
}

fn ln_key(profile: &Profile, key: KeyEvidence) -> f64 {
    let depth =
        |ln_depth: f64| ln_density(profile.ln_depth, ln_depth, LN_DEPTH_ERROR, LN_DEPTH_RANGE);
    match key {
        KeyEvidence::Reads { ln_depth } => profile.key[0].ln() + depth(ln_depth),
        KeyEvidence::Unreadable { ln_depth } => profile.key[1].ln() + depth(ln_depth),
        KeyEvidence::Collide => profile.key[2].ln(),
        KeyEvidence::Silent => profile.key[3].ln(),
        KeyEvidence::Unknown => 0.0,
    }
}

fn ln_against(profile: &Profile, against: AgainstEvidence) -> f64 {
    let level = against.ln_level.map_or(0.0, |level| {
        ln_density(profile.against_level, level, LN_LEVEL_ERROR, LN_LEVEL_RANGE)
    });
    let resonance = against.ln_resonance.map_or(0.0, |ratio| {
        ln_density(
            profile.against_resonance,
            ratio.value,
            ratio.std_dev,
            DETUNING_RANGE,
        )
    });
    let q = against.ln_q.map_or(0.0, |ratio| {
        ln_density(profile.against_q, ratio.value, ratio.std_dev, LN_Q_RANGE)
    });
    level + resonance + q
}
