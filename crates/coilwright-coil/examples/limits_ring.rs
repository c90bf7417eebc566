//! Monte Carlo report: how near the estimators of resonance and Q come to the Cramér–Rao bound.
//!
//! `cargo run -p coilwright-coil --release --example limits_ring [TRIALS] [SEED]` prints Markdown.

#![expect(clippy::expect_used, reason = "a report stops at the first surprise")]

use coilwright_coil::{
    BoundMode, BoundScene, Estimate, FitError, ModeBound, RingDownFit, RingDownOptions,
    fit_ring_down, fit_turn_off, fit_turn_on, mode_bounds,
};
use num_complex::Complex64;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::{PI, TAU};
use std::fmt::Write;
use std::time::Instant;

/// The ring of the report, unless a section says otherwise.
const RESONANCE_HZ: f64 = 125e3;
/// Drive of the edges; the ring is tuned 2 kHz above it.
const DRIVE: Estimate = Estimate::new(125e3, 0.0);
const DETUNED_HZ: f64 = 127e3;
/// Samples between an edge and the record.
const GUARD: f64 = 4.0;
/// Phases over which the bound is taken; trial n uses phase n modulo this.
const PHASES: usize = 48;
/// Q of the bar, and the outer ones.
const QS: [f64; 7] = [3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 150.0];
const SNRS_DB: [f64; 5] = [20.0, 30.0, 40.0, 50.0, 60.0];

/// Which record is made.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// A free decay of unit amplitude.
    RingDown,
    /// The tail of a series-tuned ring after the drive stops.
    TurnOff,
    /// Its transient after the drive starts.
    TurnOn,
}

/// One cell of a table.
#[derive(Clone, Copy)]
struct Case {
    kind: Kind,
    resonance_hz: f64,
    q: f64,
    snr_db: f64,
    sample_rate_hz: f64,
    length_tau: f64,
    records: usize,
}

impl Case {
    fn new(kind: Kind, q: f64, snr_db: f64) -> Self {
        let (resonance_hz, length_tau) = if kind == Kind::RingDown {
            (RESONANCE_HZ, 5.0)
        } else {
            (DETUNED_HZ, 6.0)
        };
        Self {
            kind,
            resonance_hz,
            q,
            snr_db,
            sample_rate_hz: 1e6,
            length_tau,
            records: 1,
        }
    }

    fn samples(&self) -> usize {
        ((self.length_tau * self.q / (PI * self.resonance_hz) * self.sample_rate_hz) as usize)
            .max(36)
    }

    fn noise_rms(&self) -> f64 {
        (0.5 * 10_f64.powf(-0.1 * self.snr_db)).sqrt()
    }

    /// Phasor of the mode at the record's first sample, and its complex frequency, for one phase of the excitation.
    ///
    /// The edges are those of a series-tuned ring with a stiff source: the charge and current at the edge decay as
    /// `q(t) = Re[(a − ib) e^(st)]`, and the pickup sees `q″`, scaled to a steady state `−sin(ω_d t + φ)`.
    fn mode(&self, phase: f64) -> (Complex64, Complex64) {
        let omega = TAU * self.resonance_hz;
        let alpha = omega / (2.0 * self.q);
        let natural = (omega * omega - alpha * alpha).sqrt();
        let s = Complex64::new(-alpha, natural);
        if self.kind == Kind::RingDown {
            return (Complex64::cis(phase), s);
        }
        let drive = TAU * DRIVE.value;
        let charge = phase.sin() / (drive * drive);
        let current = phase.cos() / drive;
        let tail = Complex64::new(charge, -(current + alpha * charge) / natural) * s * s;
        let at_start = tail * (s * (GUARD / self.sample_rate_hz)).exp();
        (
            if self.kind == Kind::TurnOn {
                -at_start
            } else {
                at_start
            },
            s,
        )
    }

