use std::fmt::Write as _;

use coilwright_signal::capture::{ReadError, ReadOptions, ReadWarning, Unit};
use proptest::prelude::*;

use super::bytes::{Outcome, read_file};

fn read(text: impl AsRef<[u8]>) -> Outcome {
    read_file(text.as_ref(), "a.csv", &ReadOptions::default())
}

fn read_at(text: impl AsRef<[u8]>, sample_rate_hz: f64) -> Outcome {
    let options = ReadOptions {
        sample_rate_hz: Some(sample_rate_hz),
        ..ReadOptions::default()
    };
    read_file(text.as_ref(), "a.csv", &options)
}

/// Rows of time at 1 MS/s and these values.
fn rows(values: &[f32]) -> String {
    let mut text = String::new();
    for (row, value) in values.iter().enumerate() {
        writeln!(text, "{:.6},{value:e}", row as f64 * 1e-6).unwrap();
    }
    text
}

proptest! {
    #[test]
    fn any_layout_comes_back_equal(
        values in prop::collection::vec(-10.0_f32..10.0, 3..150),
        preamble in prop::collection::vec("[a-fqA-F ]{0,12}(,[a-f]{1,5})?", 0..30),
        delimiter in prop::sample::select(vec![",", ";", "\t", " ", "; ", ", "]),
        comma in any::<bool>(),
        carriage_return in any::<bool>(),
        mark in any::<bool>(),
        blank in any::<bool>(),
        scientific in any::<bool>(),
        start in -50_i32..50,
    ) {
        let end = if carriage_return { "\r\n" } else { "\n" };
        let mut text = if mark { "\u{FEFF}".to_owned() } else { String::new() };
        for line in &preamble {
            text.extend([line.as_str(), end]);
        }
        for (row, value) in (start..).zip(&values) {
            let time = f64::from(row) * 4e-6;
            let time = if scientific { format!("{time:.5e}") } else { format!("{time:.6}") };
            let mut line = format!("{time}{delimiter}{value}{delimiter}{}", -value);
            if comma && !delimiter.contains(',') {
                line = line.replace('.', ",");
            }
            text.extend([line.as_str(), end]);
            if blank {
                text += end;
            }
        }
        let options = ReadOptions { channel: Some(1), ..ReadOptions::default() };
        let (capture, warnings) = read_file(text.as_bytes(), "a.csv", &options).unwrap();
        let expected: Vec<f32> = values.iter().map(|value| -value).collect();
        prop_assert_eq!(capture.samples, expected);
        prop_assert_eq!(warnings, vec![]);
        prop_assert_eq!(capture.info.sample_rate_hz, 250e3);
        prop_assert_eq!((capture.info.channel, capture.info.channels), (1, 2));
        prop_assert_eq!(capture.info.length, Some(values.len() as u64));
    }

    #[test]
    fn a_bare_column_comes_back_equal(
        values in prop::collection::vec(-10.0_f32..10.0, 1..100),
        comma in any::<bool>(),
    ) {
        let mut text = String::from("CH1\n");
        for value in &values {
            let line = format!("{value:.8}\n");
            text += &if comma { line.replace('.', ",") } else { line };
        }
        let (capture, warnings) = read_at(&text, 5e5).unwrap();
        prop_assert_eq!(capture.samples.len(), values.len());
        for (found, value) in capture.samples.iter().zip(&values) {
            // Half a unit of the eighth decimal, and rounding to single precision.
            prop_assert!((found - value).abs() <= 5e-9 + f32::EPSILON * value.abs());
        }
        prop_assert_eq!(warnings, vec![]);
        prop_assert_eq!(capture.info.sample_rate_hz, 5e5);
    }

    /// However coarse the printed times, the rate is right within one printed unit over the length.
    #[test]
    fn rounded_times_give_the_rate(rate in 1e3_f64..5e6, decimals in 3_usize..10, length in 200_usize..2000) {
        let unit = 0.1_f64.powf(decimals as f64);
        prop_assume!(length as f64 / rate > 20.0 * unit);
        let mut text = String::new();
        for row in 0..length {
            writeln!(text, "{:.decimals$};{}", row as f64 / rate, row % 7).unwrap();
        }
        match read(&text) {
            Ok((capture, _)) => {
                let allowed = unit * rate / length as f64;
                let error = (capture.info.sample_rate_hz / rate - 1.0).abs();
                prop_assert!(error <= allowed, "{} {}", capture.info.sample_rate_hz, error);
                prop_assert_eq!(capture.samples.len(), length);
            }
            // One or two steps that differ may be rows that were lost; that is refused.
            Err(ReadError::UnevenStep { .. }) => {
                let steps = (1..length).map(|row| {
                    let time = |row: usize| (row as f64 / rate / unit).round();
                    time(row) - time(row - 1)
                });
                let common = steps.clone().min_by_key(|&step| steps.clone().filter(|&other| other != step).count());
                let rare = steps.clone().filter(|&step| Some(step) != common).count();
                prop_assert!(rare < 3, "{rare} of {length} steps differ");
            }
            Err(other) => prop_assert!(false, "{}", other),
        }
    }

    #[test]
    fn a_lost_row_is_found(length in 20_usize..300, lost in 2_usize..18, decimals in 6_usize..10) {
        let mut text = String::from("Time,Volt\n");
        for row in (0..length).filter(|&row| row != lost) {
            writeln!(text, "{:.decimals$},0.5", row as f64 * 1e-6).unwrap();
        }
        match read(&text) {
            Err(ReadError::UnevenStep { line, found_s, expected_s, .. }) => {
                prop_assert_eq!(line, lost as u64 + 2);
                prop_assert!((found_s - 2e-6).abs() < 1e-9 && (expected_s - 1e-6).abs() < 1e-9);
            }
            other => prop_assert!(false, "{:?}", other),
        }
    }
}

