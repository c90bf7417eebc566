use coilwright_signal::capture::{
    Capture, ReadError, ReadOptions, ReadWarning, SampleKind, Unit, WavFile, WavSample, WriteError,
    open, read, write_wav,
};
use proptest::prelude::*;

use super::bytes::{Wav, chunk, format_fields, read_file, read_in_blocks, read_stream};

fn default_options() -> ReadOptions {
    ReadOptions::default()
}

fn with_channel(channel: usize) -> ReadOptions {
    ReadOptions {
        channel: Some(channel),
        ..default_options()
    }
}

fn int16(values: &[i16]) -> Vec<u8> {
    values
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect()
}

/// Definition of the 16-bit scale, in double precision.
fn expected_16(values: &[i16]) -> Vec<f32> {
    values
        .iter()
        .map(|&value| (f64::from(value) / 32_768.0) as f32)
        .collect()
}

#[test]
fn a_plain_16_bit_file() {
    let file = Wav::new(1, 1, 1_000_000, 16, int16(&[-32_768, 0, 16_384, 32_767])).build();
    let (capture, warnings) = read_file(&file, "a.wav", &default_options()).unwrap();
    assert_eq!(capture.samples, [-1.0, 0.0, 0.5, 32_767.0 / 32_768.0]);
    assert_eq!(warnings, []);
    let info = capture.info;
    assert_eq!(info.sample_rate_hz, 1e6);
    assert_eq!((info.kind, info.unit), (SampleKind::Real, Unit::FullScale));
    assert_eq!((info.channel, info.channels), (0, 1));
    assert_eq!(
        (info.full_scale, info.step),
        (Some(1.0), Some(1.0 / 32_768.0))
    );
    assert_eq!(info.length, Some(4));
    assert_eq!(info.source.name, "a.wav");
    assert_eq!(info.source.format, "WAV, 16-bit integer");
}

#[test]
fn the_length_is_known_before_reading() {
    let mut file = Wav::new(1, 2, 48_000, 16, int16(&[0; 10]));
    file.after = chunk(*b"LIST", b"INFO");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.wav");
    std::fs::write(&path, file.build()).unwrap();
    assert_eq!(
        open(&path, &default_options()).unwrap().info().length,
        Some(5)
    );
}

proptest! {
    #[test]
    fn integers_come_back_equal(
        values in prop::collection::vec(any::<i32>(), 1..300),
        bytes in 1_usize..=4,
        channels in 1_u16..4,
        chosen in 0_usize..3,
    ) {
        let chosen = chosen % usize::from(channels);
        let values = &values[..values.len() - values.len() % usize::from(channels)];
        let shift = 32 - 8 * bytes as u32;
        let mut data = Vec::new();
        for value in values {
            let stored = if bytes == 1 { (value >> shift) + 128 } else { value >> shift };
            data.extend(&stored.to_le_bytes()[..bytes]);
        }
        let file = Wav::new(1, channels, 96_000, 8 * bytes as u16, data).build();
        let limit = (8.0 * bytes as f64 - 1.0).exp2();
        let expected: Vec<f32> = values
            .iter()
            .skip(chosen)
            .step_by(usize::from(channels))
            .map(|value| (f64::from(value >> shift) / limit) as f32)
            .collect();
        let (capture, _) = read_file(&file, "a.wav", &with_channel(chosen)).unwrap();
        prop_assert_eq!(&capture.samples, &expected);
        let (streamed, _) = read_stream(&file, "-", &with_channel(chosen)).unwrap();
        prop_assert_eq!(&streamed.samples, &expected);
    }

    #[test]
    fn floats_come_back_equal(values in prop::collection::vec(-10.0_f32..10.0, 1..200)) {
        let single = values.iter().flat_map(|value| value.to_le_bytes()).collect();
        let double = values.iter().flat_map(|&value| f64::from(value).to_le_bytes()).collect();
        for (bits, data) in [(32, single), (64, double)] {
            let (capture, warnings) = read_file(&Wav::new(3, 1, 8000, bits, data).build(), "a", &default_options()).unwrap();
            prop_assert_eq!(&capture.samples, &values);
            prop_assert_eq!(warnings, vec![]);
        }
    }

    #[test]
    fn any_block_size_gives_the_same_samples(
        values in prop::collection::vec(any::<i16>(), 1..500),
        block in 1_usize..700,
    ) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        std::fs::write(&path, Wav::new(1, 1, 8000, 16, int16(&values)).build()).unwrap();
        let source = open(&path, &default_options()).unwrap();
        prop_assert_eq!(read_in_blocks(source, block), expected_16(&values));
    }

    #[test]
    fn what_is_written_comes_back(values in prop::collection::vec(-1.0_f32..=1.0, 0..200)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let capture = Capture::from_samples(values.clone(), 1e6);
        // Half a step of rounding, one step where +1 is clipped to the largest code.
        for (stored, tolerance) in [
            (WavSample::Int8, 1.0 / 128.0),
            (WavSample::Int16, 1.0 / 32_768.0),
            (WavSample::Int24, 1.0 / 8_388_608.0),
            (WavSample::Int32, f32::EPSILON),
            (WavSample::Float32, 0.0),
        ] {
            write_wav(&path, &capture, stored).unwrap();
            let (back, _) = read(&path, &default_options()).unwrap();
            prop_assert_eq!(back.samples.len(), values.len());
            for (one, other) in back.samples.iter().zip(&values) {
                prop_assert!((one - other).abs() <= tolerance, "{} {} {:?}", one, other, stored);
            }
        }
    }
}

