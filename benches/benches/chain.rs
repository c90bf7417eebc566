//! The passes over every sample, the chain from 16-bit samples to frames, and a whole check in memory and from a file.

use std::hint::black_box;
use std::io::Cursor;

use coilwright_benches::{CARRIER_HZ, DEPTH, SAMPLE_RATE_HZ, capture, second};
use coilwright_diagnose::{CheckOptions, check};
use coilwright_signal::activity::{ActivityDetector, LevelKind};
use coilwright_signal::capture::{
    BlockSource, Capture, ReadOptions, SampleKind, WavSample, open, open_reader, write_wav,
};
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{ListenOptions, listen};
use coilwright_signal::quality::QualityMeter;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

/// Samples that are listened to in one go, as a check does.
const BLOCK: usize = 500_000;
/// Length of the captures that are read from end to end.
const LONG_S: f64 = 6.0;
/// Length of the capture for the chain: a key is followed once two stretches were read in full.
const CHAIN_S: f64 = 60.0;

fn passes(criterion: &mut Criterion) {
    let samples = second(DEPTH, 64.0);
    let mut group = criterion.benchmark_group("passes, 1 MS");
    group.throughput(Throughput::Elements(samples.len() as u64));
    group.bench_function("quality", |bencher| {
        let info = Capture::from_samples(Vec::new(), SAMPLE_RATE_HZ).info;
        bencher.iter(|| {
            let mut meter = QualityMeter::new(&info);
            meter.push(black_box(&samples));
            meter
        });
    });
    group.bench_function("activity", |bencher| {
        bencher.iter(|| {
            let detector =
                ActivityDetector::new(SAMPLE_RATE_HZ, CARRIER_HZ, LevelKind::RealCarrier);
            detector.map(|mut detector| {
                detector.push(black_box(&samples));
                detector.finish()
            })
        });
    });
    group.finish();
}

/// 16-bit samples, little end first.
fn stored(samples: &[f32]) -> Vec<u8> {
    samples
        .iter()
        .flat_map(|x| ((32767.0 * x).round() as i16).to_le_bytes())
        .collect()
}

fn source(bytes: &[u8]) -> Option<Box<dyn BlockSource>> {
    let options = ReadOptions {
        raw_type: "i16le".parse().ok(),
        sample_rate_hz: Some(SAMPLE_RATE_HZ),
        ..ReadOptions::default()
    };
    open_reader(Box::new(Cursor::new(bytes.to_vec())), "array", &options).ok()
}

/// Frames that are read block by block from 16-bit samples.
fn frames(source: &mut dyn BlockSource) -> usize {
    let carrier = Carrier::direct(CARRIER_HZ + 1.0);
    let mut options = ListenOptions::default();
    let mut block = vec![0.0; BLOCK];
    let (mut frames, mut first) = (0, 0);
    while let Ok(count @ 1..) = source.read_block(&mut block) {
        let heard = listen(
            &block[..count],
            SampleKind::Real,
            SAMPLE_RATE_HZ,
            first,
            &carrier,
            &options,
        );
        first += count as u64;
        options.expected = heard.expected.or(options.expected.take());
        frames += heard.keys.iter().map(|key| key.frames.len()).sum::<usize>();
    }
    frames
}

fn chain(criterion: &mut Criterion) {
    let bytes = stored(&capture(CHAIN_S, DEPTH, 64.0));
    let mut group = criterion.benchmark_group("chain, 60 MS of 16 bits in memory");
    group.throughput(Throughput::Elements(bytes.len() as u64 / 2));
    group.sample_size(10);
    group.bench_function("reading and converting", |bencher| {
        let mut block = vec![0.0; BLOCK];
        bencher.iter_batched(
            || source(&bytes),
            |source| {
                let mut source = source?;
                while let Ok(1..) = source.read_block(black_box(&mut block)) {}
                Some(source)
            },
            criterion::BatchSize::LargeInput,
        );
    });
    group.bench_function("Manchester frames", |bencher| {
        bencher.iter_batched(
            || source(&bytes),
            |source| source.map(|mut source| frames(&mut *source)),
            criterion::BatchSize::LargeInput,
        );
    });
    group.bench_function("check", |bencher| {
        let options = CheckOptions::default();
        bencher.iter_batched(
            || source(&bytes),
            |source| source.map(|mut source| check(&mut *source, &options)),
            criterion::BatchSize::LargeInput,
        );
    });
    group.finish();
}

fn file(criterion: &mut Criterion) {
    let samples = capture(LONG_S, DEPTH, 64.0);
    let mut group = criterion.benchmark_group("check, 6 MS from a file");
    group.throughput(Throughput::Elements(samples.len() as u64));
    group.sample_size(20);
    let capture = Capture::from_samples(samples, SAMPLE_RATE_HZ);
    for (name, sample) in [
        ("16 bits", WavSample::Int16),
        ("32-bit float", WavSample::Float32),
    ] {
        let Ok(folder) = tempfile::tempdir() else {
            return;
        };
        let path = folder.path().join("sandpiper.wav");
        if write_wav(&path, &capture, sample).is_err() {
            return;
        }
        group.bench_function(name, |bencher| {
            let options = CheckOptions::default();
            bencher.iter(|| {
                let source = open(&path, &ReadOptions::default());
                source.map(|mut source| check(&mut *source, &options))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, passes, chain, file);
criterion_main!(benches);