    fn record(&self, phase: f64, random: &mut ChaCha8Rng) -> Vec<f32> {
        let (phasor, s) = self.mode(phase);
        let steady = if self.kind == Kind::TurnOn { 1.0 } else { 0.0 };
        let noise = self.noise_rms();
        (0..self.samples())
            .map(|n| {
                let t = n as f64 / self.sample_rate_hz;
                let line =
                    steady * (TAU * DRIVE.value * (t + GUARD / self.sample_rate_hz) + phase).sin();
                let white: f64 = StandardNormal.sample(random);
                ((phasor * (s * t).exp()).re - line + noise * white) as f32
            })
            .collect()
    }

    fn bound(&self, phase: f64) -> ModeBound {
        let (phasor, _) = self.mode(phase);
        let mode = BoundMode {
            resonance_hz: self.resonance_hz,
            q: self.q,
            amplitude: phasor.norm(),
            phase_rad: phasor.arg(),
        };
        let lines_hz = if self.kind == Kind::TurnOn {
            vec![DRIVE.value]
        } else {
            vec![]
        };
        let scene = BoundScene {
            modes: vec![mode],
            lines_hz,
            sample_rate_hz: self.sample_rate_hz,
            samples: self.samples(),
            noise_rms: self.noise_rms(),
        };
        mode_bounds(&scene).expect("one mode can always be told apart")[0]
    }

    fn fit(&self, records: &[&[f32]]) -> Result<RingDownFit, FitError> {
        let options = RingDownOptions::default();
        match self.kind {
            Kind::RingDown => {
                let zone =
                    coilwright_coil::Zone::containing(self.resonance_hz, self.sample_rate_hz);
                fit_ring_down(
                    records,
                    self.sample_rate_hz,
                    &RingDownOptions { zone, ..options },
                )
            }
            Kind::TurnOff => {
                fit_turn_off(records, self.sample_rate_hz, DRIVE, &options).map(|f| f.ring)
            }
            Kind::TurnOn => {
                fit_turn_on(records, self.sample_rate_hz, DRIVE, &options).map(|f| f.ring)
            }
        }
    }
}

/// Errors of one cell over its bound.
#[derive(Clone, Copy, Default)]
struct Cell {
    resonance: f64,
    q: f64,
    coverage: f64,
    second_modes: f64,
    failed: f64,
    bound_hz: f64,
    bound_q: f64,
}

fn run(case: &Case, trials: usize, seed: u64) -> Cell {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let phase = |i: usize| TAU * (i as f64 + 0.5) / PHASES as f64;
    let bounds: Vec<ModeBound> = (0..PHASES).map(|i| case.bound(phase(i))).collect();
    let mean = |f: &dyn Fn(&ModeBound) -> f64| {
        (bounds.iter().map(|b| f(b).powi(-2)).sum::<f64>() / PHASES as f64 * case.records as f64)
            .powf(-0.5)
    };
    let mut cell = Cell {
        bound_hz: mean(&|b| b.resonance_hz),
        bound_q: mean(&|b| b.q),
        ..Cell::default()
    };
    let (mut used, mut covered) = (0.0, 0.0);
    for trial in 0..trials {
        // One record: the bound of its own phase. Several: phases spread evenly, and the mean information.
        let indices: Vec<usize> = (0..case.records)
            .map(|r| (trial + r * PHASES / case.records) % PHASES)
            .collect();
        let information = |f: &dyn Fn(&ModeBound) -> f64| {
            indices.iter().map(|&i| f(&bounds[i]).powi(-2)).sum::<f64>()
        };
        let (hz, q) = (
            information(&|b| b.resonance_hz).powf(-0.5),
            information(&|b| b.q).powf(-0.5),
        );
        let records: Vec<Vec<f32>> = indices
            .iter()
            .map(|&i| case.record(phase(i), &mut random))
            .collect();
        let views: Vec<&[f32]> = records.iter().map(Vec::as_slice).collect();
        let (found_hz, found_q) = match case.fit(&views) {
            Ok(fit) => {
                cell.second_modes += f64::from(u8::from(fit.second.is_some())) / trials as f64;
                (fit.mode.resonance_hz, fit.mode.q)
            }
            Err(FitError::NoRingDown {
                resonance_hz, q, ..
            }) => (resonance_hz, q),
            Err(_) => {
                cell.failed += 1.0 / trials as f64;
                continue;
            }
        };
        let (error_hz, error_q) = (found_hz.value - case.resonance_hz, found_q.value - case.q);
        used += 1.0;
        cell.resonance += (error_hz / hz).powi(2);
        cell.q += (error_q / q).powi(2);
        covered += 0.5 * f64::from(u8::from(error_hz.abs() < 1.96 * found_hz.std_dev));
        covered += 0.5 * f64::from(u8::from(error_q.abs() < 1.96 * found_q.std_dev));
    }
    (cell.resonance, cell.q) = ((cell.resonance / used).sqrt(), (cell.q / used).sqrt());
    cell.coverage = covered / used;
    cell
}