/// Frame of two channels, then the recorder's usual ways to die.
#[test]
fn a_dead_recorder_is_read_as_far_as_it_goes() {
    for size in [0, u32::MAX] {
        let mut file = Wav::new(1, 1, 8000, 16, int16(&[1, 2, 3]));
        file.data_size = Some(size);
        for (capture, warnings) in [
            read_file(&file.build(), "a", &default_options()).unwrap(),
            read_stream(&file.build(), "a", &default_options()).unwrap(),
        ] {
            assert_eq!(capture.samples, expected_16(&[1, 2, 3]));
            assert_eq!(
                warnings,
                [ReadWarning::DataSizeMissing {
                    offset_bytes: 40,
                    found: size
                }]
            );
        }
    }
}

#[test]
fn a_size_longer_than_the_file_is_read_as_far_as_it_goes() {
    let mut file = Wav::new(1, 1, 8000, 16, int16(&[1, 2, 3]));
    file.data_size = Some(1000);
    file.data.push(7);
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(capture.samples, expected_16(&[1, 2, 3]));
    assert_eq!(
        warnings,
        [
            ReadWarning::DataCut {
                offset_bytes: 51,
                declared_bytes: 1000,
                found_bytes: 7
            },
            ReadWarning::PartialSample {
                offset_bytes: 50,
                found_bytes: 1,
                expected_bytes: 2
            },
        ]
    );
}

#[test]
fn an_empty_data_chunk_before_another_chunk_is_empty() {
    let mut file = Wav::new(1, 1, 8000, 16, Vec::new());
    assert_eq!(
        read_file(&file.build(), "a", &default_options()).unwrap().1,
        [ReadWarning::NoSamples]
    );
    file.after = chunk(*b"LIST", b"INFOsome words");
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert!(capture.samples.is_empty());
    assert_eq!(warnings, [ReadWarning::NoSamples]);
}

#[test]
fn what_follows_the_samples_is_left_alone() {
    let mut file = Wav::new(1, 1, 8000, 8, vec![128, 192, 0]);
    file.after = [vec![0], chunk(*b"LIST", b"INFOsome words")].concat();
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(capture.samples, [0.0, 0.5, -1.0]);
    assert_eq!(warnings, []);
}

#[test]
fn format_chunks_of_odd_sizes() {
    let values = [5, -5];
    for extra in [0, 2, 3, 4, 24, 100] {
        let mut file = Wav::new(1, 1, 8000, 16, int16(&values));
        file.format.extend(vec![0; extra]);
        let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
        assert_eq!(capture.samples, expected_16(&values));
        assert_eq!(warnings, []);
    }
}

#[test]
fn twenty_bits_in_twenty_four() {
    let data = vec![0, 0, 0x80, 0x10, 0, 0];
    let file = Wav::new(1, 1, 8000, 24, data).extensible(20).build();
    let (capture, warnings) = read_file(&file, "a", &default_options()).unwrap();
    assert_eq!(capture.samples, [-1.0, 1.0 / 524_288.0]);
    assert_eq!(warnings, []);
    assert_eq!(capture.info.step, Some(1.0 / 524_288.0));
    assert_eq!(capture.info.source.format, "WAV, 20-bit integer in 24 bits");
}

