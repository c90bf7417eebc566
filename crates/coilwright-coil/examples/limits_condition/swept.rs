//! A ring measured in frequency: amplitudes, or reflection at a port, as files and what readers and estimators make of them.
//!
//! A resonance that is found is evidence by its numbers alone, as the command has it: however low Q is, a sweep shows it.

use crate::bench::{Bench, Grid};
use crate::measure::normal;
use coilwright_coil::condition::{CoilEvidence, Ringing};
use coilwright_coil::{
    FitError, OnePort, Quantity, ReflectionOptions, SeriesRingFit, SweepOptions,
    fit_amplitude_sweep, fit_one_port,
};
use coilwright_signal::table::{read_sweep_table_from, read_touchstone_from};
use num_complex::Complex64;
use rand::Rng;
use std::fmt::Write;
use std::io::Cursor;

/// Where a ring is swept.
const SWEPT: Grid = Grid {
    low_hz: 40e3,
    high_hz: 500e3,
    count: 461,
    clips_farad: 0.0,
};
/// Noise of an amplitude over the sound ring's peak, and over itself.
const FLOOR: f64 = 1e-3;
const ACCURACY: f64 = 2e-3;
/// Noise of each part of a reflection, and the port's resistance.
const REFLECTION: f64 = 1e-3;
const PORT_OHM: f64 = 50.0;

/// Currents of the ring from a generator, over the sound ring's at its resonance.
pub(crate) fn amplitudes(bench: &Bench<'_>, evidence: &mut CoilEvidence, random: &mut impl Rng) {
    let (frequencies_hz, impedances) = bench.ring_impedances(&SWEPT);
    let sound_ohm = bench.sound.resistance_ohm + bench.sound.driver_ohm;
    let mut text = String::from("Frequency (Hz),Current (A)\n");
    for (f, z) in frequencies_hz.iter().zip(impedances) {
        let clean = sound_ohm / z.norm();
        let noise = FLOOR * normal(random) + ACCURACY * clean * normal(random);
        writeln!(text, "{f},{:.9e}", (clean + noise).abs()).expect("a string takes any text");
    }
    let table = read_sweep_table_from(Box::new(Cursor::new(text.into_bytes())), "sweep.csv")
        .expect("delimited text");
    let options = SweepOptions {
        quantity: Quantity::Current,
    };
    match fit_amplitude_sweep(&table.frequencies_hz, &table.amplitudes, &options) {
        Ok(fit) => {
            evidence.numbers.resonance_hz = Some(fit.resonance_hz);
            evidence.numbers.q = Some(fit.q);
        }
        Err(_) => evidence.ringing = Ringing::NoneSeen,
    }
}

/// Reflection of the ring at a port.
pub(crate) fn reflection(bench: &Bench<'_>, evidence: &mut CoilEvidence, random: &mut impl Rng) {
    let (frequencies_hz, impedances) = bench.ring_impedances(&SWEPT);
    let mut text = format!("# Hz S RI R {PORT_OHM}\n");
    for (f, z) in frequencies_hz.iter().zip(impedances) {
        let noise = Complex64::new(normal(random), normal(random));
        let s = (z - PORT_OHM) / (z + PORT_OHM) + REFLECTION * noise;
        writeln!(text, "{f} {:.9} {:.9}", s.re, s.im).expect("a string takes any text");
    }
    let file = read_touchstone_from(text.as_bytes(), "ring.s1p").expect("Touchstone");
    let s11 = file.element(1, 1).expect("one port");
    let options = ReflectionOptions::default();
    match fit_one_port(&file.frequencies_hz, &s11, PORT_OHM, &options) {
        Ok(OnePort::Ring { circle, series }) => {
            if let Some(ring) = series {
                parts(&ring, evidence);
            } else {
                evidence.numbers.resonance_hz = Some(circle.response.resonance_hz);
                evidence.numbers.q = Some(circle.unloaded_q);
            }
        }
        Ok(OnePort::Flank(ring)) => parts(&ring, evidence),
        Ok(OnePort::Coil(coil)) => {
            evidence.numbers.inductance_henry = Some(coil.inductance_henry);
            evidence.numbers.resistance_ohm = Some(coil.resistance_ohm);
        }
        Err(FitError::ReflectionBlind {
            inductance_henry, ..
        }) => evidence.numbers.inductance_henry = Some(inductance_henry),
        Err(error) => {
            evidence.open_circuit = matches!(error, FitError::OpenCircuit { .. });
            evidence.ringing = Ringing::NoneSeen;
        }
    }
}

/// A ring's parts say all that its resonance and Q do.
fn parts(ring: &SeriesRingFit, evidence: &mut CoilEvidence) {
    evidence.numbers.inductance_henry = Some(ring.inductance_henry);
    evidence.numbers.capacitance_farad = Some(ring.capacitance_farad);
    evidence.numbers.resistance_ohm = Some(ring.resistance_ohm);
}
