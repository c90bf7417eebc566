use super::evidence::{CoilEvidence, Ringing};
use super::finding::{Finding, Side, meaning};
use super::hypothesis::{Case, Hypothesis, Prediction, SoundCoil};
use super::likelihood::{Compared, Likelihood, ohmmeter, ringing, seen_or_not};
use super::number::{COUNT, Number};
use super::standard::{Expected, Standard};
use super::{capacitor_drifted, metal_near, open, other, shorted, sound, turns_shorted};
use crate::impedance::LEAST_OPEN_OHM;
use crate::{Estimate, FitError, OhmmeterEvidence, ohmmeter_evidence};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A coil is called sound only when that is at least so probable.
const SOUND_FROM: f64 = 0.9;
/// A fault is named when it is at least so probable.
const FAULT_FROM: f64 = 0.7;
/// Q of a ring where neither standard nor measurement says (common practice, no source).
const USUAL_Q: f64 = 30.0;
/// Standard deviations between expected value and limit: 1 sound number in 370 lies outside.
const LIMIT: f64 = 3.0;

/// What is the matter with a coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Condition {
    /// Nothing.
    Sound,
    /// Wire or joint broken.
    Open,
    /// Terminals bridged.
    Shorted,
    /// Some turns bridged.
    TurnsShorted,
    /// The tuning capacitor has another value.
    CapacitorDrifted,
    /// Metal near the coil.
    MetalNear,
    /// The numbers do not say, or fit none of the faults that are named.
    CannotTell,
}

/// One condition and how probable it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Likely {
    /// The condition; [`Condition::CannotTell`] stands for all that is not modelled.
    pub condition: Condition,
    /// Probability; they sum to one.
    pub probability: f64,
    /// How large the fault would be: part of the turns, relative drift of the capacitance, relative change of the inductance.
    pub size: Option<Estimate>,
    /// The same in words.
    pub size_text: Option<String>,
    /// What happens in the coil.
    pub physics: &'static str,
    /// What would confirm it.
    pub confirm: &'static str,
}

/// What is the matter with a coil, how sure that is and why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CoilVerdict {
    /// The condition: sound from a probability of 0.9, a fault from 0.7, otherwise cannot tell.
    pub condition: Condition,
    /// Its probability; for "cannot tell" that of the likeliest.
    pub probability: f64,
    /// All conditions that could have been, the likeliest first; a coil measured without a capacitor has none that drifted.
    pub likely: Vec<Likely>,
    /// What was seen.
    pub findings: Vec<Finding>,
}

/// Judges a coil's condition from whatever was measured, against a reference coil, a design or plain limits.
///
/// Each condition changes inductance, capacitance and resistance by an unknown size; the probability of what was measured is added up over the
/// sizes, with the uncertainties of measurement and standard and their correlations, and weighed with how common the condition is
/// (Bayes). `turns`, the coil's number of turns, only turns a part of the turns into a number.
///
/// Give numbers that were measured like the standard's: both loaded or both unloaded, at the same frequency.
///
/// # Errors
///
/// [`FitError`] for numbers, limits or readings that make no sense. Nothing measured is no error: then it cannot tell.
///
/// ```
/// use coilwright_coil::Estimate;
/// use coilwright_coil::condition::{CoilEvidence, CoilNumbers, Condition, Standard, judge_coil};
/// let numbers = |f0: f64, q: f64| CoilNumbers {
///     resonance_hz: Some(Estimate::new(f0, 20.0)), q: Some(Estimate::new(q, 0.1)), ..CoilNumbers::default()
/// };
/// let standard = Standard::Reference(numbers(125_000.0, 28.0));
/// let judged = |f0, q| {
///     let evidence = CoilEvidence { numbers: numbers(f0, q), ..CoilEvidence::default() };
///     judge_coil(&evidence, &standard, None)
/// };
/// assert_eq!(judged(125_100.0, 27.5)?.condition, Condition::Sound);
/// assert_eq!(judged(131_000.0, 28.4)?.condition, Condition::CapacitorDrifted);
/// assert_eq!(judged(148_000.0, 3.9)?.condition, Condition::TurnsShorted);
/// # Ok::<(), coilwright_coil::FitError>(())
/// ```
pub fn judge_coil(
    evidence: &CoilEvidence,
    standard: &Standard,
    turns: Option<f64>,
) -> Result<CoilVerdict, FitError> {
    let expected = standard.expected()?;
    let scene = Scene::new(evidence, &expected, turns)?;
    let hypotheses: [&dyn Hypothesis; 7] = [
        &sound::Sound,
        &open::Open,
        &shorted::Shorted,
        &turns_shorted::TurnsShorted,
        &capacitor_drifted::CapacitorDrifted,
        &metal_near::MetalNear,
        &other::Other,
    ];
    let hypotheses: Vec<&dyn Hypothesis> = hypotheses
        .into_iter()
        .filter(|h| h.condition() != Condition::CapacitorDrifted || scene.has_capacitor())
        .collect();
    let weighed: Vec<(f64, Option<Estimate>)> =
        hypotheses.iter().map(|h| scene.weigh(*h)).collect();
    let total: f64 = weighed.iter().map(|(weight, _)| weight).sum();
    let mut likely: Vec<Likely> = hypotheses
        .iter()
        .zip(weighed)
        .map(|(h, (weight, size))| Likely {
            condition: h.condition(),
            probability: weight / total.max(f64::MIN_POSITIVE),
            size,
            size_text: size.and_then(|size| h.size_text(size, &scene.coil)),
            physics: h.physics(),
            confirm: h.confirm(),
        })
        .collect();
    likely.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let findings = scene.findings();
    let (condition, probability) = match verdict(&likely) {
        (Condition::Sound, probability) if scene.breaks_a_limit(&findings) => {
            (Condition::CannotTell, probability)
        }
        other => other,
    };
    Ok(CoilVerdict {
        condition,
        probability,
        likely,
        findings,
    })
}

