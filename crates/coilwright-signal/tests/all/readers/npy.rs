use coilwright_signal::capture::{ReadError, ReadOptions, ReadWarning, SampleKind, Unit};
use proptest::prelude::*;

use super::bytes::{npy, read_file, read_stream};

fn options() -> ReadOptions {
    ReadOptions {
        sample_rate_hz: Some(1e6),
        ..ReadOptions::default()
    }
}

fn with_channel(channel: usize) -> ReadOptions {
    ReadOptions {
        channel: Some(channel),
        ..options()
    }
}

fn floats(values: &[f32]) -> Vec<u8> {
    values
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect()
}

proptest! {
    #[test]
    fn one_axis_comes_back_equal(values in prop::collection::vec(-10.0_f32..10.0, 1..200)) {
        let shape = format!("({},)", values.len());
        let swapped: Vec<u8> = values.iter().flat_map(|&value| f64::from(value).to_be_bytes()).collect();
        for version in 1..=3 {
            for order in ["False", "True"] {
                for (descr, data) in [("'<f4'", floats(&values)), ("'>f8'", swapped.clone())] {
                    let file = npy(version, descr, order, &shape, &data);
                    for outcome in [read_file(&file, "a", &options()), read_stream(&file, "-", &options())] {
                        let (capture, warnings) = outcome.unwrap();
                        prop_assert_eq!(&capture.samples, &values);
                        prop_assert_eq!(warnings, vec![]);
                    }
                }
            }
        }
    }

    #[test]
    fn two_axes_in_either_order_give_the_chosen_channel(
        channels in 1_usize..4,
        length in 4_usize..50,
        chosen in 0_usize..4,
        rows_are_channels in any::<bool>(),
        fortran in any::<bool>(),
    ) {
        let chosen = chosen % channels;
        let value = |channel: usize, time: usize| (100 * channel + time) as f32;
        let (rows, columns) = if rows_are_channels { (channels, length) } else { (length, channels) };
        let at = |row: usize, column: usize| if rows_are_channels { value(row, column) } else { value(column, row) };
        let mut values = Vec::new();
        if fortran {
            for column in 0..columns {
                values.extend((0..rows).map(|row| at(row, column)));
            }
        } else {
            for row in 0..rows {
                values.extend((0..columns).map(|column| at(row, column)));
            }
        }
        let order = if fortran { "True" } else { "False" };
        let file = npy(1, "'<f4'", order, &format!("({rows}, {columns})"), &floats(&values));
        let (capture, warnings) = read_file(&file, "a", &with_channel(chosen)).unwrap();
        let expected: Vec<f32> = (0..length).map(|time| value(chosen, time)).collect();
        prop_assert_eq!(capture.samples, expected);
        prop_assert_eq!(warnings, vec![]);
        prop_assert_eq!((capture.info.channel, capture.info.channels), (chosen, channels));
        prop_assert_eq!(capture.info.length, Some(length as u64));
    }
}

#[test]
fn integers_and_complex_numbers() {
    let (capture, _) = read_file(
        &npy(1, "'>i2'", "False", "(2,)", &[0x80, 0, 0x40, 0]),
        "a",
        &options(),
    )
    .unwrap();
    assert_eq!(capture.samples, [-1.0, 0.5]);
    assert_eq!(
        (capture.info.unit, capture.info.step),
        (Unit::FullScale, Some(1.0 / 32_768.0))
    );
    let (capture, _) = read_file(
        &npy(1, "'|u1'", "False", "(2,)", &[0, 192]),
        "a",
        &options(),
    )
    .unwrap();
    assert_eq!(capture.samples, [-1.0, 0.5]);
    let file = npy(2, "'<c8'", "False", "(2,)", &floats(&[1.0, 2.0, 3.0, 4.0]));
    let (capture, _) = read_file(&file, "a", &options()).unwrap();
    assert_eq!(capture.samples, [1.0, 2.0, 3.0, 4.0]);
    assert_eq!(
        (capture.info.kind, capture.info.unit),
        (SampleKind::Complex, Unit::Unknown)
    );
    assert_eq!(capture.info.length, Some(2));
    assert_eq!(capture.info.source.format, "NPY, complex 32-bit float");
    let mut wide = Vec::new();
    for value in [1.0_f64, -2.0] {
        wide.extend(value.to_le_bytes());
    }
    let (capture, _) =
        read_file(&npy(1, "'<c16'", "False", "(1,)", &wide), "a", &options()).unwrap();
    assert_eq!(capture.samples, [1.0, -2.0]);
}