fn table(title: &str, kind: Kind, trials: usize, seed: u64) {
    println!("\n## {title}\n");
    let mut worst = (0.0_f64, 0.0_f64);
    let (mut failed, mut seconds) = ((0.0_f64, 0.0_f64), 0.0_f64);
    let mut coverage = String::new();
    let heads: Vec<String> = SNRS_DB.iter().map(|s| format!("{s} dB")).collect();
    println!(
        "| Q | {} |\n|---|{}",
        heads.join(" | "),
        "---|".repeat(SNRS_DB.len())
    );
    for q in QS {
        let cells: Vec<Cell> = SNRS_DB
            .iter()
            .map(|&snr| {
                run(
                    &Case::new(kind, q, snr),
                    trials,
                    seed ^ (q as u64) << 8 ^ snr as u64,
                )
            })
            .collect();
        let text: Vec<String> = cells
            .iter()
            .map(|c| format!("{:.2} / {:.2}", c.resonance, c.q))
            .collect();
        println!("| {q} | {} |", text.join(" | "));
        let most = cells
            .iter()
            .fold(0.0_f64, |m, c| m.max(c.resonance).max(c.q));
        worst.1 = worst.1.max(most);
        if (5.0..=50.0).contains(&q) {
            worst.0 = worst.0.max(most);
        }
        let most_failed = cells.iter().fold(0.0_f64, |m, c| m.max(c.failed));
        failed.1 = failed.1.max(most_failed);
        if (5.0..=50.0).contains(&q) {
            failed.0 = failed.0.max(most_failed);
        }
        seconds = cells.iter().fold(seconds, |m, c| m.max(c.second_modes));
        let covers: Vec<String> = cells
            .iter()
            .map(|c| format!("{:.1}", 100.0 * c.coverage))
            .collect();
        writeln!(coverage, "| {q} | {} |", covers.join(" | ")).expect("a string takes any text");
    }
    println!(
        "\nLargest over Q 5 to 50: {:.2}; over Q 3 to 150: {:.2}.",
        worst.0, worst.1
    );
    println!(
        "Most trials of a cell without a result: {:.2} % over Q 5 to 50, {:.2} % over Q 3 to 150; with a second mode: {:.2} %.",
        100.0 * failed.0,
        100.0 * failed.1,
        100.0 * seconds
    );
    println!("\nCoverage of the 95 % intervals (resonance and Q together), %:\n");
    println!(
        "| Q | {} |\n|---|{}\n{coverage}",
        heads.join(" | "),
        "---|".repeat(SNRS_DB.len())
    );
}

