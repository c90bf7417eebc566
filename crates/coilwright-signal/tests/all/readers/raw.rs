use coilwright_signal::capture::{
    Capture, RawType, ReadError, ReadOptions, ReadWarning, SampleKind, Unit, read_all,
};
use proptest::prelude::*;

use super::bytes::{read_file, read_stream};

fn options(stored: &str) -> ReadOptions {
    ReadOptions {
        raw_type: Some(stored.parse().unwrap()),
        sample_rate_hz: Some(1e6),
        ..ReadOptions::default()
    }
}

/// Every name that can be written, from the definition of the notation.
fn names() -> Vec<String> {
    let mut names = Vec::new();
    for kind in ["", "c"] {
        for (letter, widths) in [
            ("i", &[8, 16, 24, 32, 64][..]),
            ("u", &[8, 16, 24, 32, 64]),
            ("f", &[32, 64]),
        ] {
            for bits in widths {
                let orders: &[&str] = if *bits == 8 { &[""] } else { &["le", "be"] };
                names.extend(
                    orders
                        .iter()
                        .map(|order| format!("{kind}{letter}{bits}{order}")),
                );
            }
        }
    }
    names
}

#[test]
fn every_name_is_understood_and_shown_again() {
    assert_eq!(names().len(), 2 * (2 * 9 + 4));
    for name in names() {
        let stored: RawType = name.parse().unwrap();
        assert_eq!(stored.to_string(), name);
    }
    assert_eq!(
        "ci16_le".parse::<RawType>().unwrap(),
        "CI16LE".parse().unwrap()
    );
    assert_eq!(
        "rf32_be".parse::<RawType>().unwrap(),
        "f32be".parse().unwrap()
    );
    for name in [
        "",
        "c",
        "i16",
        "f16le",
        "i12le",
        "x8",
        "i8le16",
        "i-8",
        "le",
        "i999999999999999999999le",
    ] {
        assert!(
            matches!(
                name.parse::<RawType>(),
                Err(ReadError::RawTypeUnknown { .. })
            ),
            "{name}"
        );
    }
}

/// The samples of a file of this type, from its definition and in double precision.
fn naive(name: &str, bytes: &[u8]) -> Vec<f32> {
    let real = name.trim_start_matches('c');
    let letter = &real[..1];
    let big = name.ends_with("be");
    let bits: usize = real[1..]
        .trim_end_matches("le")
        .trim_end_matches("be")
        .parse()
        .unwrap();
    let size = bits / 8;
    let mut values = Vec::new();
    for stored in bytes.chunks_exact(size) {
        let mut code: u64 = 0;
        for place in 0..size {
            code |= u64::from(stored[if big { size - 1 - place } else { place }]) << (8 * place);
        }
        let limit = (bits as f64 - 1.0).exp2();
        let value = match (letter, bits) {
            ("f", 32) => f64::from(f32::from_bits(code as u32)),
            ("f", _) => f64::from_bits(code),
            ("u", _) => (code as f64 - limit) / limit,
            _ => {
                let shift = 64 - bits;
                ((code << shift).cast_signed() >> shift) as f64 / limit
            }
        };
        let value = value as f32;
        values.push(if value.is_finite() { value } else { 0.0 });
    }
    let width = if name.starts_with('c') { 2 } else { 1 };
    values.truncate(values.len() - values.len() % width);
    values
}

/// One rounding to single precision, where the reference has two: to double and to single.
const TOLERANCE: f32 = f32::EPSILON;