fn verdict(likely: &[Likely]) -> (Condition, f64) {
    let Some(first) = likely.first() else {
        return (Condition::CannotTell, 0.0);
    };
    let needed = match first.condition {
        Condition::Sound => SOUND_FROM,
        _ => FAULT_FROM,
    };
    if first.probability >= needed {
        (first.condition, first.probability)
    } else {
        (Condition::CannotTell, first.probability)
    }
}

/// All that the hypotheses are weighed by.
struct Scene {
    expected: Expected,
    compared: Compared,
    measured: [Option<Estimate>; COUNT],
    ringing: Ringing,
    /// What an ohmmeter showed.
    read: Option<OhmmeterEvidence>,
    /// The same, or what it would show.
    ohmmeter: Option<OhmmeterEvidence>,
    open_circuit: bool,
    coil: SoundCoil,
}

impl Scene {
    fn new(
        evidence: &CoilEvidence,
        expected: &Expected,
        turns: Option<f64>,
    ) -> Result<Self, FitError> {
        let mut numbers = evidence.numbers;
        let read = match &evidence.ohmmeter {
            Some(reading) => {
                let direct = expected.value(Number::DirectResistance);
                Some(shorted::path(ohmmeter_evidence(reading, None)?, direct))
            }
            None => None,
        };
        let implied = OhmmeterEvidence::Open {
            above_ohm: LEAST_OPEN_OHM,
        };
        let ohmmeter = read.or_else(|| evidence.open_circuit.then_some(implied));
        if let Some(OhmmeterEvidence::Winding {
            at_20_celsius_ohm, ..
        }) = ohmmeter
        {
            numbers.direct_ohm = Some(at_20_celsius_ohm);
        }
        numbers.check()?;
        let measured = numbers.all();
        let mut compared = Compared {
            indices: Vec::new(),
            ratios: Vec::new(),
            measured: Vec::new(),
        };
        for (index, (found, wanted)) in measured.iter().zip(expected.values).enumerate() {
            if let (Some(found), Some(wanted)) = (found, wanted) {
                compared.indices.push(index);
                compared.ratios.push((found.value / wanted).ln());
                compared.measured.push(found.std_dev / found.value);
            }
        }
        let q = expected
            .value(Number::Q)
            .or(numbers.q.map(|q| q.value))
            .unwrap_or(USUAL_Q);
        let reactance = expected
            .value(Number::Resonance)
            .zip(expected.value(Number::Inductance))
            .map(|(f, l)| TAU * f * l);
        Ok(Self {
            coil: SoundCoil {
                q,
                direct_q: reactance
                    .zip(expected.value(Number::DirectResistance))
                    .map(|(x, r)| x / r),
                inductance_spread: expected.spread(Number::Inductance),
                capacitance_spread: expected.spread(Number::Capacitance),
                turns,
            },
            expected: *expected,
            compared,
            measured,
            ringing: evidence.ringing,
            read,
            ohmmeter,
            open_circuit: evidence.open_circuit,
        })
    }

