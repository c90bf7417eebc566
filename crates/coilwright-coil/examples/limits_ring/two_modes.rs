//! Two modes at once.

use coilwright_coil::{BoundMode, BoundScene, RingDownOptions, fit_ring_down, mode_bounds};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use std::f64::consts::TAU;

use crate::case::{PHASES, RESONANCE_HZ};

pub(crate) fn two_modes(trials: usize, seed: u64) {
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
