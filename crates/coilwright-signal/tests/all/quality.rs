//! Recordings with one fault each, made from closed forms, and recordings without any.

use std::f64::consts::TAU;

use coilwright_signal::capture::{Capture, SampleKind};
use coilwright_signal::quality::{Quality, QualityKind, QualityMeter, phase_jumps};
use num_complex::Complex32;
use proptest::prelude::{ProptestConfig, prop_assert, prop_assert_eq, proptest};
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, Normal};

const RATE_HZ: f64 = 1e6;
/// No simple fraction of the rate.
const CARRIER_HZ: f64 = 125_013.7;

struct Recorder {
    bits: Option<i32>,
    amplitude: f64,
    snr_db: f64,
    carrier_hz: f64,
}

impl Default for Recorder {
    fn default() -> Self {
        Self {
            bits: Some(16),
            amplitude: 0.6,
            snr_db: 50.0,
            carrier_hz: CARRIER_HZ,
        }
    }
}

impl Recorder {
    /// A carrier with 5 % load modulation at RF/64, plus `extra`, as the recorder stores it.
    fn record(&self, samples: usize, extra: impl Fn(usize) -> f64) -> Capture {
        let deviation = self.amplitude * 10.0_f64.powf(-self.snr_db / 20.0) / 2.0_f64.sqrt();
        let normal = Normal::new(0.0, deviation).unwrap();
        let mut random = ChaCha8Rng::seed_from_u64(5);
        let values = (0..samples)
            .map(|n| {
                let cycles = self.carrier_hz / RATE_HZ * n as f64;
                let half_bit = (cycles / 32.0) as u64;
                let modulation = if half_bit.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 63 == 0 {
                    1.0
                } else {
                    0.95
                };
                let value = self.amplitude * modulation * (TAU * cycles).cos()
                    + normal.sample(&mut random)
                    + extra(n);
                self.store(value)
            })
            .collect();
        let mut capture = Capture::from_samples(values, RATE_HZ);
        if let Some(bits) = self.bits {
            capture.info.full_scale = Some(1.0);
            capture.info.step = Some(2.0_f64.powi(1 - bits));
        }
        capture
    }

    fn store(&self, value: f64) -> f32 {
        let Some(bits) = self.bits else {
            return value as f32;
        };
        let steps = 2.0_f64.powi(bits - 1);
        ((value * steps).round().clamp(-steps, steps - 1.0) / steps) as f32
    }
}

fn measure(capture: &Capture, carrier_hz: Option<f64>) -> Quality {
    let mut meter = QualityMeter::new(&capture.info);
    for block in capture.samples.chunks(10_000) {
        meter.push(block);
    }
    meter.finish(carrier_hz)
}

fn kinds(quality: &Quality) -> Vec<QualityKind> {
    quality
        .findings
        .iter()
        .map(|finding| finding.kind)
        .collect()
}

fn nothing(_: usize) -> f64 {
    0.0
}

#[test]
fn a_good_recording_has_no_findings() {
    for bits in [Some(8), Some(12), Some(16), Some(24), None] {
        for snr_db in [15.0, 30.0, 60.0] {
            let recorder = Recorder {
                bits,
                snr_db,
                ..Recorder::default()
            };
            let quality = measure(&recorder.record(300_000, nothing), Some(CARRIER_HZ));
            assert_eq!(
                kinds(&quality),
                [],
                "{bits:?} bits, {snr_db} dB: {quality:?}"
            );
            assert_eq!(quality.samples, 300_000);
        }
    }
}

#[test]
fn extremes_and_moments_are_those_of_all_values() {
    let capture = Recorder::default().record(123_457, |_| 0.01);
    let quality = measure(&capture, Some(CARRIER_HZ));
    let values = capture.samples.iter().map(|value| f64::from(*value));
    let count = values.clone().count() as f64;
    // Rounding of f32 sums over 64 values.
    let rounding = 1e-6;
    assert_eq!(quality.maximum, values.clone().fold(f64::MIN, f64::max));
    assert_eq!(quality.minimum, values.clone().fold(f64::MAX, f64::min));
    assert!((quality.dc_offset - values.clone().sum::<f64>() / count).abs() < rounding);
    let mean_square = values.map(|value| value * value).sum::<f64>() / count;
    assert!((quality.rms - mean_square.sqrt()).abs() < rounding);
}