    /// Whether a number lies outside a limit that was given as it stands; however unsure it is, such a coil is not called sound.
    fn breaks_a_limit(&self, findings: &[Finding]) -> bool {
        let limited = self.expected.limits.iter().any(Option::is_some);
        limited
            && findings
                .iter()
                .any(|f| matches!(f, Finding::Number { .. }) && f.is_deviation())
    }

    /// Whether anything was looked at that a tuning capacitor takes part in; a coil by itself has none that could drift.
    fn has_capacitor(&self) -> bool {
        let tuned = [Number::Resonance, Number::Capacitance];
        let place = |index: &usize| Number::ALL.get(*index).is_some_and(|n| tuned.contains(n));
        self.ringing != Ringing::NotTried || self.compared.indices.iter().any(place)
    }

    /// Prior times probability of what was measured, and the mean size.
    fn weigh(&self, hypothesis: &dyn Hypothesis) -> (f64, Option<Estimate>) {
        let direct = self.expected.value(Number::DirectResistance);
        let prior =
            hypothesis.prior() * ohmmeter(self.ohmmeter.as_ref(), hypothesis.direct_path(), direct);
        let (weight, size) = self.explain(hypothesis, &hypothesis.predict(&self.coil));
        (prior * weight, size)
    }

    /// Probability of what was measured, the ohmmeter apart, and the mean size.
    fn explain(
        &self,
        hypothesis: &dyn Hypothesis,
        prediction: &Prediction,
    ) -> (f64, Option<Estimate>) {
        match prediction {
            Prediction::Loose(density) => {
                let each = self.compared.indices.iter().zip(&self.compared.ratios);
                let numbers: f64 = each.map(|(&i, &ratio)| density(i, ratio)).product();
                let ringing = seen_or_not(self.ringing, hypothesis.seen_ringing());
                (numbers * ringing, None)
            }
            Prediction::Cases { cases, model } => {
                let Some(likelihood) = Likelihood::new(&self.compared, &self.expected, model)
                else {
                    return (0.0, None);
                };
                let weights: Vec<f64> = cases
                    .iter()
                    .map(|case| {
                        let [_, q, ..] = case.state.numbers();
                        let q = self.coil.q * q.exp();
                        case.weight * likelihood.density(case) * ringing(self.ringing, q)
                    })
                    .collect();
                let total: f64 = weights.iter().sum();
                (total, mean_size(cases, &weights, total))
            }
            Prediction::Either(both) => {
                let each = both.each_ref().map(|one| self.explain(hypothesis, one).0);
                (0.5 * each.iter().sum::<f64>(), None)
            }
        }
    }

    fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        if self.ringing == Ringing::NoneSeen {
            findings.push(Finding::no_ring());
        }
        if self.open_circuit {
            findings.push(Finding::open_circuit());
        }
        findings.extend(self.read.map(Finding::ohmmeter));
        let covariance = self.compared.covariance(&self.expected, &[0.0; COUNT]);
        for (row, &index) in self.compared.indices.iter().enumerate() {
            let spread = covariance[(row, row)].sqrt();
            findings.extend(self.number(index, spread));
        }
        findings
    }

    fn number(&self, index: usize, spread: f64) -> Option<Finding> {
        let number = *Number::ALL.get(index)?;
        let measured = (*self.measured.get(index)?)?;
        let own = (spread * spread - (measured.std_dev / measured.value).powi(2)).max(0.0);
        let expected = self.expected.estimate(index, own.sqrt())?;
        let (low, high) = if let Some(range) = self.expected.limits.get(index)? {
            (range.low, range.high)
        } else {
            let reach = (LIMIT * spread).exp();
            (expected.value / reach, expected.value * reach)
        };
        let side = if measured.value < low {
            Side::Below
        } else if measured.value > high {
            Side::Above
        } else {
            Side::Within
        };
        let (physics, confirm) = meaning(number, side);
        Some(Finding::Number {
            number,
            measured,
            expected,
            low,
            high,
            side,
            origin: self.expected.origin,
            physics,
            confirm,
        })
    }
}

/// Mean and spread of the size over the cases; none where there is only one.
fn mean_size(cases: &[Case], weights: &[f64], total: f64) -> Option<Estimate> {
    if cases.len() < 2 || total <= 0.0 {
        return None;
    }
    let mean = |of: &dyn Fn(f64) -> f64| {
        cases
            .iter()
            .zip(weights)
            .map(|(case, weight)| weight * of(case.size))
            .sum::<f64>()
            / total
    };
    let centre = mean(&|size| size);
    let spread = mean(&|size| (size - centre).powi(2)).sqrt();
    Some(Estimate::new(centre, spread))
}