fn several_edges(trials: usize, seed: u64) {
    println!("\n## Several edges jointly\n\nQ 20, 20 dB; the bound is that of one edge over √K.\n");
    println!(
        "| edges | turn-off f0 / Q | turn-on f0 / Q | bound of Q (turn-off) |\n|---|---|---|---|"
    );
    for records in [1, 4, 16] {
        let cell = |kind| {
            run(
                &Case {
                    records,
                    ..Case::new(kind, 20.0, 20.0)
                },
                trials / 4,
                seed ^ records as u64,
            )
        };
        let (off, on) = (cell(Kind::TurnOff), cell(Kind::TurnOn));
        println!(
            "| {records} | {:.2} / {:.2} | {:.2} / {:.2} | {:.2} % |",
            off.resonance,
            off.q,
            on.resonance,
            on.q,
            100.0 * off.bound_q / 20.0
        );
    }
}

fn rates(trials: usize, seed: u64) {
    println!(
        "\n## Sample rates\n\nFree decay, 40 dB, 5 τ; f0 / Q. At 192 and 96 kS/s the ring is seen at its alias.\n"
    );
    println!("| rate | Q 5 | Q 10 | Q 30 | Q 100 |\n|---|---|---|---|---|");
    for sample_rate_hz in [96e3, 192e3, 384e3, 500e3, 2e6, 10e6] {
        let cells: Vec<String> = [5.0, 10.0, 30.0, 100.0]
            .iter()
            .map(|&q| {
                let case = Case {
                    sample_rate_hz,
                    ..Case::new(Kind::RingDown, q, 40.0)
                };
                let cell = run(&case, trials / 4, seed ^ sample_rate_hz as u64);
                format!("{:.2} / {:.2}", cell.resonance, cell.q)
            })
            .collect();
        println!("| {} kS/s | {} |", sample_rate_hz / 1e3, cells.join(" | "));
    }
}

fn lengths(trials: usize, seed: u64) {
    println!(
        "\n## Length of the record\n\nFree decay, Q 30, 40 dB; f0 / Q over the bound of that length, and that bound.\n"
    );
    println!("| length | f0 / Q | bound of f0, Hz | bound of Q, % |\n|---|---|---|---|");
    for length_tau in [0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 20.0] {
        let case = Case {
            length_tau,
            ..Case::new(Kind::RingDown, 30.0, 40.0)
        };
        let cell = run(&case, trials / 4, seed ^ (10.0 * length_tau) as u64);
        println!(
            "| {length_tau} τ | {:.2} / {:.2} | {:.1} | {:.2} |",
            cell.resonance,
            cell.q,
            cell.bound_hz,
            100.0 * cell.bound_q / 30.0
        );
    }
}

fn two_modes(trials: usize, seed: u64) {
    println!("\n## Two modes\n");
    println!(
        "125 kHz, Q 30, amplitude 1, and a second of amplitude 0.3 and Q 40 above it by so many line widths; 40 dB, 6 τ.\n"
    );
    println!(
        "| line widths | f0 / Q over the bound | second mode found, % | bound of Q, % |\n|---|---|---|---|"
    );
    let trials = trials / 4;
    for separation in [0.3, 0.6, 1.0, 2.0, 4.0] {
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ (10.0 * separation) as u64);
        let (mut hz, mut q, mut found, mut used, mut bound_q) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for trial in 0..trials {
            let phase = TAU * trial as f64 / PHASES as f64;
            let mode = |resonance_hz, q, amplitude, phase_rad| BoundMode {
                resonance_hz,
                q,
                amplitude,
                phase_rad,
            };
            let second_hz = RESONANCE_HZ * (1.0 + separation / 30.0);
            let scene = BoundScene {
                modes: vec![
                    mode(RESONANCE_HZ, 30.0, 1.0, phase),
                    mode(second_hz, 40.0, 0.3, 2.4 * trial as f64),
                ],
                lines_hz: vec![],
                sample_rate_hz: 1e6,
                samples: 458,
                noise_rms: (0.5e-4_f64).sqrt(),
            };
            let bound = mode_bounds(&scene).expect("the modes differ")[0];
            let record = synthesise(&scene, &mut random);
            let Ok(fit) = fit_ring_down(&[&record], 1e6, &RingDownOptions::default()) else {
                continue;
            };
            found += f64::from(u8::from(fit.second.is_some()));
            let nearest = match fit.second {
                Some(second)
                    if (second.resonance_hz.value - RESONANCE_HZ).abs()
                        < (fit.mode.resonance_hz.value - RESONANCE_HZ).abs() =>
                {
                    second
                }
                _ => fit.mode,
            };
            hz += ((nearest.resonance_hz.value - RESONANCE_HZ) / bound.resonance_hz).powi(2);
            q += ((nearest.q.value - 30.0) / bound.q).powi(2);
            bound_q += bound.q / 30.0;
            used += 1.0;
        }
        println!(
            "| {separation} | {:.2} / {:.2} | {:.1} | {:.2} |",
            (hz / used).sqrt(),
            (q / used).sqrt(),
            100.0 * found / used,
            100.0 * bound_q / used
        );
    }
}