proptest! {
    #[test]
    fn any_bytes_are_read_by_definition(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        for name in names() {
            let expected = naive(&name, &bytes);
            let (capture, _) = read_file(&bytes, "a", &options(&name)).unwrap();
            prop_assert_eq!(capture.samples.len(), expected.len(), "{}", name);
            for (one, other) in capture.samples.iter().zip(&expected) {
                prop_assert!((one - other).abs() <= TOLERANCE * other.abs().max(f32::MIN_POSITIVE)
                    || (one - other).abs() <= TOLERANCE && !name.contains('f'), "{} {} {}", name, one, other);
            }
            let (streamed, _) = read_stream(&bytes, "-", &options(&name)).unwrap();
            prop_assert_eq!(&streamed.samples, &capture.samples);
        }
    }

    #[test]
    fn a_channel_is_what_stands_at_its_place(
        values in prop::collection::vec(any::<i8>(), 0..200),
        channels in 1_usize..5,
        chosen in 0_usize..5,
    ) {
        let chosen = chosen % channels;
        let bytes: Vec<u8> = values.iter().map(|value| value.cast_unsigned()).collect();
        let choice = ReadOptions { channel: Some(chosen), raw_channels: Some(channels), ..options("i8") };
        let (capture, _) = read_file(&bytes, "a", &choice).unwrap();
        let expected: Vec<f32> = values
            .chunks_exact(channels)
            .map(|frame| f32::from(frame[chosen]) / 128.0)
            .collect();
        prop_assert_eq!(capture.samples, expected);
        prop_assert_eq!((capture.info.channel, capture.info.channels), (chosen, channels));
    }

    #[test]
    fn a_capture_in_memory_is_given_as_it_is(
        samples in prop::collection::vec(-2.0_f32..2.0, 0..100),
        complex in any::<bool>(),
    ) {
        let kind = if complex { SampleKind::Complex } else { SampleKind::Real };
        let samples = samples[..samples.len() - samples.len() % kind.width()].to_vec();
        let capture = Capture::from_parts(samples, 1e6, kind);
        let (back, warnings) = read_all(&mut capture.clone().into_source()).unwrap();
        prop_assert_eq!(back, capture);
        prop_assert_eq!(warnings, vec![]);
    }
}

#[test]
fn cut_at_every_byte() {
    let whole: Vec<u8> = [100_i16, -200, 300, -400]
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect();
    for name in ["i16le", "ci16le"] {
        let all = naive(name, &whole);
        for length in 0..=whole.len() {
            let stored: RawType = name.parse().unwrap();
            for outcome in [
                read_file(&whole[..length], "a", &options(name)),
                read_stream(&whole[..length], "a", &options(name)),
            ] {
                let (capture, warnings) = outcome.unwrap();
                let samples = length / stored.bytes();
                assert_eq!(capture.samples, all[..samples * stored.kind().width()]);
                assert_eq!(
                    warnings.is_empty(),
                    length % stored.bytes() == 0 && length > 0
                );
            }
        }
    }
}

#[test]
fn what_is_known_of_bare_samples() {
    let (capture, warnings) = read_file(&[0; 8], "a.bin", &options("ci16le")).unwrap();
    assert_eq!(capture.info.kind, SampleKind::Complex);
    assert_eq!(
        (capture.info.unit, capture.info.step),
        (Unit::FullScale, Some(1.0 / 32_768.0))
    );
    assert_eq!(capture.info.length, Some(2));
    assert_eq!(
        capture.info.source.format,
        "bare samples, complex 16-bit integer"
    );
    assert_eq!(warnings, []);
    let (capture, _) = read_file(&[0; 8], "a.bin", &options("f32le")).unwrap();
    assert_eq!(
        (
            capture.info.unit,
            capture.info.step,
            capture.info.full_scale
        ),
        (Unit::Unknown, None, None)
    );
}

#[test]
fn bare_samples_need_a_rate_and_a_channel_that_exists() {
    let without_rate = ReadOptions {
        sample_rate_hz: None,
        ..options("i8")
    };
    assert!(matches!(
        read_file(&[1], "a", &without_rate),
        Err(ReadError::SampleRateMissing { .. })
    ));
    for found_hz in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let bad = ReadOptions {
            sample_rate_hz: Some(found_hz),
            ..options("i8")
        };
        assert!(matches!(
            read_file(&[1], "a", &bad),
            Err(ReadError::SampleRateInvalid { .. })
        ));
    }
    let no_channels = ReadOptions {
        raw_channels: Some(0),
        ..options("i8")
    };
    assert!(matches!(
        read_file(&[1], "a", &no_channels),
        Err(ReadError::NoChannels { .. })
    ));
    let huge = ReadOptions {
        raw_channels: Some(usize::MAX),
        ..options("cf64le")
    };
    assert!(matches!(
        read_file(&[1], "a", &huge),
        Err(ReadError::FrameSize { .. })
    ));
}

#[test]
fn a_capture_in_memory_may_hold_values_that_are_no_number() {
    let capture = Capture::from_samples(vec![1.0, f32::NAN, f32::INFINITY], 1e6);
    let (back, warnings) = read_all(&mut capture.into_source()).unwrap();
    assert_eq!(back.samples, [1.0, 0.0, 0.0]);
    assert_eq!(
        warnings,
        [ReadWarning::NonFinite {
            count: 2,
            first_sample: 1
        }]
    );
}
