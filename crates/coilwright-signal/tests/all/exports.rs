//! Exports of two stretches that overlap: nothing twice, nothing lost, in order.

use std::io::{self, Write};
use std::sync::{Arc, Mutex};

use coilwright_signal::capture::{Capture, CaptureInfo, SampleKind, Storage};
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_signal::export::{
    DataFile, ExportFormat, Recording, sigmf_metadata_copy, sigmf_metadata_for,
};
use coilwright_signal::frame::{ReadOnly64, read_only_64};
use serde_json::{Value, json};

use crate::synthetic::Answer;

const DUNLIN: ReadOnly64 = ReadOnly64 {
    customer: 0x2A,
    number: 0x0051_7C04,
};
const RATE_HZ: f64 = 1e6;
/// Samples of a bit: 64 carrier periods.
const BIT: f64 = 64.0 / 125_003.7 * RATE_HZ;

/// A writer whose content can be looked at afterwards.
#[derive(Clone, Default)]
struct Shared(Arc<Mutex<Vec<u8>>>);

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.lock().unwrap().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn bits() -> Vec<u8> {
    read_only_64::encode(&DUNLIN).to_vec()
}

/// What is heard in 0–200 ms and in 160–360 ms of one answer.
fn stretches() -> Vec<Listening> {
    let levels = manchester::encode(&bits(), manchester::Convention::Thomas);
    let samples = Answer::new(levels, 64.0).samples(0.36);
    let options = ListenOptions {
        keep_baseband: true,
        ..ListenOptions::default()
    };
    let carrier = Carrier::direct(125_002.0);
    [0..200_000, 160_000..360_000]
        .into_iter()
        .map(|range: std::ops::Range<usize>| {
            let first = range.start as u64;
            listen(
                &samples[range],
                SampleKind::Real,
                RATE_HZ,
                first,
                &carrier,
                &options,
            )
        })
        .collect()
}

fn info() -> CaptureInfo {
    let mut info = Capture::from_samples(Vec::new(), RATE_HZ).info;
    info.length = Some(360_000);
    "dunlin.wav".clone_into(&mut info.source.name);
    info
}

fn exported(format: ExportFormat, sigmf: Value) -> String {
    let shared = Shared::default();
    let recording = Recording {
        info: info(),
        generator: "coilwright 0.0.0".to_owned(),
        sigmf,
    };
    let mut export = format.start(shared.clone(), &recording).unwrap();
    for listening in stretches() {
        export.add(&listening).unwrap();
    }
    export.finish().unwrap();
    String::from_utf8(shared.0.lock().unwrap().clone()).unwrap()
}

#[test]
fn csv_has_every_bit_once_on_one_clock() {
    let text = exported(ExportFormat::Csv, Value::Null);
    let mut lines = text.split_terminator("\r\n");
    let heading: Vec<&str> = lines.next().unwrap().split(',').collect();
    assert_eq!(heading[3..6], ["start_sample", "start_s", "bit"]);
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    assert!(
        (rows.len() as f64 - 360_000.0 / BIT).abs() < 3.0,
        "{} rows",
        rows.len()
    );
    let starts: Vec<f64> = rows.iter().map(|row| row[3].parse().unwrap()).collect();
    for pair in starts.windows(2) {
        assert!((pair[1] - pair[0] - BIT).abs() < 0.05 * BIT, "{pair:?}");
    }
    let stretches: Vec<&str> = rows.iter().map(|row| row[0]).collect();
    assert!(stretches.contains(&"0") && stretches.contains(&"1"));
    for row in &rows {
        let soft: f32 = row[6].parse().unwrap();
        assert_eq!(soft > 0.0, row[5] == "1");
        if let Ok(bit_of_frame) = row[8].parse::<usize>() {
            assert_eq!(row[5], bits()[bit_of_frame].to_string(), "{row:?}");
        }
    }
    let in_frames = rows.iter().filter(|row| !row[7].is_empty()).count();
    assert!(
        in_frames > rows.len() / 2,
        "{in_frames} of {} bits in frames",
        rows.len()
    );
}

#[test]
fn json_lines_hold_the_capture_its_stretches_and_every_frame_once() {
    let text = exported(ExportFormat::JsonLines, Value::Null);
    let records: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(records[0]["record"], "capture");
    assert_eq!(records[0]["capture"]["source"]["name"], "dunlin.wav");
    let of = |kind: &str| -> Vec<&Value> {
        records
            .iter()
            .filter(|record| record["record"] == kind)
            .collect()
    };
    let key = &of("stretch")[1]["keys"][0];
    assert_eq!(
        key["bits"].as_array().unwrap().len(),
        key["soft_bits"].as_array().unwrap().len()
    );
    let frames = of("frame");
    let starts: Vec<f64> = frames
        .iter()
        .map(|frame| frame["start_s"].as_f64().unwrap())
        .collect();
    assert!(
        frames
            .iter()
            .all(|frame| frame["frame"]["payload"] == "2A00517C04")
    );
    for pair in starts.windows(2) {
        let frames_apart = (pair[1] - pair[0]) * RATE_HZ / (64.0 * BIT);
        assert!((frames_apart - 1.0).abs() < 0.01, "{starts:?}");
    }
    assert!(frames.len() >= 9, "{} frames", frames.len());
}