#[test]
fn clipping_at_full_scale_is_counted_exactly() {
    let capture = Recorder {
        amplitude: 1.3,
        ..Recorder::default()
    }
    .record(200_000, nothing);
    let quality = measure(&capture, Some(CARRIER_HZ));
    let step = 2.0_f32.powi(-15);
    let clipped = capture
        .samples
        .iter()
        .filter(|value| **value >= 1.0 - 1.5 * step || **value <= -1.0 + step)
        .count();
    assert!(quality.clipping.clipped && quality.clipping.at_full_scale);
    assert_eq!(quality.clipping.count, clipped as u64);
    assert!((2..=3).contains(&quality.clipping.longest_run_samples));
    assert_eq!(kinds(&quality), [QualityKind::ClippedAtFullScale]);
}

#[test]
fn clipping_below_full_scale_is_seen_by_the_pile_at_the_ends() {
    let mut capture = Recorder::default().record(200_000, nothing);
    for value in &mut capture.samples {
        *value = value.clamp(-0.7, 0.5);
    }
    let quality = measure(&capture, Some(CARRIER_HZ));
    assert!(quality.clipping.clipped && !quality.clipping.at_full_scale);
    assert!((quality.clipping.level - 0.5).abs() < 1e-3);
    assert_eq!(
        kinds(&quality),
        [QualityKind::ClippedBelowFullScale],
        "{:?}",
        quality.interference
    );
    // Bursts and a field that is seldom on change nothing.
    let mut capture = Recorder::default().record(300_000, nothing);
    for value in &mut capture.samples[..250_000] {
        *value *= 1e-3;
    }
    assert_eq!(kinds(&measure(&capture, Some(CARRIER_HZ))), []);
}

#[test]
fn filled_up_samples_inside_the_signal_are_found() {
    for hold in [false, true] {
        let mut capture = Recorder::default().record(300_000, nothing);
        for start in [40_957, 123_000, 204_783] {
            let value = if hold { capture.samples[start] } else { 0.0 };
            capture.samples[start..start + 48].fill(value);
        }
        let quality = measure(&capture, Some(CARRIER_HZ));
        assert_eq!(
            kinds(&quality),
            [QualityKind::StuckSamples],
            "{:?}",
            quality.stuck
        );
        assert_eq!(quality.stuck.count, 3);
        for (span, start) in quality
            .stuck
            .spans
            .iter()
            .zip([40_957_u64, 123_000, 204_783])
        {
            assert!(
                span.start.abs_diff(start) <= 1 && span.end.abs_diff(start + 48) <= 1,
                "{span:?}"
            );
        }
    }
}

#[test]
fn silence_between_bursts_is_not_lost_samples() {
    // Digital silence; the tail decays with 13 samples, as a ring of Q 5 does.
    let capture = Recorder {
        bits: Some(8),
        ..Recorder::default()
    }
    .record(1, nothing);
    let mut capture = Capture {
        info: capture.info,
        samples: Vec::new(),
    };
    let recorder = Recorder {
        bits: Some(8),
        ..Recorder::default()
    };
    capture.samples.extend((0..200_000).map(|n| {
        let in_burst = f64::from(n % 10_000);
        let envelope = match in_burst {
            ..6_000.0 => 1.0 - (-in_burst / 13.0).exp(),
            _ => (-(in_burst - 6_000.0) / 13.0).exp(),
        };
        recorder.store(0.6 * envelope * (TAU * CARRIER_HZ / RATE_HZ * f64::from(n)).cos())
    }));
    let quality = measure(&capture, Some(CARRIER_HZ));
    assert_eq!(quality.stuck.count, 0, "{:?}", quality.stuck);
    assert_eq!(quality.repeated.count, 0, "{:?}", quality.repeated);
}

