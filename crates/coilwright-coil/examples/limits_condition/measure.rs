//! Measurements of a ring as files of samples and tables, and what readers and estimators make of them.

use crate::bench::{Bench, METER, SAMPLE_RATE_HZ};
use crate::coil::{CARRIER_HZ, Ring};
use crate::swept;
use coilwright_coil::condition::{CoilEvidence, CoilNumbers, Ringing, died_away};
use coilwright_coil::{
    Estimate, FitError, ImpedanceNoise, ImpedanceOptions, OhmmeterReading, Reading,
    RingDownOptions, fit_coil, fit_ring_down,
};
use coilwright_signal::capture::{ReadOptions, open_reader, read_all};
use coilwright_signal::table::{ImpedanceReadOptions, read_impedance_table_from};
use num_complex::Complex64;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write;
use std::io::Cursor;

/// What is measured of a coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Means {
    /// A pulse and its ring-down.
    RingDown,
    /// The same and an ohmmeter across the coil.
    RingDownOhmmeter,
    /// Currents of the ring over frequency.
    Amplitudes,
    /// Reflection of the ring at a port over frequency.
    Reflection,
    /// An impedance meter on the coil, the capacitor by itself, an ohmmeter.
    Impedance,
}

impl Means {
    pub(crate) const ALL: [Self; 5] = [
        Self::RingDown,
        Self::RingDownOhmmeter,
        Self::Amplitudes,
        Self::Reflection,
        Self::Impedance,
    ];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::RingDown => "ring-down",
            Self::RingDownOhmmeter => "ring-down and ohmmeter",
            Self::Amplitudes => "amplitudes over frequency",
            Self::Reflection => "reflection over frequency",
            Self::Impedance => "impedance, capacitor, ohmmeter",
        }
    }
}

pub(crate) fn normal(random: &mut impl Rng) -> f64 {
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

/// All that is measured of a ring.
pub(crate) fn measure(bench: &Bench<'_>, means: Means, random: &mut impl Rng) -> CoilEvidence {
    let mut evidence = CoilEvidence::default();
    match means {
        Means::RingDown | Means::RingDownOhmmeter => ring_down(bench, &mut evidence, random),
        Means::Amplitudes => swept::amplitudes(bench, &mut evidence, random),
        Means::Reflection => swept::reflection(bench, &mut evidence, random),
        Means::Impedance => impedance(bench, &mut evidence, random),
    }
    if matches!(means, Means::RingDownOhmmeter | Means::Impedance) {
        evidence.ohmmeter = Some(ohmmeter(bench, random));
    }
    evidence
}

fn ring_down(bench: &Bench<'_>, evidence: &mut CoilEvidence, random: &mut impl Rng) {
    let snr_db: f64 = random.random_range(35.0..60.0);
    let sigma = 10_f64.powf(-snr_db / 20.0) / 2_f64.sqrt();
    let mut text = String::from("time (s),current (A)\n");
    for (n, x) in bench.ring_down().iter().enumerate() {
        let (t, x) = (n as f64 / SAMPLE_RATE_HZ, x + sigma * normal(random));
        writeln!(text, "{t:.6},{x:.6}").expect("a string takes any text");
    }
    let mut source = open_reader(
        Box::new(Cursor::new(text.into_bytes())),
        "ping.csv",
        &ReadOptions::default(),
    )
    .expect("delimited text");
    let (capture, _) = read_all(&mut *source).expect("samples");
    let rate_hz = capture.info.sample_rate_hz;
    match fit_ring_down(&[&capture.samples], rate_hz, &RingDownOptions::default()) {
        Ok(fit) => {
            evidence.ringing = Ringing::Seen;
            evidence.numbers.resonance_hz = Some(fit.mode.resonance_hz);
            evidence.numbers.q = Some(fit.mode.q);
        }
        Err(FitError::NoRingDown {
            resonance_hz, q, ..
        }) => match died_away(resonance_hz, q) {
            Some([resonance_hz, q]) => {
                evidence.numbers.resonance_hz = Some(resonance_hz);
                evidence.numbers.q = Some(q);
            }
            None => evidence.ringing = Ringing::NoneSeen,
        },
        Err(FitError::NoSignal { .. }) => evidence.ringing = Ringing::NoneSeen,
        Err(_) => {}
    }
}

fn impedance(bench: &Bench<'_>, evidence: &mut CoilEvidence, random: &mut impl Rng) {
    let accuracy = 0.002;
    let (frequencies_hz, clean) = bench.impedances(&METER);
    let mut text = String::from("Frequency (Hz),R (Ohm),X (Ohm)\n");
    for (f, z) in frequencies_hz.iter().zip(clean) {
        let noise = Complex64::new(normal(random), normal(random));
        let z = z + z.norm() * accuracy * noise;
        writeln!(text, "{f},{:.6e},{:.6e}", z.re, z.im).expect("a string takes any text");
    }
    let table = read_impedance_table_from(
        Box::new(Cursor::new(text.into_bytes())),
        "coil.csv",
        &ImpedanceReadOptions::default(),
    )
    .expect("delimited text");
    let options = ImpedanceOptions {
        noise: ImpedanceNoise::Relative(accuracy),
        reference_hz: Some(CARRIER_HZ),
    };
    if let Ok(fit) = fit_coil(&table.frequencies_hz, &table.impedances_ohm, &options) {
        if fit.inductance_henry.value > 3.0 * fit.inductance_henry.std_dev {
            evidence.numbers.inductance_henry = Some(fit.inductance_henry);
        }
        if fit.resistance_ohm.value > 3.0 * fit.resistance_ohm.std_dev {
            evidence.numbers.resistance_ohm = Some(fit.resistance_ohm);
        }
    }
    let capacitance = bench.ring().capacitance_farad;
    evidence.numbers.capacitance_farad = Some(Estimate::new(
        capacitance * (1.0 + 0.003 * normal(random)),
        0.003 * capacitance,
    ));
}

fn ohmmeter(bench: &Bench<'_>, random: &mut impl Rng) -> OhmmeterReading {
    let leads = 0.2;
    let reading = match bench.direct_ohm() {
        None => Reading::OverRange { range_ohm: 20e6 },
        Some(resistance) => {
            let shown = leads + resistance;
            let std_dev = 0.02 + 0.002 * shown;
            Reading::Shown {
                resistance_ohm: Estimate::new(shown + std_dev * normal(random), std_dev),
            }
        }
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