/// The header as `numpy.save` writes it, byte for byte (from NumPy 2.2: `np.save(f, np.array([1, -2], "<i2"))`).
#[test]
fn a_file_that_numpy_wrote() {
    let mut file =
        b"\x93NUMPY\x01\x00v\x00{'descr': '<i2', 'fortran_order': False, 'shape': (2,), }".to_vec();
    file.resize(127, b' ');
    file.push(b'\n');
    file.extend([1, 0, 0xFE, 0xFF]);
    let (capture, warnings) = read_file(&file, "a.npy", &options()).unwrap();
    assert_eq!(capture.samples, [1.0 / 32_768.0, -2.0 / 32_768.0]);
    assert_eq!(warnings, []);
}

#[test]
fn what_is_no_plain_array_is_refused() {
    let refuse = |descr: &str, order: &str, shape: &str| {
        read_file(&npy(1, descr, order, shape, &[0; 64]), "a", &options()).unwrap_err()
    };
    for descr in [
        "'|O'",
        "'<f2'",
        "'<f16'",
        "'|b1'",
        "'<U5'",
        "[('a', '<i2')]",
        "'<c4'",
        "'i2'",
        "'",
        "<i2",
    ] {
        assert!(
            matches!(refuse(descr, "False", "(2,)"), ReadError::NpyType { .. }),
            "{descr}"
        );
    }
    for shape in [
        "()",
        "(2, 2, 2)",
        "2",
        "(a,)",
        "(-1,)",
        "(99999999999999999999,)",
        "(2",
    ] {
        assert!(
            matches!(refuse("'<i2'", "False", shape), ReadError::NpyShape { .. }),
            "{shape}"
        );
    }
    assert!(matches!(
        refuse("'<i2'", "None", "(2,)"),
        ReadError::NpyHeader { .. }
    ));
    assert!(matches!(
        refuse("'<i2'", "False", "(0, 5)"),
        ReadError::NoChannels { .. }
    ));
    let version = npy(4, "'<i2'", "False", "(2,)", &[0; 4]);
    assert!(matches!(
        read_file(&version, "a", &options()),
        Err(ReadError::NpyHeader { .. })
    ));
    let long = b"\x93NUMPY\x02\x00\xFF\xFF\xFF\xFF{".to_vec();
    assert!(matches!(
        read_file(&long, "a", &options()),
        Err(ReadError::NpyHeader { .. })
    ));
    let file = npy(1, "'<i2'", "False", "(2,)", &[0; 4]);
    assert!(matches!(
        read_file(&file, "a", &ReadOptions::default()),
        Err(ReadError::SampleRateMissing { .. })
    ));
}

#[test]
fn a_shape_longer_than_the_file_is_read_as_far_as_it_goes() {
    let file = npy(
        1,
        "'<f4'",
        "False",
        "(4000000000000000000, 4)",
        &floats(&[1.0, 2.0, 3.0, 4.0, 5.0]),
    );
    let (capture, warnings) = read_file(&file, "a", &with_channel(1)).unwrap();
    assert_eq!(capture.samples, [2.0]);
    assert!(matches!(
        warnings[..],
        [
            ReadWarning::DataCut {
                found_bytes: 20,
                ..
            },
            ReadWarning::PartialSample { found_bytes: 4, .. }
        ]
    ));
}

#[test]
fn cut_at_every_byte() {
    let values = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
    let interleaved = (
        npy(1, "'<f4'", "False", "(3, 2)", &floats(&values)),
        [2.0, 4.0, 6.0],
    );
    let apart = (
        npy(3, "'<f4'", "False", "(2, 3)", &floats(&values)),
        [4.0, 5.0, 6.0],
    );
    for (whole, expected) in [interleaved, apart] {
        for length in 0..whole.len() {
            for outcome in [
                read_file(&whole[..length], "a", &with_channel(1)),
                read_stream(&whole[..length], "a", &with_channel(1)),
            ] {
                match outcome {
                    Ok((capture, warnings)) => {
                        assert_ne!(warnings, []);
                        assert_eq!(capture.samples, expected[..capture.samples.len()]);
                    }
                    Err(error) => assert!(length < whole.len() - 24, "{error}"),
                }
            }
        }
    }
}