#[test]
fn silence_between_sparks_is_not_lost_samples() {
    let recorder = Recorder {
        bits: Some(8),
        ..Recorder::default()
    };
    let mut capture = recorder.record(1, nothing);
    capture.samples = (0..200_000)
        .map(|n| {
            let cycles = CARRIER_HZ / RATE_HZ * f64::from(n);
            let carrier = if n < 60_000 {
                0.3 * (TAU * cycles).cos()
            } else {
                0.0
            };
            let spark = if n % 97 == 0 { 0.25 } else { 0.0 };
            recorder.store(carrier + spark)
        })
        .collect();
    let quality = measure(&capture, Some(CARRIER_HZ));
    assert_eq!(quality.stuck.count, 0, "{:?}", quality.stuck);
}

#[test]
fn a_buffer_that_was_written_twice_is_found() {
    let mut capture = Recorder::default().record(300_000, nothing);
    capture.samples.copy_within(102_400..103_424, 103_424);
    let quality = measure(&capture, Some(CARRIER_HZ));
    assert_eq!(
        kinds(&quality),
        [QualityKind::RepeatedSamples],
        "{:?}",
        quality.repeated
    );
    assert_eq!(
        quality.repeated.spans,
        [coilwright_signal::Span::new(103_424, 104_448)]
    );
    // A signal that repeats itself exactly is no fault.
    let periodic = Capture::from_samples(
        (0..100_000)
            .map(|n| (TAU * f64::from(n) / 32.0).cos() as f32)
            .collect(),
        RATE_HZ,
    );
    assert_eq!(measure(&periodic, None).repeated.count, 0);
}

#[test]
fn hum_is_measured_with_its_harmonics() {
    for (mains_hz, length) in [(50.0, 1_000_000), (60.0, 1_000_000), (50.0, 90_000)] {
        let hum = |n: usize| {
            let turn = TAU * mains_hz * n as f64 / RATE_HZ;
            0.03 * (turn + 0.4).cos() + 0.01 * (3.0 * turn).cos()
        };
        let quality = measure(&Recorder::default().record(length, hum), Some(CARRIER_HZ));
        assert_eq!(
            kinds(&quality),
            [QualityKind::MainsHum],
            "{mains_hz} {length}: {quality:?}"
        );
        let found = quality.hum.unwrap();
        assert_eq!(found.mains_hz, mains_hz);
        // A tenth, for parts of a cycle at the ends of a segment.
        assert!(
            (found.amplitude / 0.001_f64.sqrt() - 1.0).abs() < 0.1,
            "{found:?}"
        );
        assert!(
            (found.level_db - 20.0 * (0.0316_f64 / 0.585).log10()).abs() < 1.0,
            "{found:?}"
        );
    }
}

#[test]
fn a_converter_line_is_found_and_sidebands_and_harmonics_are_not() {
    let lines = |n: usize| {
        let time_s = n as f64 / RATE_HZ;
        let tone =
            |amplitude: f64, frequency_hz: f64| amplitude * (TAU * frequency_hz * time_s).cos();
        let sidebands = tone(0.01, CARRIER_HZ - 4_000.0) + tone(0.006, CARRIER_HZ + 4_000.0);
        let harmonics = tone(0.05, 3.0 * CARRIER_HZ) + tone(0.02, 5.0 * CARRIER_HZ);
        tone(0.006, 131_250.0) + tone(0.0009, 61_700.0) + sidebands + harmonics
    };
    let quality = measure(
        &Recorder::default().record(600_000, lines),
        Some(CARRIER_HZ),
    );
    assert_eq!(quality.interference.len(), 2, "{:?}", quality.interference);
    for (line, (frequency_hz, amplitude)) in quality
        .interference
        .iter()
        .zip([(131_250.0, 0.006), (61_700.0, 0.0009)])
    {
        assert!((line.frequency_hz - frequency_hz).abs() < 10.0, "{line:?}");
        // Up to 0.8 dB of scalloping under the window.
        assert!(
            (20.0 * (line.amplitude / amplitude).log10()).abs() < 1.0,
            "{line:?}"
        );
    }
    assert!(
        kinds(&quality)
            .iter()
            .all(|kind| *kind == QualityKind::InterferenceLine)
    );
}

