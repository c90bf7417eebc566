//! Ring-down: quantised records, two modes, time.

use coilwright_coil::{
    BoundMode, BoundScene, Mode, ModeBound, RingDownOptions, fit_ring_down, mode_bounds,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::{PI, TAU};
use std::time::Instant;

const RATE_HZ: f64 = 1e6;
const RESONANCE_HZ: f64 = 125e3;

fn mode(resonance_hz: f64, q: f64, amplitude: f64, phase_rad: f64) -> BoundMode {
    BoundMode {
        resonance_hz,
        q,
        amplitude,
        phase_rad,
    }
}

fn scene(modes: Vec<BoundMode>, length_tau: f64, noise_rms: f64) -> BoundScene {
    let q = modes.iter().map(|m| m.q).fold(0.0, f64::max);
    BoundScene {
        samples: ((length_tau * q / (PI * RESONANCE_HZ) * RATE_HZ) as usize).max(36),
        modes,
        lines_hz: vec![],
        sample_rate_hz: RATE_HZ,
        noise_rms,
    }
}

fn clean(scene: &BoundScene) -> Vec<f64> {
    (0..scene.samples)
        .map(|n| {
            let t = n as f64 / RATE_HZ;
            let wave = |m: &BoundMode| {
                let omega = TAU * m.resonance_hz;
                let damped = omega * (1.0 - 0.25 / (m.q * m.q)).sqrt();
                m.amplitude * (-omega * t / (2.0 * m.q)).exp() * (damped * t + m.phase_rad).cos()
            };
            scene.modes.iter().map(wave).sum()
        })
        .collect()
}

/// Sums over trials: squared errors over squared bounds, and intervals that held.
#[derive(Default)]
struct Tally {
    resonance: f64,
    q: f64,
    covered: f64,
    used: f64,
}

impl Tally {
    fn add(&mut self, found: &Mode, truth: &BoundMode, bound: &ModeBound) {
        let hz = found.resonance_hz.value - truth.resonance_hz;
        let q = found.q.value - truth.q;
        self.resonance += (hz / bound.resonance_hz).powi(2);
        self.q += (q / bound.q).powi(2);
        self.covered += 0.5 * f64::from(u8::from(hz.abs() < 1.96 * found.resonance_hz.std_dev));
        self.covered += 0.5 * f64::from(u8::from(q.abs() < 1.96 * found.q.std_dev));
        self.used += 1.0;
    }

    fn text(&self) -> String {
        let root = |sum: f64| (sum / self.used).sqrt();
        format!("{:.2} / {:.2}", root(self.resonance), root(self.q))
    }

    fn worst(&self) -> f64 {
        (self.resonance.max(self.q) / self.used).sqrt()
    }
}

pub(crate) fn eight_bits(trials: usize, seed: u64) {
    println!(
        "\n## Eight bits\n\nFree decay of 0.9 of full scale, 5 τ, no noise but the quantiser's; 120 to 130 kHz at 1 MS/s, any phase."
    );
    println!(
        "f0 / Q over the bound of white noise of one step over √12; with the step stated to the fit.\n"
    );
    println!("| Q | f0 / Q | intervals that held, % | without a result |\n|---|---|---|---|");
    let step = 1.0 / 128.0;
    let mut worst = 0.0_f64;
    for q in [3.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 150.0] {
        let mut random = ChaCha8Rng::seed_from_u64(seed ^ q as u64);
        let mut tally = Tally::default();
        for _ in 0..trials {
            let truth = mode(
                random.random_range(120e3..130e3),
                q,
                0.9,
                random.random_range(0.0..TAU),
            );
            let scene = scene(vec![truth], 5.0, step / 12_f64.sqrt());
            let record: Vec<f32> = clean(&scene)
                .iter()
                .map(|v| ((v / step).round() * step) as f32)
                .collect();
            let options = RingDownOptions {
                quantisation_step: step,
                ..RingDownOptions::default()
            };
            let bound = mode_bounds(&scene).expect("one mode")[0];
            if let Ok(fit) = fit_ring_down(&[&record], RATE_HZ, &options) {
                tally.add(&fit.mode, &truth, &bound);
            }
        }
        worst = worst.max(tally.worst());
        println!(
            "| {q} | {} | {:.1} | {} |",
            tally.text(),
            100.0 * tally.covered / tally.used,
            trials - tally.used as usize
        );
    }
    println!("\nLargest: {worst:.2}.");
}

pub(crate) fn two_modes(trials: usize, seed: u64) {
    println!(
        "\n## Two modes\n\n125 kHz with Q 30 and amplitude 1, and a second one above it by so many line widths; 40 dB, 6 τ, phases at random."
    );
    println!("f0 / Q of each mode over its bound; order right: two modes where there are two.\n");
    println!(
        "| line widths | second: amplitude, Q | first mode | second mode | intervals that held, % | order right, % |\n|---|---|---|---|---|---|"
    );
    for (widths, amplitude, q) in [
        (0.3, 1.0, 30.0),
        (0.3, 0.3, 40.0),
        (0.5, 0.5, 30.0),
        (1.0, 0.3, 40.0),
        (2.0, 0.1, 40.0),
    ] {
        let mut random =
            ChaCha8Rng::seed_from_u64(seed ^ (1000.0 * widths + 10.0 * amplitude) as u64);
        let (mut first, mut second, mut right) = (Tally::default(), Tally::default(), 0);
        for _ in 0..trials {
            let truth = [
                mode(RESONANCE_HZ, 30.0, 1.0, random.random_range(0.0..TAU)),
                mode(
                    RESONANCE_HZ * (1.0 + widths / 30.0),
                    q,
                    amplitude,
                    random.random_range(0.0..TAU),
                ),
            ];
            let scene = scene(truth.to_vec(), 6.0, 0.5e-4_f64.sqrt());
            let bounds = mode_bounds(&scene).expect("the modes differ");
            let record: Vec<f32> = clean(&scene)
                .iter()
                .map(|v| {
                    let w: f64 = StandardNormal.sample(&mut random);
                    (v + scene.noise_rms * w) as f32
                })
                .collect();
            let Ok(fit) = fit_ring_down(&[&record], RATE_HZ, &RingDownOptions::default()) else {
                continue;
            };
            let Some(other) = fit.second else { continue };
            right += 1;
            let swap = other.resonance_hz.value < fit.mode.resonance_hz.value;
            let (low, high) = if swap {
                (&other, &fit.mode)
            } else {
                (&fit.mode, &other)
            };
            first.add(low, &truth[0], &bounds[0]);
            second.add(high, &truth[1], &bounds[1]);
        }
        let held = 50.0 * (first.covered + second.covered) / first.used;
        println!(
            "| {widths} | {amplitude}, {q} | {} | {} | {held:.1} | {:.1} |",
            first.text(),
            second.text(),
            100.0 * f64::from(right) / trials as f64
        );
    }
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut false_seconds = 0;
    for trial in 0..trials {
        let q = [5.0, 15.0, 40.0, 120.0][trial % 4];
        let scene = scene(
            vec![mode(RESONANCE_HZ, q, 1.0, random.random_range(0.0..TAU))],
            5.0,
            0.5e-4_f64.sqrt(),
        );
        let record: Vec<f32> = clean(&scene)
            .iter()
            .map(|v| {
                let w: f64 = StandardNormal.sample(&mut random);
                (v + scene.noise_rms * w) as f32
            })
            .collect();
        let fit = fit_ring_down(&[&record], RATE_HZ, &RingDownOptions::default()).expect("40 dB");
        false_seconds += u32::from(fit.second.is_some());
    }
    println!(
        "\nOne mode at 40 dB, Q 5 to 120: order right in {:.2} %.",
        100.0 - 100.0 * f64::from(false_seconds) / trials as f64
    );
}

pub(crate) fn time(seed: u64) {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut scene = scene(
        vec![mode(RESONANCE_HZ, 20.0, 1.0, 0.3)],
        5.0,
        0.5e-4_f64.sqrt(),
    );
    scene.samples = 1024;
    let record: Vec<f32> = clean(&scene)
        .iter()
        .map(|v| {
            let w: f64 = StandardNormal.sample(&mut random);
            (v + scene.noise_rms * w) as f32
        })
        .collect();
    let mut times: Vec<f64> = (0..400)
        .map(|_| {
            let start = Instant::now();
            let fit = fit_ring_down(&[&record], RATE_HZ, &RingDownOptions::default());
            let spent = start.elapsed().as_secs_f64();
            assert!(fit.is_ok());
            spent
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "\n## Time\n\nRing-down of 1024 samples, Q 20, 40 dB, one core: {:.0} µs at best, {:.0} µs in the median of 400.",
        1e6 * times[0],
        1e6 * times[200]
    );
}