fn synthesise(scene: &BoundScene, random: &mut ChaCha8Rng) -> Vec<f32> {
    (0..scene.samples)
        .map(|n| {
            let t = n as f64 / scene.sample_rate_hz;
            let wave = |m: &BoundMode| {
                let omega = TAU * m.resonance_hz;
                let damped = omega * (1.0 - 0.25 / (m.q * m.q)).sqrt();
                m.amplitude * (-omega * t / (2.0 * m.q)).exp() * (damped * t + m.phase_rad).cos()
            };
            let white: f64 = StandardNormal.sample(random);
            (scene.modes.iter().map(wave).sum::<f64>() + scene.noise_rms * white) as f32
        })
        .collect()
}

fn speed() {
    println!("\n## Time of one fit\n\nOne core; best of 200.\n");
    println!("| record | samples | time, µs |\n|---|---|---|");
    for (name, kind, q) in [
        ("free decay, Q 20", Kind::RingDown, 20.0),
        ("free decay, Q 80", Kind::RingDown, 80.4),
        ("turn-off, Q 20", Kind::TurnOff, 20.0),
        ("turn-on, Q 20", Kind::TurnOn, 20.0),
    ] {
        let case = Case::new(kind, q, 40.0);
        let record = case.record(0.3, &mut ChaCha8Rng::seed_from_u64(1));
        let best = (0..200)
            .map(|_| {
                let start = Instant::now();
                let fit = case.fit(&[&record]);
                let spent = start.elapsed().as_secs_f64();
                assert!(fit.is_ok());
                spent
            })
            .fold(f64::INFINITY, f64::min);
        println!("| {name} | {} | {:.0} |", record.len(), 1e6 * best);
    }
}

fn main() {
    let mut arguments = std::env::args()
        .skip(1)
        .map(|a| a.parse::<u64>().expect("a whole number"));
    let trials = arguments.next().unwrap_or(2000) as usize;
    let seed = arguments.next().unwrap_or(20_240);
    println!(
        "Root-mean-square error over the Cramér–Rao bound, as f0 / Q. {trials} trials a cell, seed {seed}."
    );
    println!(
        "125 kHz ring, 1 MS/s, white noise; the ratio of a cell has a standard error of {:.1} %.",
        70.7 / (trials as f64).sqrt()
    );
    table(
        "Free decay\n\nRecord of 5 τ; SNR is that of the first sample, A²/2σ²; DC unknown.",
        Kind::RingDown,
        trials,
        seed,
    );
    table(
        "Turn-off edge\n\nSeries-tuned ring 2 kHz above its drive, record of 6 τ from 4 samples after the edge; SNR is that of the steady carrier.",
        Kind::TurnOff,
        trials,
        seed + 1,
    );
    table(
        "Turn-on edge\n\nThe same ring; the bound knows the drive frequency, not its amplitude and phase.",
        Kind::TurnOn,
        trials,
        seed + 2,
    );
    several_edges(trials, seed + 3);
    two_modes(trials, seed + 4);
    lengths(trials, seed + 5);
    rates(trials, seed + 6);
    speed();
}