#[test]
fn dc_and_few_steps_are_found() {
    let quality = measure(
        &Recorder::default().record(100_000, |_| 0.1),
        Some(CARRIER_HZ),
    );
    assert_eq!(kinds(&quality), [QualityKind::DcOffset]);
    let weak = Recorder {
        bits: Some(8),
        amplitude: 0.05,
        ..Recorder::default()
    };
    let quality = measure(&weak.record(100_000, nothing), Some(CARRIER_HZ));
    assert_eq!(kinds(&quality), [QualityKind::FewSteps]);
    let quantisation = quality.quantisation.unwrap();
    assert_eq!(quantisation.step, 2.0_f64.powi(-7));
    assert!((11.0..=15.0).contains(&quantisation.steps_spanned));
    // 8-bit samples in a 16-bit file: the step that is seen counts.
    let mut capture = Recorder {
        bits: Some(8),
        ..Recorder::default()
    }
    .record(100_000, nothing);
    capture.info.step = Some(2.0_f64.powi(-15));
    assert_eq!(
        measure(&capture, Some(CARRIER_HZ))
            .quantisation
            .unwrap()
            .step,
        2.0_f64.powi(-7)
    );
}

#[test]
fn eight_bits_in_step_with_the_carrier_are_warned_of() {
    for (bits, carrier_hz, expected) in [
        (8, 125e3, vec![QualityKind::SynchronousSampling]),
        (8, CARRIER_HZ, vec![]),
        (16, 125e3, vec![]),
    ] {
        let recorder = Recorder {
            bits: Some(bits),
            carrier_hz,
            ..Recorder::default()
        };
        let quality = measure(&recorder.record(200_000, nothing), Some(carrier_hz));
        assert_eq!(
            kinds(&quality),
            expected,
            "{bits} {carrier_hz}: {quality:?}"
        );
    }
}

#[test]
fn broken_and_empty_captures_are_survived() {
    let flat = Capture::from_samples(vec![0.25; 50_000], RATE_HZ);
    assert!(kinds(&measure(&flat, None)).contains(&QualityKind::Flat));
    let empty = Capture::from_samples(Vec::new(), RATE_HZ);
    assert_eq!(kinds(&measure(&empty, Some(CARRIER_HZ))), []);
    let mut broken = Recorder {
        bits: None,
        ..Recorder::default()
    }
    .record(50_003, nothing);
    for (at, value) in [
        (17, f32::NAN),
        (20_000, f32::INFINITY),
        (50_002, f32::NEG_INFINITY),
    ] {
        broken.samples[at] = value;
    }
    let quality = measure(&broken, Some(CARRIER_HZ));
    assert_eq!(
        (quality.not_finite, kinds(&quality)),
        (3, vec![QualityKind::NotFinite])
    );
    assert!(quality.maximum < 1.0 && quality.rms.is_finite());
    for length in 1..70 {
        let short = Recorder::default().record(length, nothing);
        assert_eq!(measure(&short, Some(CARRIER_HZ)).samples, length as u64);
    }
}

