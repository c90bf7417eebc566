//! The nature of a signal from its head.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{CarrierOptions, Recognition, SignalKind, folded_hz, recognise};
use coilwright_signal::code::manchester;
use coilwright_signal::frame::{ReadOnly64, read_only_64};

use crate::published_frames::path;
use crate::synthetic::{Answer, add_line};

/// The table gives its input frequencies to the hertz.
const ROUNDING_HZ: f64 = 0.51;

fn key_at(sample_rate_hz: f64, carrier_hz: f64) -> Answer {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 1,
        number: 0x0203_0405,
    });
    let mut answer = Answer::new(
        manchester::encode(&frame, manchester::Convention::Thomas),
        64.0,
    );
    answer.sample_rate_hz = sample_rate_hz;
    answer.carrier_hz = carrier_hz;
    answer
}

fn look(samples: &[f32], sample_rate_hz: f64) -> Recognition {
    recognise(
        samples,
        SampleKind::Real,
        sample_rate_hz,
        &CarrierOptions::default(),
    )
}

#[test]
fn frequencies_fold_where_the_published_table_says() {
    let text = std::fs::read_to_string(path("alias.csv")).unwrap();
    for line in text.lines().skip(1) {
        let number: Vec<f64> = line
            .split(',')
            .take(3)
            .map(|column| column.parse().unwrap())
            .collect();
        assert!(
            (folded_hz(number[1], number[0]) - number[2]).abs() < ROUNDING_HZ,
            "{line}"
        );
    }
}

#[test]
fn a_carrier_below_half_the_rate_is_direct() {
    for (sample_rate_hz, carrier_hz) in [
        (1e6, 125_003.7),
        (384e3, 134_150.0),
        (500e3, 121_900.0),
        (2e6, 140_000.0),
    ] {
        let seen = look(
            &key_at(sample_rate_hz, carrier_hz).samples(0.1),
            sample_rate_hz,
        );
        assert_eq!(seen.kind, SignalKind::Direct);
        assert!(
            (seen.true_hz - carrier_hz).abs() < 1.0 && seen.apparent_hz == seen.true_hz,
            "{seen:?}"
        );
        assert!(
            seen.ambiguous_with_hz
                .iter()
                .all(|hz| (hz - carrier_hz).abs() > 1.0)
        );
    }
}

#[test]
fn a_folded_carrier_is_put_back_into_its_zone() {
    for (sample_rate_hz, carrier_hz, zone) in [
        (192e3, 125_010.0, 2),
        (192e3, 134_190.0, 2),
        (96e3, 125_010.0, 3),
        (48e3, 124_990.0, 6),
        (44.1e3, 125_010.0, 6),
        (200e3, 134_190.0, 2),
    ] {
        let seen = look(
            &key_at(sample_rate_hz, carrier_hz).samples(0.5),
            sample_rate_hz,
        );
        assert_eq!(
            seen.kind,
            SignalKind::Aliased {
                zone,
                inverted: zone % 2 == 0
            },
            "{sample_rate_hz} {carrier_hz}"
        );
        assert!((seen.true_hz - carrier_hz).abs() < 1.0, "{seen:?}");
        assert!((seen.apparent_hz - folded_hz(carrier_hz, sample_rate_hz)).abs() < 1.0);
    }
}

#[test]
fn the_other_origins_of_a_folded_carrier_are_stated() {
    let seen = look(&key_at(44.1e3, 125e3).samples(0.5), 44.1e3);
    assert_eq!(seen.ambiguous_with_hz.len(), 1);
    assert!(
        (seen.ambiguous_with_hz[0] - 139_600.0).abs() < 1.0,
        "{:?}",
        seen.ambiguous_with_hz
    );
}

#[test]
fn a_stronger_folded_harmonic_is_not_the_carrier() {
    // A broken ring that resonates at the seventh harmonic of the drive: 875.026 kHz folds to 124.974 kHz at
    // 1 MS/s, with 20 times the level of the carrier.
    let mut answer = key_at(1e6, 125_003.7);
    answer.levels = Vec::new();
    let mut samples = answer.samples(0.131_072);
    add_line(&mut samples, 1e6, 7.0 * 125_003.7, 20.0 * answer.amplitude);
    let seen = look(&samples, 1e6);
    assert!(
        (seen.true_hz - 125_003.7).abs() < 2.0,
        "{:?}",
        seen.candidates
    );
    assert!(
        seen.candidates
            .iter()
            .any(|line| line.harmonic_of_hz.is_some())
    );
}

#[test]
fn a_converter_harmonic_is_marked() {
    let mut answer = key_at(1e6, 125e3);
    answer.amplitude = 1e-3;
    answer.depth = 0.0;
    answer.carrier_hz = 3.0 * 41_900.0;
    answer.snr_db = 20.0;
    let mut samples = answer.samples(0.131);
    add_line(&mut samples, 1e6, 41_900.0, 0.02);
    let seen = look(&samples, 1e6);
    let base = seen.candidates[0].harmonic_of_hz.unwrap();
    assert!((base - 41_900.0).abs() < 5.0);
}

#[test]
fn a_detector_output_is_an_envelope() {
    for sample_rate_hz in [44.1e3, 48e3, 96e3] {
        for level in [1.0, 0.0] {
            let answer = key_at(sample_rate_hz, 125e3);
            let samples = answer.envelope(0.5, level);
            let seen = look(&samples, sample_rate_hz);
            assert_eq!(
                seen.kind,
                SignalKind::Envelope,
                "{sample_rate_hz} {level} {seen:?}"
            );
            assert_eq!(seen.true_hz, 125e3);
        }
    }
}

#[test]
fn noise_and_nothing_have_no_carrier() {
    let mut answer = key_at(1e6, 125e3);
    answer.snr_db = -60.0;
    assert_eq!(
        look(&answer.samples(0.131), 1e6).kind,
        SignalKind::NoCarrier
    );
    assert_eq!(look(&[], 1e6).kind, SignalKind::NoCarrier);
    assert_eq!(look(&[0.0; 4096], 1e6).kind, SignalKind::NoCarrier);
    assert_eq!(look(&[f32::NAN; 4096], 1e6).kind, SignalKind::NoCarrier);
    let none = recognise(&[], SampleKind::Complex, 1e6, &CarrierOptions::default());
    assert_eq!(none.kind, SignalKind::NoCarrier);
}

#[test]
fn complex_samples_show_the_strongest_line() {
    let answer = key_at(62_500.0, 3_000.0);
    let pairs = answer.pairs(0.3, -3_000.0);
    let seen = recognise(
        &pairs,
        SampleKind::Complex,
        62_500.0,
        &CarrierOptions::default(),
    );
    assert_eq!(seen.kind, SignalKind::ComplexBaseband);
    assert!((seen.apparent_hz + 3_000.0).abs() < 1.0, "{seen:?}");
    assert_eq!(seen.true_hz, 125e3);
}

#[test]
fn a_stated_nature_is_obeyed() {
    let samples = key_at(1e6, 125e3).samples(0.05);
    let options = CarrierOptions {
        forced: Some(SignalKind::Envelope),
        nominal_hz: None,
    };
    assert_eq!(
        recognise(&samples, SampleKind::Real, 1e6, &options).kind,
        SignalKind::Envelope
    );
}
