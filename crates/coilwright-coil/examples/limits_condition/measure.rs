//! Measurements of a ring as samples and tables, and what the estimators make of them.

use crate::coil::{CARRIER_HZ, Ring};
use coilwright_coil::condition::{CoilEvidence, CoilNumbers, Condition, Ringing};
use coilwright_coil::{
    Estimate, FitError, ImpedanceNoise, ImpedanceOptions, OhmmeterReading, Reading,
    RingDownOptions, fit_coil, fit_ring_down,
};
use nalgebra::{Matrix3, Vector3};
use num_complex::Complex64;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};

const SAMPLE_RATE_HZ: f64 = 1e6;
const SAMPLES: usize = 1500;

/// What is measured of a coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Means {
    /// A pulse and its ring-down.
    RingDown,
    /// The same and an ohmmeter across the coil.
    RingDownOhmmeter,
    /// An impedance meter on the coil, the capacitor by itself, an ohmmeter.
    Impedance,
}

impl Means {
    pub(crate) const ALL: [Self; 3] = [Self::RingDown, Self::RingDownOhmmeter, Self::Impedance];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::RingDown => "ring-down",
            Self::RingDownOhmmeter => "ring-down and ohmmeter",
            Self::Impedance => "impedance, capacitor, ohmmeter",
        }
    }
}

fn normal(random: &mut impl Rng) -> f64 {
    StandardNormal.sample(random)
}

/// What day, placement and temperature make of a ring.
pub(crate) fn another_day(mut ring: Ring, random: &mut impl Rng) -> Ring {
    let kelvin = 4.0 * normal(random);
    ring.inductance_henry *= 1.0 + 0.001 * normal(random);
    ring.capacitance_farad *= 1.0 + 100e-6 * kelvin + 0.001 * normal(random);
    ring.resistance_ohm *= 1.0 + 0.003_93 * kelvin;
    ring.direct_ohm *= 1.0 + 0.003_93 * kelvin;
    ring.driver_ohm *= 1.0 + 0.03 * normal(random);
    ring
}

/// All that is measured of a ring in a condition.
pub(crate) fn measure(
    ring: &Ring,
    condition: Condition,
    means: Means,
    random: &mut impl Rng,
) -> CoilEvidence {
    let mut evidence = CoilEvidence::default();
    if means == Means::Impedance {
        impedance(ring, condition, &mut evidence, random);
    } else {
        ring_down(ring, condition, &mut evidence, random);
    }
    if means != Means::RingDown {
        evidence.ohmmeter = Some(ohmmeter(ring, condition, random));
    }
    evidence
}

fn ring_down(
    ring: &Ring,
    condition: Condition,
    evidence: &mut CoilEvidence,
    random: &mut impl Rng,
) {
    let samples = samples(ring, condition, random);
    match fit_ring_down(&[&samples], SAMPLE_RATE_HZ, &RingDownOptions::default()) {
        Ok(fit) => {
            evidence.ringing = Ringing::Seen;
            evidence.numbers.resonance_hz = Some(fit.mode.resonance_hz);
            evidence.numbers.q = Some(fit.mode.q);
        }
        Err(FitError::NoSignal { .. }) => evidence.ringing = Ringing::NoneSeen,
        Err(FitError::NoRingDown {
            resonance_hz, q, ..
        }) => {
            evidence.numbers.resonance_hz = damped(resonance_hz);
            evidence.numbers.q = damped(q);
        }
        Err(_) => {}
    }
}

/// What a decay within a cycle says: known to a third at best.
fn damped(estimate: Estimate) -> Option<Estimate> {
    let std_dev = estimate.std_dev.max(0.3 * estimate.value);
    (estimate.value > 0.0).then(|| Estimate::new(estimate.value, std_dev.min(estimate.value)))
}