#[test]
fn a_preamble_as_scopes_write_it() {
    let text = "Model,Bench scope\r\nFirmware,1.02\r\n1000\r\n\r\nSample interval,1e-06,s\r\n\"Time\",\"CH1\",\"CH2\"\r\n\
                (ms),(mV),(V)\r\n\r\n0.000,100,1\r\n0.001,-200,2\r\n0.002,300,3\r\n";
    let (capture, warnings) = read(text).unwrap();
    assert_eq!(capture.samples, [0.1, -0.2, 0.3]);
    assert_eq!(capture.info.sample_rate_hz, 1e6);
    assert_eq!(capture.info.unit, Unit::Volt);
    assert_eq!(capture.info.source.format, "delimited text, commas");
    assert_eq!(warnings, [ReadWarning::ChannelAssumed { channels: 2 }]);
}

#[test]
fn a_preamble_longer_than_any_buffer() {
    let mut text = "remark,with,words\n".repeat(20_000);
    text += &"x".repeat(200_000);
    text += "\nTime;Volt\n";
    for row in 0..100 {
        writeln!(text, "{};{row}", f64::from(row) * 1e-3).unwrap();
    }
    let (capture, warnings) = read(&text).unwrap();
    assert_eq!(capture.samples.len(), 100);
    assert_eq!(
        (capture.info.sample_rate_hz, capture.info.unit),
        (1e3, Unit::Volt)
    );
    assert_eq!(warnings, []);
}

#[test]
fn a_running_number_is_no_time() {
    let text = "Sample,CH1 (mV)\n0,1\n1,2\n2,3\n";
    assert!(matches!(
        read(text),
        Err(ReadError::SampleRateMissing { .. })
    ));
    let (capture, _) = read_at(text, 1e6).unwrap();
    assert_eq!(capture.samples, [0.001, 0.002, 0.003]);
    assert_eq!(capture.info.channels, 1);
}

#[test]
fn with_a_rate_a_first_column_that_does_not_step_is_a_voltage() {
    let (capture, _) = read_at("0.5,1\n0.1,2\n0.7,3\n", 1e6).unwrap();
    assert_eq!(
        (capture.samples, capture.info.channels),
        (vec![0.5, 0.1, 0.7], 2)
    );
    let (capture, _) = read_at("0.1,1\n0.2,2\n0.3,3\n", 1e6).unwrap();
    assert_eq!(
        (capture.samples, capture.info.channels),
        (vec![1.0, 2.0, 3.0], 1)
    );
}

