//! The down-converter and the whole of `listen` on one second of signal.

use std::hint::black_box;

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, CarrierOptions, recognise};
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{ListenOptions, listen};
use coilwright_signal::dsp::DownConverter;
use coilwright_signal::frame::{ReadOnly64, read_only_64};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

const SAMPLE_RATE_HZ: f64 = 1e6;
const CARRIER_HZ: f64 = 125_003.7;
const DEPTH: f64 = 0.02;

/// A second of a key with some noise, or of the bare carrier at depth 0.
fn second(depth: f64, clocks: f64) -> Vec<f32> {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    });
    let levels = manchester::encode(&frame, manchester::Convention::Thomas);
    let mut noise = 1_u32;
    (0..SAMPLE_RATE_HZ as u32)
        .map(|n| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let cycles = CARRIER_HZ * f64::from(n) / SAMPLE_RATE_HZ;
            let level = f64::from(levels[(2.0 * cycles / clocks) as usize % levels.len()]);
            let size = 0.5 * (1.0 + depth * (2.0 * level - 1.0));
            let uniform = f64::from(noise) / f64::from(u32::MAX) - 0.5;
            (size * (std::f64::consts::TAU * cycles).cos() + 0.01 * uniform) as f32
        })
        .collect()
}

fn down_converter(criterion: &mut Criterion) {
    let samples = second(DEPTH, 64.0);
    let mut group = criterion.benchmark_group("down-converter, 1 MS");
    group.throughput(Throughput::Elements(samples.len() as u64));
    for (decimation, spans) in [(32, 4), (16, 4), (16, 6), (8, 6), (4, 6)] {
        let mut outputs = Vec::with_capacity(samples.len());
        group.bench_function(
            format!("decimate by {decimation}, {spans} spans"),
            |bencher| {
                bencher.iter(|| {
                    outputs.clear();
                    let mut converter =
                        DownConverter::new(CARRIER_HZ / SAMPLE_RATE_HZ, decimation, spans);
                    converter.process(black_box(&samples), &mut outputs);
                    outputs.len()
                });
            },
        );
    }
    group.finish();
}

fn listening(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("listen, 1 s");
    group.throughput(Throughput::Elements(SAMPLE_RATE_HZ as u64));
    let carrier = Carrier::direct(CARRIER_HZ + 1.0);
    for (name, depth, clocks, expected) in [
        ("RF/64", DEPTH, 64, None),
        ("RF/64, expected", DEPTH, 64, Some(64)),
        ("RF/32, expected", DEPTH, 32, Some(32)),
        ("RF/16, expected", DEPTH, 16, Some(16)),
        ("bare carrier", 0.0, 64, None),
    ] {
        let samples = second(depth, f64::from(clocks));
        let options = ListenOptions {
            expected_clocks_per_bit: expected,
            ..ListenOptions::default()
        };
        group.bench_function(name, |bencher| {
            bencher.iter(|| {
                listen(
                    black_box(&samples),
                    SampleKind::Real,
                    SAMPLE_RATE_HZ,
                    0,
                    &carrier,
                    &options,
                )
            });
        });
    }
    group.finish();
}

fn recognising(criterion: &mut Criterion) {
    let samples = second(DEPTH, 64.0);
    criterion.bench_function("recognise", |bencher| {
        let options = CarrierOptions::default();
        bencher.iter(|| {
            recognise(
                black_box(&samples),
                SampleKind::Real,
                SAMPLE_RATE_HZ,
                &options,
            )
        });
    });
}

criterion_group!(benches, down_converter, listening, recognising);
criterion_main!(benches);
