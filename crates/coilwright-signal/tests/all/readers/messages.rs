//! One message for every error and every warning: file, where, what was found, what was expected, what to do.

use std::io::{Cursor, Read};

use coilwright_signal::capture::{
    Capture, ReadError, ReadOptions, SampleKind, SigmfMetadata, WavSample, WriteError, open,
    open_reader, open_sigmf, open_stream, read_all, write_wav,
};

use super::bytes::{Wav, chunk, format_fields, npy, read_file};

fn defaults() -> ReadOptions {
    ReadOptions::default()
}

fn at_1_mhz() -> ReadOptions {
    ReadOptions {
        sample_rate_hz: Some(1e6),
        ..defaults()
    }
}

/// The message of what goes wrong with these bytes.
fn error_of(name: &str, bytes: impl AsRef<[u8]>, options: &ReadOptions) -> String {
    read_file(bytes.as_ref(), name, options)
        .unwrap_err()
        .to_string()
}

/// The messages of what is repaired or doubted in these bytes.
fn warnings_of(bytes: impl AsRef<[u8]>, options: &ReadOptions) -> String {
    let (_, warnings) = read_file(bytes.as_ref(), "a", options).unwrap();
    warnings
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(" | ")
}

fn int16(values: &[i16]) -> Vec<u8> {
    values
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect()
}

fn wav_with(format: Vec<u8>) -> Vec<u8> {
    let mut file = Wav::new(1, 1, 8000, 16, int16(&[0, 0]));
    file.format = format;
    file.build()
}

fn sigmf_error(json: &str) -> String {
    let outcome =
        SigmfMetadata::from_json(json.as_bytes(), "dunlin.sigmf-meta").and_then(|metadata| {
            open_sigmf(
                &metadata,
                Box::new(Cursor::new(b"abc")),
                "dunlin.sigmf-data",
                &defaults(),
            )
        });
    outcome.err().unwrap().to_string()
}

fn sigmf_warnings(json: &str) -> String {
    let metadata = SigmfMetadata::from_json(json.as_bytes(), "dunlin.sigmf-meta").unwrap();
    let mut source = open_sigmf(
        &metadata,
        Box::new(Cursor::new(b"abc")),
        "dunlin.sigmf-data",
        &defaults(),
    )
    .unwrap();
    let (_, warnings) = read_all(&mut *source).unwrap();
    warnings
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join(" | ")
}

struct Unplugged;

impl Read for Unplugged {
    fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
        Err(std::io::Error::other("the recorder was unplugged"))
    }
}

#[test]
fn errors_of_the_system_and_of_unknown_content() {
    insta::assert_snapshot!(open_stream(Box::new(Unplugged), "-", &defaults()).err().unwrap(), @r"-: cannot be read: the recorder was unplugged; check the name and the permissions");
    insta::assert_snapshot!(error_of("sandpiper.wav", b"", &defaults()), @r"sandpiper.wav: byte 0: the file is empty, expected a capture; record again or check the name");
    insta::assert_snapshot!(error_of("sandpiper.jpg", b"\xFF\xD8\xFF\xE0\0\x10JFIF", &defaults()), @r"sandpiper.jpg: byte 0: found `\xff\xd8\xff\xe0\x00\x10JF`, expected a WAV, NPY, SigMF or delimited text file; convert the file, or state the type and the rate of bare samples");
    insta::assert_snapshot!(
        open_stream(Box::new(Cursor::new(b"0.0,0.1\n")), "-", &defaults()).err().unwrap(),
        @r"-: byte 0: found `0.0,0.1\n`, expected a WAV or NPY stream; read other formats from a file, or state the type and the rate of bare samples"
    );
    insta::assert_snapshot!("i16".parse::<coilwright_signal::capture::RawType>().unwrap_err(), @r"raw type `i16`: expected i or u with 8, 16, 24, 32 or 64 bits or f with 32 or 64, then le or be above 8 bits, after c for complex; write for example u8, i16le, f32le, ci16le or cf32le");
}

