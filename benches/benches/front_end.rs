//! The down-converter and the whole of `listen` on one second of signal.

use std::hint::black_box;

use coilwright_benches::{CARRIER_HZ, DEPTH, SAMPLE_RATE_HZ, second};
use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, CarrierOptions, recognise};
use coilwright_signal::demodulate::{Expected, ListenOptions, Modulation, listen};
use coilwright_signal::dsp::DownConverter;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

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
            expected: expected.map(|clocks| Expected::new(Modulation::Ask, clocks)),
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
