use std::fs;
use std::path::Path;

use coilwright_signal::capture::{
    ReadError, ReadOptions, ReadWarning, SampleKind, SigmfMetadata, Unit, read, read_sigmf_metadata,
};
use proptest::prelude::*;
use tempfile::TempDir;

/// A folder with `a.sigmf-meta` and `a.sigmf-data`.
fn pair(json: &str, data: &[u8]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.sigmf-meta"), json).unwrap();
    fs::write(folder.path().join("a.sigmf-data"), data).unwrap();
    folder
}

fn global(fields: &str) -> String {
    format!(
        r#"{{"global": {{"core:version": "1.0.0", "core:sample_rate": 1e6, {fields}}}, "captures": []}}"#
    )
}

fn read_pair(json: &str, data: &[u8]) -> super::bytes::Outcome {
    read(
        pair(json, data).path().join("a.sigmf-meta"),
        &ReadOptions::default(),
    )
}

/// SHA-512 of the three bytes `abc`, from FIPS 180-2, appendix C.1.
const HASH_OF_ABC: &str = "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a\
                           2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f";

proptest! {
    #[test]
    fn samples_come_back_equal(values in prop::collection::vec(any::<i16>(), 2..100)) {
        let values = &values[..values.len() - values.len() % 2];
        let little: Vec<u8> = values.iter().flat_map(|value| value.to_le_bytes()).collect();
        let big: Vec<u8> = values.iter().flat_map(|value| value.to_be_bytes()).collect();
        let expected: Vec<f32> = values.iter().map(|&value| f32::from(value) / 32_768.0).collect();
        for (datatype, data) in [("ri16_le", &little), ("ci16_le", &little), ("ci16_be", &big)] {
            let json = global(&format!(r#""core:datatype": "{datatype}""#));
            let (capture, warnings) = read_pair(&json, data).unwrap();
            prop_assert_eq!(&capture.samples, &expected);
            prop_assert_eq!(warnings, vec![]);
        }
    }
}

#[test]
fn either_path_opens_the_pair() {
    let json = r#"{
        "global": {"core:datatype": "cf32_le", "core:sample_rate": 250000, "core:num_channels": 2, "extra:field": [1]},
        "captures": [{"core:sample_start": 0, "core:frequency": 134200, "core:datetime": "2031-05-06T07:08:09Z"}],
        "annotations": [{"core:sample_start": 1, "core:sample_count": 1, "core:label": "key", "core:comment": "warm"}]
    }"#;
    let data: Vec<u8> = [1.0_f32, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0]
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect();
    let folder = pair(json, &data);
    for name in ["a.sigmf-meta", "a.sigmf-data"] {
        let path = folder.path().join(name);
        let options = ReadOptions {
            channel: Some(1),
            ..ReadOptions::default()
        };
        let (capture, warnings) = read(&path, &options).unwrap();
        assert_eq!(capture.samples, [3.0, 4.0, 7.0, 8.0]);
        assert_eq!(warnings, []);
        let info = capture.info;
        assert_eq!(
            (info.sample_rate_hz, info.kind, info.unit),
            (250e3, SampleKind::Complex, Unit::Unknown)
        );
        assert_eq!((info.channel, info.channels, info.length), (1, 2, Some(2)));
        assert_eq!(info.start_time.as_deref(), Some("2031-05-06T07:08:09Z"));
        assert_eq!(info.source.format, "SigMF, complex 32-bit float");
        assert!(Path::new(&info.source.name).ends_with(name));
        let metadata = read_sigmf_metadata(&path).unwrap();
        assert_eq!(metadata.segments[0].frequency_hz, Some(134_200.0));
        assert_eq!(metadata.annotations[0].samples, Some(1));
        assert_eq!(metadata.annotations[0].comment.as_deref(), Some("warm"));
    }
}

#[test]
fn a_hash_is_compared_over_the_whole_file() {
    for hash in [HASH_OF_ABC.to_owned(), HASH_OF_ABC.to_uppercase()] {
        let json = global(&format!(
            r#""core:datatype": "ri8", "core:sha512": "{hash}""#
        ));
        assert_eq!(read_pair(&json, b"abc").unwrap().1, []);
        let (capture, warnings) = read_pair(&json, b"abd").unwrap();
        assert_eq!(capture.samples.len(), 3);
        assert!(
            matches!(&warnings[..], [ReadWarning::HashMismatch { expected, .. }] if expected == "ddaf35a193617aba")
        );
    }
    // Bytes before and behind the samples belong to the file.
    let json = format!(
        r#"{{"global": {{"core:datatype": "ri8", "core:sample_rate": 1, "core:trailing_bytes": 1,
            "core:sha512": "{HASH_OF_ABC}"}}, "captures": [{{"core:header_bytes": 1}}]}}"#
    );
    let (capture, warnings) = read_pair(&json, b"abc").unwrap();
    assert_eq!((capture.samples, warnings), (vec![98.0 / 128.0], vec![]));
}