#[test]
fn errors_of_wav() {
    let whole = Wav::new(1, 1, 8000, 16, int16(&[1, 2])).build();
    insta::assert_snapshot!(error_of("sandpiper.wav", &whole[..30], &defaults()), @r"sandpiper.wav: byte 20: found 10 bytes of the fmt chunk, expected 16; the file is cut inside its header and holds no samples, so copy or record it again");
    insta::assert_snapshot!(error_of("sandpiper.wav", &whole[..36], &defaults()), @r"sandpiper.wav: byte 36: found the end of the file, expected the `data` chunk; the file holds no samples that can be read, so copy or record it again");
    let mut late = b"RIFF\x28\0\0\0WAVE".to_vec();
    late.extend(chunk(*b"data", &[0; 4]));
    insta::assert_snapshot!(error_of("sandpiper.wav", late, &defaults()), @r"sandpiper.wav: byte 12: found the `data` chunk, expected the `fmt ` chunk before it; state the type and the rate to read the file as bare samples");
    insta::assert_snapshot!(error_of("sandpiper.wav", wav_with(vec![1, 0]), &defaults()), @r"sandpiper.wav: byte 20: found a `fmt ` chunk of 2 bytes, expected at least 16; state the type and the rate to read the file as bare samples");
    insta::assert_snapshot!(error_of("sandpiper.wav", wav_with(format_fields(2, 1, 8000, 4)), &defaults()), @r"sandpiper.wav: byte 20: found format tag 0x0002, expected 1 (integer) or 3 (float); record or convert without compression");
    insta::assert_snapshot!(error_of("sandpiper.wav", wav_with(format_fields(3, 2, 8000, 16)), &defaults()), @r"sandpiper.wav: byte 20: found 2 channels of 16 bits in frames of 4 bytes, expected at least one channel of 8, 16, 24, 32 or 64 bits (floats 32 or 64); state the type and the rate to read the file as bare samples");
    insta::assert_snapshot!(error_of("sandpiper.wav", wav_with(format_fields(1, 40_000, 8000, 16)), &defaults()), @r"sandpiper.wav: found frames of 80000 bytes (40000 channels), expected 1 to 65536; check the number of channels, or split the file");
}

#[test]
fn errors_of_choices() {
    let file = Wav::new(1, 2, 8000, 16, int16(&[1, 2])).build();
    let third = ReadOptions {
        channel: Some(2),
        ..defaults()
    };
    insta::assert_snapshot!(error_of("sandpiper.wav", file, &third), @r"sandpiper.wav: found 2 channels, expected one with the number 2; choose a number below 2, the first is 0");
    insta::assert_snapshot!(error_of("sandpiper.npy", npy(1, "'<f4'", "False", "(1,)", &[0; 4]), &defaults()), @r"sandpiper.npy: found no sample rate, expected one in samples per second; state the rate at which it was recorded");
    let none = ReadOptions {
        raw_channels: Some(0),
        raw_type: "i8".parse().ok(),
        ..at_1_mhz()
    };
    insta::assert_snapshot!(error_of("sandpiper.bin", b"a", &none), @r"sandpiper.bin: found 0 channels, expected at least one; record or save it again");
    insta::assert_snapshot!(error_of("sandpiper.wav", wav_with(format_fields(1, 1, 0, 16)), &defaults()), @r"sandpiper.wav: found a sample rate of 0 Hz, expected a finite number above 0; state the rate at which it was recorded");
}

#[test]
fn errors_of_npy() {
    let refuse = |version, descr, shape| {
        error_of(
            "dunlin.npy",
            npy(version, descr, "False", shape, &[0; 8]),
            &at_1_mhz(),
        )
    };
    insta::assert_snapshot!(refuse(9, "'<f4'", "(2,)"), @r"dunlin.npy: byte 8: found version 9, expected version 1, 2 or 3 in the NPY header; save the array again");
    insta::assert_snapshot!(refuse(1, "'|O'", "(2,)"), @r"dunlin.npy: byte 10: found an array of type `'|O'`, expected integers of 1 to 8 bytes, floats of 4 or 8 bytes or complex numbers of them; save it as float32 or complex64");
    insta::assert_snapshot!(refuse(1, "'<f4'", "(1, 2, 1)"), @r"dunlin.npy: byte 10: found an array of shape `(1, 2, 1)`, expected one axis, or two for several channels; save one recording as one axis");
}