#[test]
fn more_valid_bits_than_there_are_is_repaired() {
    let file = Wav::new(1, 1, 8000, 16, int16(&[1])).extensible(24).build();
    let (capture, warnings) = read_file(&file, "a", &default_options()).unwrap();
    assert_eq!(capture.info.step, Some(1.0 / 32_768.0));
    assert_eq!(
        warnings,
        [ReadWarning::WavFormatRepaired {
            field: "valid bits",
            found: 24,
            used: 16
        }]
    );
}

#[test]
fn a_wrong_frame_size_is_repaired() {
    let mut file = Wav::new(1, 2, 8000, 16, int16(&[1, 2]));
    file.format[12..14].copy_from_slice(&0_u16.to_le_bytes());
    let (capture, warnings) = read_file(&file.build(), "a", &with_channel(1)).unwrap();
    assert_eq!(capture.samples, expected_16(&[2]));
    assert_eq!(
        warnings,
        [ReadWarning::WavFormatRepaired {
            field: "bytes per frame",
            found: 0,
            used: 4
        }]
    );
}

#[test]
fn twelve_bits_and_twenty_four_in_thirty_two() {
    let mut file = Wav::new(1, 1, 8000, 12, int16(&[-32_768, 16]));
    assert_eq!(
        read_file(&file.build(), "a", &default_options())
            .unwrap()
            .0
            .info
            .step,
        Some(1.0 / 2048.0)
    );
    file = Wav::new(1, 1, 8000, 24, vec![0, 0, 0, 0x80]);
    file.format[12..14].copy_from_slice(&4_u16.to_le_bytes());
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(
        (capture.samples, capture.info.step),
        (vec![-1.0], Some(1.0 / 8_388_608.0))
    );
    assert_eq!(warnings, []);
}

#[test]
fn unknown_chunks_are_skipped_with_their_padding_or_without() {
    let mut file = Wav::new(1, 1, 8000, 16, int16(&[9]));
    file.before = chunk(*b"junk", &[1, 2, 3]);
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!((capture.samples, warnings), (expected_16(&[9]), vec![]));
    file.before.pop();
    let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(capture.samples, expected_16(&[9]));
    assert_eq!(warnings, [ReadWarning::PaddingMissing { offset_bytes: 23 }]);
}

/// EBU Tech 3306: the ds64 chunk holds the sizes that 32 bits cannot.
#[test]
fn long_containers_take_their_size_from_ds64() {
    let mut long_sizes = Vec::new();
    for size in [0_u64, 6, 3] {
        long_sizes.extend(size.to_le_bytes());
    }
    long_sizes.extend(0_u32.to_le_bytes());
    for (container, words) in [
        (*b"RF64", "RF64, 16-bit integer"),
        (*b"BW64", "BW64, 16-bit integer"),
    ] {
        let mut file = Wav::new(1, 1, 8000, 16, int16(&[1, 2, 3]));
        file.container = container;
        file.before = chunk(*b"ds64", &long_sizes);
        file.data_size = Some(u32::MAX);
        file.after = chunk(*b"LIST", b"INFO");
        let (capture, warnings) = read_file(&file.build(), "a", &default_options()).unwrap();
        assert_eq!(capture.samples, expected_16(&[1, 2, 3]));
        assert_eq!(warnings, []);
        assert_eq!(capture.info.source.format, words);
    }
}

/// EBU Tech 3285: description 256, originator 32, reference 32, then date 10 and time 8 characters.
#[test]
fn the_start_time_of_a_broadcast_wave() {
    let mut content = vec![0; 320];
    content.extend(b"2031-05-0607:08:09");
    content.extend(vec![0; 264]);
    let mut file = Wav::new(1, 1, 8000, 16, int16(&[1]));
    file.before = chunk(*b"bext", &content);
    let (capture, _) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(
        capture.info.start_time.as_deref(),
        Some("2031-05-06T07:08:09")
    );
    file.before = chunk(*b"bext", &vec![0; 602]);
    let (capture, _) = read_file(&file.build(), "a", &default_options()).unwrap();
    assert_eq!(capture.info.start_time, None);
}