#[test]
fn vcd_times_rise_and_the_clock_has_two_edges_a_bit() {
    let text = exported(ExportFormat::Vcd, Value::Null);
    let (header, body) = text.split_once("$enddefinitions $end\n").unwrap();
    assert!(header.contains("$timescale 1 ns $end"));
    let times: Vec<u64> = body
        .lines()
        .filter_map(|line| line.strip_prefix('#'))
        .map(|time| time.parse().unwrap())
        .collect();
    assert!(times.windows(2).all(|pair| pair[0] < pair[1]));
    // `#` is the clock of key 0: `!` the field, `"` data, `#` clock, `$` line, `%` frame.
    let rises = body.lines().filter(|line| *line == "1#").count();
    let falls = body.lines().filter(|line| *line == "0#").count();
    assert!((rises as f64 - 360_000.0 / BIT).abs() < 3.0, "{rises}");
    assert_eq!(rises, falls);
    // The field is on once, without a gap where the stretches meet.
    assert_eq!(body.lines().filter(|line| *line == "1!").count(), 1);
    assert_eq!(body.lines().filter(|line| *line == "0!").count(), 1);
    // Unknown before the first bit and after the last, nowhere between.
    assert_eq!(body.lines().filter(|line| *line == "x#").count(), 2);
}

#[test]
fn sigmf_annotations_are_sorted_and_keep_what_was_there() {
    let metadata = json!({
        "global": {"core:datatype": "rf32_le", "core:version": "1.0.0", "demo:tide": "ebb"},
        "captures": [{"core:sample_start": 0}],
        "annotations": [
            {"core:sample_start": 100, "core:label": "by hand"},
            {"core:sample_start": 200, "core:label": "old", "core:generator": "coilwright 0.0.0"},
        ],
        "collection": {"kept": true},
    });
    let text = exported(ExportFormat::SigmfAnnotations, metadata);
    let written: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(written["global"]["demo:tide"], "ebb");
    assert_eq!(written["collection"]["kept"], true);
    let annotations = written["annotations"].as_array().unwrap();
    let starts: Vec<u64> = annotations
        .iter()
        .map(|annotation| annotation["core:sample_start"].as_u64().unwrap())
        .collect();
    assert!(starts.is_sorted());
    let labelled = |label: &str| -> Vec<&Value> {
        annotations
            .iter()
            .filter(|annotation| annotation["core:label"] == label)
            .collect()
    };
    assert_eq!(labelled("by hand").len(), 1);
    assert_eq!(labelled("old").len(), 0);
    assert_eq!(labelled("key, RF/64").len(), 2);
    let frames = labelled("read_only_64");
    assert!(frames.len() >= 9);
    for frame in frames {
        let samples = frame["core:sample_count"].as_f64().unwrap();
        assert!((samples / (64.0 * BIT) - 1.0).abs() < 1e-3);
        assert!(
            frame["core:comment"]
                .as_str()
                .unwrap()
                .contains("2A00517C04")
        );
    }
}

#[test]
fn metadata_point_at_samples_that_sigmf_can_describe_and_stand_alone_otherwise() {
    let data = DataFile {
        name: "dunlin.wav".to_owned(),
        length_bytes: 44 + 720_000 + 26,
    };
    let mut info = info();
    info.storage = Some(Storage {
        raw_type: "i16le".parse().unwrap(),
        header_bytes: 44,
    });
    let wav = sigmf_metadata_for(&info, Some(&data));
    assert_eq!(wav["global"]["core:datatype"], "ri16_le");
    assert_eq!(wav["global"]["core:dataset"], "dunlin.wav");
    assert_eq!(wav["global"]["core:trailing_bytes"], 26);
    assert_eq!(wav["captures"][0]["core:header_bytes"], 44);

    info.storage = Some(Storage {
        raw_type: "i24le".parse().unwrap(),
        header_bytes: 44,
    });
    for alone in [
        sigmf_metadata_for(&info, Some(&data)),
        sigmf_metadata_for(&info, None),
    ] {
        assert_eq!(alone["global"]["core:metadata_only"], true);
        assert_eq!(alone["global"]["core:dataset"], Value::Null);
    }
    let copy = sigmf_metadata_copy(wav.clone(), Some("dunlin.sigmf-data"));
    assert_eq!(copy["global"]["core:dataset"], "dunlin.sigmf-data");
    let elsewhere = sigmf_metadata_copy(wav, None);
    assert_eq!(elsewhere["global"]["core:dataset"], Value::Null);
    assert_eq!(elsewhere["global"]["core:metadata_only"], true);
}