/// The current after the capacitor was charged, from the circuit's equations by the exponential of their matrix.
fn samples(ring: &Ring, condition: Condition, random: &mut impl Rng) -> Vec<f32> {
    let snr_db: f64 = random.random_range(35.0..60.0);
    let sigma = 10_f64.powf(-snr_db / 20.0) / 2_f64.sqrt();
    let mut clean = vec![0.0; SAMPLES];
    if !matches!(condition, Condition::Open | Condition::Shorted) {
        let (l2, r2, m) = ring.beside.map_or((1.0, 1.0, 0.0), |l| {
            (l.inductance_henry, l.resistance_ohm, l.mutual_henry)
        });
        let (l, r) = (ring.inductance_henry, ring.resistance_ohm + ring.driver_ohm);
        // L i' + M i₂' = −R i − q/C,  M i' + L₂ i₂' = −R₂ i₂,  q' = i
        let d = l * l2 - m * m;
        let c = ring.capacitance_farad;
        let matrix = Matrix3::new(
            0.0,
            1.0,
            0.0,
            -l2 / (c * d),
            -l2 * r / d,
            m * r2 / d,
            m / (c * d),
            m * r / d,
            -l * r2 / d,
        );
        let step = (matrix / SAMPLE_RATE_HZ).exp();
        let mut state = Vector3::new(c, 0.0, 0.0);
        for sample in &mut clean {
            *sample = state[1];
            state = step * state;
        }
    }
    let peak = clean.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
    let scale = if peak > 0.0 { peak.recip() } else { 0.0 };
    clean
        .into_iter()
        .map(|x| (scale * x + sigma * normal(random)) as f32)
        .collect()
}

fn impedance(
    ring: &Ring,
    condition: Condition,
    evidence: &mut CoilEvidence,
    random: &mut impl Rng,
) {
    let accuracy = 0.002;
    let frequencies_hz: Vec<f64> = (0..25).map(|n| 60e3 + 5e3 * f64::from(n)).collect();
    let stray = 30e-12;
    let impedances: Vec<Complex64> = frequencies_hz
        .iter()
        .map(|&f| {
            let omega = std::f64::consts::TAU * f;
            let coil = match condition {
                Condition::Open => Complex64::new(1e9, 0.0),
                Condition::Shorted => Complex64::new(0.1, omega * 0.3e-6),
                _ => ring.coil_ohm(f),
            };
            let z = coil / (1.0 + Complex64::new(0.0, omega * stray) * coil);
            let noise = Complex64::new(normal(random), normal(random));
            z + z.norm() * accuracy * noise
        })
        .collect();
    let options = ImpedanceOptions {
        noise: ImpedanceNoise::Relative(accuracy),
        reference_hz: Some(CARRIER_HZ),
    };
    if let Ok(fit) = fit_coil(&frequencies_hz, &impedances, &options) {
        if fit.inductance_henry.value > 3.0 * fit.inductance_henry.std_dev {
            evidence.numbers.inductance_henry = Some(fit.inductance_henry);
        }
        if fit.resistance_ohm.value > 3.0 * fit.resistance_ohm.std_dev {
            evidence.numbers.resistance_ohm = Some(fit.resistance_ohm);
        }
    }
    let capacitance = ring.capacitance_farad;
    evidence.numbers.capacitance_farad = Some(Estimate::new(
        capacitance * (1.0 + 0.003 * normal(random)),
        0.003 * capacitance,
    ));
}

fn ohmmeter(ring: &Ring, condition: Condition, random: &mut impl Rng) -> OhmmeterReading {
    let leads = 0.2;
    let shown = match condition {
        Condition::Shorted => leads + 0.02,
        _ => leads + ring.direct_ohm,
    };
    let std_dev = 0.02 + 0.002 * shown;
    let reading = match condition {
        Condition::Open => Reading::OverRange { range_ohm: 20e6 },
        _ => Reading::Shown {
            resistance_ohm: Estimate::new(shown + std_dev * normal(random), std_dev),
        },
    };
    OhmmeterReading {
        reading,
        leads_ohm: Estimate::new(leads, 0.02),
        temperature_celsius: Estimate::new(20.0, 4.0),
    }
}

/// A reference's numbers: what was measured on it, with the ohmmeter's reading as a number.
pub(crate) fn reference_numbers(evidence: &CoilEvidence, ring: &Ring) -> CoilNumbers {
    CoilNumbers {
        direct_ohm: evidence
            .ohmmeter
            .map(|_| Estimate::new(ring.direct_ohm, 0.02 + 0.002 * ring.direct_ohm)),
        ..evidence.numbers
    }
}