#[test]
fn a_stated_rate_overrules_uneven_times() {
    let text = "t,u\n0,1\n1,2\n5,3\n6,4\n";
    assert!(matches!(
        read(text),
        Err(ReadError::UnevenStep { line: 4, .. })
    ));
    let (capture, _) = read_at(text, 1e6).unwrap();
    assert_eq!(capture.samples, [1.0, 2.0, 3.0, 4.0]);
    assert_eq!(capture.info.sample_rate_hz, 1e6);
}

#[test]
fn rows_that_are_none_are_refused_with_their_line() {
    let good = rows(&[0.0; 80]);
    for bad in [
        "0.000080,oops",
        "0.000080",
        "0.000080,1,2",
        "0.000080,",
        "end of file",
        ",1",
    ] {
        let outcome = read(format!("{good}{bad}\n"));
        assert!(
            matches!(
                outcome,
                Err(ReadError::RowBroken {
                    line: 81,
                    columns: 2,
                    ..
                })
            ),
            "{bad}: {outcome:?}"
        );
    }
    let outcome = read(format!("{good}0.000080,{}\n", "1".repeat(100_000)));
    assert!(matches!(
        outcome,
        Err(ReadError::RowBroken { line: 81, .. })
    ));
    let bare = "1\n".repeat(80) + "x\n";
    assert!(matches!(
        read_at(bare, 1e6),
        Err(ReadError::RowBroken {
            line: 81,
            columns: 1,
            ..
        })
    ));
}

#[test]
fn text_without_a_table() {
    assert!(matches!(
        read("Dear harbour master,\nall is well.\n"),
        Err(ReadError::NoTable { lines: 2, .. })
    ));
    assert!(matches!(read("\n\n"), Err(ReadError::NoTable { .. })));
    assert!(matches!(read("1"), Err(ReadError::NoTable { .. })));
    assert!(matches!(
        read("0,1\n"),
        Err(ReadError::TimeStuck { line: 1, .. })
    ));
    assert!(matches!(
        read("0,1\n0,2\n0,3\n"),
        Err(ReadError::TimeStuck { .. })
    ));
    assert!(matches!(
        read("1\n2\n3\n"),
        Err(ReadError::SampleRateMissing { .. })
    ));
    assert!(matches!(
        read(b"\xFF\xFEt\0i\0m\0e\0"),
        Err(ReadError::TextEncoding { .. })
    ));
}

#[test]
fn words_for_values_that_are_no_number_become_zero() {
    let (capture, warnings) = read_at("0.5\nNaN\n-inf\n1e300\n0.25\n", 1e6).unwrap();
    assert_eq!(capture.samples, [0.5, 0.0, 0.0, 0.0, 0.25]);
    assert_eq!(
        warnings,
        [ReadWarning::NonFinite {
            count: 3,
            first_sample: 1
        }]
    );
}

/// Cut at every byte: an error, or a warning (or none right behind a line end) and the exact start of the samples.
#[test]
fn cut_at_every_byte() {
    let values = [0.25, -0.5, 1.25e-3, 17.0, -1e4];
    let whole = format!(
        "Model,Bench scope\r\nTime,CH1\r\ns,V\r\n{}",
        rows(&values).replace('\n', "\r\n")
    );
    let data = whole.len() - rows(&values).replace('\n', "\r\n").len();
    let mut read_lengths = Vec::new();
    for length in 0..whole.len() {
        match read(&whole[..length]) {
            Ok((capture, warnings)) => {
                assert_eq!(capture.samples, values[..capture.samples.len()]);
                let complete = whole[..length].ends_with('\n');
                assert_eq!(warnings.is_empty(), complete, "{:?}", &whole[..length]);
                assert_eq!(
                    capture.samples.len(),
                    whole[data..length].matches('\n').count()
                );
                read_lengths.push(capture.samples.len());
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    read_lengths.dedup();
    assert_eq!(read_lengths, [2, 3, 4]);
}