#[test]
fn values_that_are_no_number_become_zero_and_are_counted() {
    let values = [1.0, f32::NAN, f32::INFINITY, 0.5, f32::NEG_INFINITY];
    let data = values
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect();
    let (capture, warnings) = read_file(
        &Wav::new(3, 1, 8000, 32, data).build(),
        "a",
        &default_options(),
    )
    .unwrap();
    assert_eq!(capture.samples, [1.0, 0.0, 0.0, 0.5, 0.0]);
    assert_eq!(
        warnings,
        [ReadWarning::NonFinite {
            count: 3,
            first_sample: 1
        }]
    );
}

#[test]
fn a_channel_that_was_not_chosen_and_a_rate_that_was() {
    let file = Wav::new(1, 2, 8000, 16, int16(&[1, 2])).build();
    let options = ReadOptions {
        sample_rate_hz: Some(1e6),
        ..default_options()
    };
    let (capture, warnings) = read_file(&file, "a", &options).unwrap();
    assert_eq!(capture.info.sample_rate_hz, 1e6);
    assert_eq!(
        warnings,
        [
            ReadWarning::ChannelAssumed { channels: 2 },
            ReadWarning::RateOverruled {
                stated_hz: 8000.0,
                used_hz: 1e6
            }
        ]
    );
}

/// Cut at every byte: an error, or a warning and the exact start of the samples.
#[test]
fn cut_at_every_byte() {
    let values = [100, -200, 300, -400, 500];
    let mut plain = Wav::new(1, 1, 8000, 16, int16(&values));
    plain.before = chunk(*b"junk", &[1, 2, 3]);
    let extensible = plain.clone().extensible(16);
    for whole in [plain.build(), extensible.build()] {
        for length in 0..whole.len() {
            let cut = &whole[..length];
            for outcome in [
                read_file(cut, "a", &default_options()),
                read_stream(cut, "a", &default_options()),
            ] {
                match outcome {
                    Ok((capture, warnings)) => {
                        assert_ne!(warnings, []);
                        assert_eq!(
                            capture.samples,
                            expected_16(&values)[..capture.samples.len()]
                        );
                        assert_eq!(capture.samples.len(), (length + 10 - whole.len()) / 2);
                    }
                    Err(error) => assert!(length <= whole.len() - 10, "{error}"),
                }
            }
        }
    }
}

#[test]
fn nothing_is_left_of_a_file_that_was_not_finished() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.wav");
    let mut file = WavFile::create(&path, 8000.0, WavSample::Int24).unwrap();
    file.write(&[0.1; 10]).unwrap();
    drop(file);
    let complex = Capture::from_parts(vec![0.0; 4], 8000.0, SampleKind::Complex);
    assert!(matches!(
        write_wav(&path, &complex, WavSample::Int16),
        Err(WriteError::Complex { .. })
    ));
    let fractional = Capture::from_samples(vec![0.0; 4], 8000.5);
    assert!(matches!(
        write_wav(&path, &fractional, WavSample::Int16),
        Err(WriteError::SampleRate { .. })
    ));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn an_older_file_stays_until_the_new_one_is_complete() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.wav");
    std::fs::write(&path, b"older").unwrap();
    let file = WavFile::create(&path, 8000.0, WavSample::Int16).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), b"older");
    file.finish().unwrap();
    assert!(
        read(&path, &default_options())
            .unwrap()
            .0
            .samples
            .is_empty()
    );
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn compressed_or_senseless_formats_are_refused() {
    let with_format = |format: Vec<u8>| {
        let mut file = Wav::new(1, 1, 8000, 16, vec![0; 4]);
        file.format = format;
        read_file(&file.build(), "a", &default_options()).unwrap_err()
    };
    assert!(matches!(
        with_format(format_fields(7, 1, 8000, 8)),
        ReadError::WavEncoding { tag: 7, .. }
    ));
    assert!(matches!(
        with_format(format_fields(1, 0, 8000, 16)),
        ReadError::WavLayout { .. }
    ));
    assert!(matches!(
        with_format(format_fields(1, 1, 8000, 0)),
        ReadError::WavLayout { .. }
    ));
    assert!(matches!(
        with_format(format_fields(3, 1, 8000, 16)),
        ReadError::WavLayout { .. }
    ));
    assert!(matches!(
        with_format(format_fields(1, 1, 0, 16)),
        ReadError::SampleRateInvalid { .. }
    ));
    assert!(matches!(
        with_format(format_fields(1, 40_000, 8000, 16)),
        ReadError::FrameSize { .. }
    ));
}
