//! The ring-down fit of 1024 samples.

use std::f64::consts::{PI, TAU};
use std::hint::black_box;

use coilwright_coil::{RingDownOptions, fit_ring_down};
use criterion::{Criterion, criterion_group, criterion_main};

fn ring_down(criterion: &mut Criterion) {
    let mut noise = 1_u32;
    for q in [10.0, 20.0, 50.0] {
        let record: Vec<f32> = (0..1024)
            .map(|n| {
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let white = f64::from(noise) / f64::from(u32::MAX) - 0.5;
                let t = f64::from(n) * 1e-6;
                let wave = (-PI * 125e3 / q * t).exp() * (TAU * 125e3 * t + 0.4).cos();
                (wave + 0.1 + 0.02 * white) as f32
            })
            .collect();
        criterion.bench_function(&format!("ring-down, 1024 samples, Q {q}"), |bencher| {
            bencher.iter(|| fit_ring_down(&[black_box(&record)], 1e6, &RingDownOptions::default()));
        });
    }
}

criterion_group!(benches, ring_down);
criterion_main!(benches);