#[test]
fn errors_of_delimited_text() {
    insta::assert_snapshot!(error_of("dunlin.csv", b"\xFF\xFEt\0", &defaults()), @r"dunlin.csv: byte 0: found text in UTF-16, expected ASCII or UTF-8; save it again as UTF-8");
    insta::assert_snapshot!(error_of("dunlin.csv", "Dear harbour master,\nall is well.\n", &defaults()), @r"dunlin.csv: line 1 to 2: found no complete row of numbers, expected a time and a voltage or one value in each; export the samples as columns parted by commas, semicolons, tabs or spaces");
    insta::assert_snapshot!(error_of("dunlin.csv", "0,1\n1,2\n2,3\n3,no\tne\n", &defaults()), @r"dunlin.csv: line 4: found `3,no\tne`, expected 2 numbers like the rows before; correct or delete the line, and delete what follows the table");
    insta::assert_snapshot!(error_of("dunlin.csv", "0.0,1\n0.1,2\n0.2,3\n0.4,4\n", &defaults()), @r"dunlin.csv: line 4: found a time step of 2.000000e-1 s, expected 1.000000e-1 s; samples are missing or unevenly taken, so record again, or state the sample rate to ignore the times");
    let drifting: Vec<String> = (0..1000)
        .map(|row| format!("{},0\n", row * 200_000 + row * row))
        .collect();
    insta::assert_snapshot!(error_of("dunlin.csv", drifting.concat(), &defaults()), @r"dunlin.csv: line 1: found the time 0.000000000e0 s, expected -1.661670000e5 s of even steps; samples are missing or unevenly taken, so record again, or state the sample rate to ignore the times");
    insta::assert_snapshot!(error_of("dunlin.csv", "0.5,1\n0.5,2\n0.5,3\n", &defaults()), @r"dunlin.csv: line 3: found times that do not grow up to here, expected two different ones; state the sample rate, or export more digits of the time");
}