#[test]
fn complex_captures_are_measured() {
    let samples: Vec<f32> = (0..200_000)
        .flat_map(|n| {
            let (sin, cos) = (TAU * 0.03 * f64::from(n)).sin_cos();
            let line = (-TAU * 0.2 * f64::from(n)).sin_cos();
            [
                (0.5 * cos + 0.01 * line.1 + 0.3) as f32,
                (0.5 * sin + 0.01 * line.0 + 0.4) as f32,
            ]
        })
        .collect();
    let capture = Capture::from_parts(samples, RATE_HZ, SampleKind::Complex);
    let quality = measure(&capture, Some(30e3));
    assert_eq!(quality.samples, 200_000);
    assert!((quality.dc_offset - 0.5).abs() < 1e-3);
    assert_eq!(quality.interference.len(), 1, "{:?}", quality.interference);
    assert!((quality.interference[0].frequency_hz + 200e3).abs() < 10.0);
    assert!((quality.interference[0].amplitude - 0.01).abs() < 1e-3);
}

#[test]
fn lost_samples_show_as_phase_jumps_and_modulation_does_not() {
    let mut random = ChaCha8Rng::seed_from_u64(5);
    let normal = Normal::new(0.0, 0.02).unwrap();
    // 15.6 kS/s baseband, 3 Hz off, modulated in phase by 4° and in amplitude by 10 %; 3 samples at 1 MS/s are lost.
    let lost = TAU * 0.125 * 3.0;
    let baseband: Vec<Complex32> = (0..8_000)
        .map(|n| {
            let half_bit = if (n / 4_u32).wrapping_mul(2_654_435_761) >> 31 == 0 {
                -0.5
            } else {
                0.5
            };
            let jump = if n < 3_210 { 0.0 } else { lost };
            let phase = TAU * 3.0 / 15_625.0 * f64::from(n) + 0.07 * half_bit + jump;
            let value = Complex32::from_polar(1.0 + 0.1 * half_bit as f32, phase as f32);
            value
                + Complex32::new(
                    normal.sample(&mut random) as f32,
                    normal.sample(&mut random) as f32,
                )
        })
        .collect();
    let jumps = phase_jumps(&baseband, 32, 0.35);
    assert_eq!(jumps.len(), 1, "{jumps:?}");
    assert!(jumps[0].sample.abs_diff(3_210) <= 2);
    assert!((jumps[0].radians - lost).abs() < 0.05);
    assert!(phase_jumps(&baseband[..3_000], 32, 0.35).is_empty());
    assert!(phase_jumps(&[], 32, 0.35).is_empty() && phase_jumps(&baseband, 1, 0.35).is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn the_cut_into_blocks_does_not_matter(cuts in proptest::collection::vec(1..30_000_usize, 1..20)) {
        let mut capture = Recorder::default().record(150_000, |n| 0.02 * (TAU * 50e-6 * n as f64).cos());
        capture.samples[70_000..70_060].fill(0.0);
        let whole = {
            let mut meter = QualityMeter::new(&capture.info);
            meter.push(&capture.samples);
            meter.finish(Some(CARRIER_HZ))
        };
        let mut meter = QualityMeter::new(&capture.info);
        let mut rest = capture.samples.as_slice();
        for cut in cuts.iter().cycle() {
            let (block, after) = rest.split_at((*cut).min(rest.len()));
            meter.push(block);
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        prop_assert_eq!(meter.finish(Some(CARRIER_HZ)), whole);
    }

    #[test]
    fn levels_in_decibel_do_not_depend_on_the_scale(power in -20..20_i32) {
        let record = |scale: f32| {
            let recorder = Recorder { bits: None, ..Recorder::default() };
            let mut capture = recorder.record(250_000, |n| 0.02 * (TAU * 50e-6 * n as f64).cos() + 0.005 * (TAU * 0.31 * n as f64).cos());
            capture.samples.iter_mut().for_each(|value| *value *= scale);
            measure(&capture, Some(CARRIER_HZ))
        };
        let (one, scaled) = (record(1.0), record(2.0_f32.powi(power)));
        prop_assert_eq!(kinds(&one), kinds(&scaled));
        for (one, scaled) in one.findings.iter().zip(&scaled.findings) {
            prop_assert!((one.value - scaled.value).abs() < 1e-6);
        }
    }
}