#[test]
fn a_data_file_of_another_name_must_stand_beside() {
    let json = global(r#""core:datatype": "ri8", "core:dataset": "other.bin""#);
    let folder = pair(&json, b"x");
    fs::write(folder.path().join("other.bin"), [64]).unwrap();
    let (capture, _) = read(folder.path().join("a.sigmf-meta"), &ReadOptions::default()).unwrap();
    assert_eq!(capture.samples, [0.5]);
    for name in ["../other.bin", "/other.bin", "a/b", "a\\\\b", "..", ""] {
        let json = global(&format!(
            r#""core:datatype": "ri8", "core:dataset": "{name}""#
        ));
        assert!(
            matches!(read_pair(&json, b"x"), Err(ReadError::SigmfDataset { .. })),
            "{name}"
        );
    }
}

#[test]
fn several_segments_are_doubted() {
    let json = r#"{"global": {"core:datatype": "ri8", "core:sample_rate": 1},
                   "captures": [{"core:sample_start": 0}, {"core:sample_start": 2}]}"#;
    let (capture, warnings) = read_pair(json, b"abc").unwrap();
    assert_eq!(capture.samples.len(), 3);
    assert_eq!(
        warnings,
        [ReadWarning::SeveralSegments {
            segments: 2,
            second_sample: 2
        }]
    );
    let json = r#"{"global": {"core:datatype": "ri8", "core:sample_rate": 1},
                   "captures": [{"core:sample_start": 0}, {"core:sample_start": 2, "core:header_bytes": 5}]}"#;
    assert!(matches!(
        read_pair(json, b"abc"),
        Err(ReadError::SigmfHeaderBytes { .. })
    ));
}

#[test]
fn descriptions_that_cannot_be_trusted() {
    assert!(matches!(
        read_pair("{", b""),
        Err(ReadError::SigmfMetadata { .. })
    ));
    assert!(matches!(
        read_pair(&global(r#""a": 1"#), b""),
        Err(ReadError::SigmfMetadata { .. })
    ));
    for datatype in ["i16_le", "ri16", "rf16_le", "bananas", ""] {
        let json = global(&format!(r#""core:datatype": "{datatype}""#));
        assert!(
            matches!(read_pair(&json, b""), Err(ReadError::SigmfType { .. })),
            "{datatype}"
        );
    }
    let zero = global(r#""core:datatype": "ri8", "core:num_channels": 0"#);
    assert!(matches!(
        read_pair(&zero, b"a"),
        Err(ReadError::NoChannels { .. })
    ));
    let no_rate = r#"{"global": {"core:datatype": "ri8"}}"#;
    assert!(matches!(
        read_pair(no_rate, b"a"),
        Err(ReadError::SampleRateMissing { .. })
    ));
    let bad_rate = r#"{"global": {"core:datatype": "ri8", "core:sample_rate": -5}}"#;
    assert!(matches!(
        read_pair(bad_rate, b"a"),
        Err(ReadError::SampleRateInvalid { .. })
    ));
    let folder = pair(&global(r#""core:datatype": "ri8""#), b"");
    fs::remove_file(folder.path().join("a.sigmf-data")).unwrap();
    let missing = read(folder.path().join("a.sigmf-meta"), &ReadOptions::default());
    assert!(matches!(missing, Err(ReadError::Io { path, .. }) if path.ends_with("a.sigmf-data")));
    let long = format!(
        "{}{}",
        global(r#""core:datatype": "ri8""#),
        " ".repeat(4 << 20)
    );
    assert!(matches!(
        read_pair(&long, b"a"),
        Err(ReadError::SigmfLong { .. })
    ));
}

#[test]
fn cut_at_every_byte() {
    let json = format!(
        r#"{{"global": {{"core:datatype": "ri16_le", "core:sample_rate": 1e6, "core:sha512": "{HASH_OF_ABC}"}}}}"#
    );
    for length in 0..json.len() {
        let cut = SigmfMetadata::from_json(&json.as_bytes()[..length], "a");
        assert!(matches!(cut, Err(ReadError::SigmfMetadata { .. })));
    }
    let data = [1, 0, 2, 0, 3, 0];
    let json = global(r#""core:datatype": "ri16_le""#);
    for length in 0..data.len() {
        let (capture, warnings) = read_pair(&json, &data[..length]).unwrap();
        let expected: Vec<f32> = (1..=length / 2)
            .map(|value| value as f32 / 32_768.0)
            .collect();
        assert_eq!(capture.samples, expected);
        assert_eq!(warnings.is_empty(), length > 0 && length % 2 == 0);
    }
}