#[test]
fn errors_of_sigmf() {
    insta::assert_snapshot!(sigmf_error(r#"{"global": {}}"#), @r"dunlin.sigmf-meta: missing field `core:datatype` at line 1 column 13; expected the JSON of a SigMF description with `core:datatype`, so write or copy it again");
    insta::assert_snapshot!(sigmf_error(r#"{"global": {"core:datatype": "ri16"}}"#), @r"dunlin.sigmf-meta: `core:datatype`: found `ri16`, expected r or c, then i, u or f, the bits, and _le or _be, such as ri16_le or cf32_le; correct the description");
    insta::assert_snapshot!(
        sigmf_error(
            r#"{"global": {"core:datatype": "ri8", "core:sample_rate": 1},
                "captures": [{}, {"core:sample_start": 7, "core:header_bytes": 16}]}"#
        ),
        @r"dunlin.sigmf-data: `core:header_bytes`: found 16 bytes before sample 7, expected them before the first segment only; take out the bytes or split the recording"
    );
    let path = || "dunlin.sigmf-meta".to_owned();
    insta::assert_snapshot!(ReadError::SigmfLong { path: path(), limit_bytes: 4_194_304 }, @r"dunlin.sigmf-meta: byte 4194304: the SigMF description goes on, expected at most 4194304 bytes; take out annotations");
    insta::assert_snapshot!(ReadError::SigmfDataset { path: path(), found: "../other.bin".to_owned() }, @r"dunlin.sigmf-meta: `core:dataset`: found `../other.bin`, expected the name of a file in the same folder; move the data there and correct the description");
}

#[test]
fn errors_of_writing() {
    let refuse = |capture: &Capture| {
        let error = write_wav("no-such-folder/dunlin.wav", capture, WavSample::Int16).unwrap_err();
        error.to_string()
    };
    insta::assert_snapshot!(refuse(&Capture::from_samples(vec![0.0], 8000.0)), @r"no-such-folder/dunlin.wav: cannot be written: No such file or directory (os error 2); check the folder, its permissions and the space left");
    insta::assert_snapshot!(refuse(&Capture::from_samples(vec![0.0], 0.5)), @r"no-such-folder/dunlin.wav: found a sample rate of 0.5 Hz, expected a whole number from 1 to 4294967295; resample the capture first");
    insta::assert_snapshot!(refuse(&Capture::from_parts(vec![0.0; 2], 8000.0, SampleKind::Complex)), @r"no-such-folder/dunlin.wav: found complex samples, expected real ones; write the real part, or another format");
    let path = || "dunlin.wav".to_owned();
    insta::assert_snapshot!(WriteError::TooLong { path: path(), limit_bytes: 4_294_967_167 }, @r"dunlin.wav: found more than 4294967167 bytes of samples, which no WAV file holds; write a shorter piece");
    insta::assert_snapshot!(WriteError::Encoding { path: path(), source: hound::Error::Unsupported }, @r"dunlin.wav: cannot be written as WAV: The wave format of the file is not supported.; choose another sample format");
}

#[test]
fn warnings_of_choices() {
    let file = Wav::new(1, 2, 8000, 16, int16(&[1, 2])).build();
    insta::assert_snapshot!(warnings_of(file, &at_1_mhz()), @r"found 2 channels and none was chosen; channel 0 is read, choose another if the coil is there | the file states 8000 samples per second; 1000000 is used as asked");
}

#[test]
fn warnings_of_wav() {
    let mut open_ended = Wav::new(1, 1, 8000, 16, int16(&[1, 2]));
    open_ended.data_size = Some(u32::MAX);
    insta::assert_snapshot!(warnings_of(open_ended.build(), &defaults()), @r"byte 40: found a data size of 0xffffffff, as a recorder leaves it that streams or lost power; everything up to the end of the file is read");
    let mut cut = Wav::new(1, 1, 8000, 16, vec![1, 2, 3]);
    cut.data_size = Some(100);
    insta::assert_snapshot!(warnings_of(cut.build(), &defaults()), @r"byte 47: the file ends after 3 bytes of samples, expected 100; it was cut and is read as far as it goes, copy it again if the original is longer | byte 46: found 1 bytes of the last sample, expected 2; that sample is dropped");
    insta::assert_snapshot!(warnings_of(Wav::new(1, 1, 8000, 16, Vec::new()).build(), &defaults()), @r"found no samples; check that the recorder was running");
    let not_finite = [f32::NAN, f32::INFINITY]
        .iter()
        .flat_map(|value| value.to_le_bytes())
        .collect();
    insta::assert_snapshot!(warnings_of(Wav::new(3, 1, 8000, 32, not_finite).build(), &defaults()), @r"sample 0: found values that are not finite numbers, 2 in all; they are read as 0, check the program that wrote the file");
    let mut odd = Wav::new(1, 1, 8000, 16, int16(&[1])).extensible(24);
    odd.before = chunk(*b"junk", &[1, 2, 3]);
    odd.before.pop();
    insta::assert_snapshot!(warnings_of(odd.build(), &defaults()), @r"byte 23: found a chunk right behind one of odd size, expected a padding byte; it is read | the fmt chunk states valid bits as 24; 16 is used, which agrees with its other fields");
}

#[test]
fn warnings_of_delimited_text_and_sigmf() {
    insta::assert_snapshot!(warnings_of("0,1\n1,2\n2,3", &defaults()), @r"line 3: found no line end; the line may be cut and is dropped, add a line end if it is complete");
    insta::assert_snapshot!(
        sigmf_warnings(
            r#"{"global": {"core:datatype": "ri8", "core:sample_rate": 1, "core:sha512": "0123456789abcdef0123"},
                "captures": [{}, {"core:sample_start": 2}]}"#
        ),
        @r"sample 2: found the second of 2 segments; they are read as one stretch, although time or frequency may jump between them, so split the recording if it does | found SHA-512 ddaf35a193617aba, expected 0123456789abcdef; the samples are not those that were recorded, so trust no result before the file is copied again"
    );
}

#[test]
fn a_file_that_is_not_there_and_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    for path in [folder.path().join("none.wav"), folder.path().to_owned()] {
        let message = open(&path, &defaults()).err().unwrap().to_string();
        assert!(
            message.starts_with(&path.display().to_string()),
            "{message}"
        );
        assert!(message.contains("cannot be read"), "{message}");
    }
    assert!(open_reader(Box::new(Cursor::new(*b"RIFF")), "a", &defaults()).is_err());
}
