//! Exports and plots: what is refused, and that a file is there whole or not at all.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::{Run, coilwright, repository, silence};

const HEALTHY: &str = "../../testdata/sandpiper/healthy.wav";

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// The names in a folder, hidden ones too.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// The message of a run that must be refused on one line, since where it wraps depends on the folder's name, which is
/// taken out.
fn refused(run: &Run, folder: &Path) -> String {
    assert_eq!((run.code, run.data.as_str()), (2, ""), "{}", run.messages);
    let message = run.messages.replace(&format!("{}/", text(folder)), "");
    message.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_format_is_written_whole_and_the_decode_is_printed_as_ever() {
    let folder = tempfile::tempdir().unwrap();
    let places: Vec<String> = ["csv", "jsonl", "vcd", "sigmf-meta", "svg", "png"]
        .map(|extension| text(&folder.path().join(format!("read.{extension}"))).to_owned())
        .to_vec();
    let mut arguments = vec![
        "decode", HEALTHY, "--plot", &places[4], "--plot", &places[5],
    ];
    for place in &places[..4] {
        arguments.extend(["--export", place.as_str()]);
    }
    let run = coilwright(&arguments);
    assert_eq!((run.code, run.messages.as_str()), (0, ""));
    assert_eq!(run.data, coilwright(&["decode", HEALTHY]).data);
    assert_eq!(
        names(folder.path()),
        [
            "read.csv",
            "read.jsonl",
            "read.png",
            "read.sigmf-meta",
            "read.svg",
            "read.vcd"
        ]
    );
    let svg = fs::read_to_string(&places[4]).unwrap();
    for panel in ["Spectrum", "Soft bits", "Eye", "Timing", "Constellation"] {
        assert!(svg.contains(&format!(">{panel}")), "{panel}");
    }
    assert!(svg.contains(">carrier 0 dB</text>") || svg.contains(">carrier −0 dB</text>"));
    assert!(svg.contains("2A00517C04"));
    let png = fs::read(&places[5]).unwrap();
    assert!(png.starts_with(b"\x89PNG\r\n\x1a\n") && png.len() > 50_000);
    // The capture lies in another folder, so that the metadata cannot point at it.
    let metadata: Value = serde_json::from_str(&fs::read_to_string(&places[3]).unwrap()).unwrap();
    assert_eq!(metadata["global"]["core:metadata_only"], true);
}

#[test]
fn what_is_there_is_kept_unless_it_may_be_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("read.csv");
    fs::write(&place, "precious").unwrap();
    let run = coilwright(&["decode", HEALTHY, "--export", text(&place)]);
    insta::assert_snapshot!(refused(&run, folder.path()), @"error: read.csv: is there already choose another name, or give --force to replace it");
    assert_eq!(fs::read_to_string(&place).unwrap(), "precious");
    let run = coilwright(&["decode", HEALTHY, "--export", text(&place), "--force"]);
    assert_eq!((run.code, run.messages.as_str()), (0, ""));
    assert!(
        fs::read_to_string(&place)
            .unwrap()
            .starts_with("stretch,key,")
    );
    assert_eq!(names(folder.path()), ["read.csv"]);
}

#[test]
fn a_capture_that_breaks_off_with_an_error_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let capture = folder.path().join("broken.csv");
    let mut rows = String::from("time,volt\n");
    for row in 0..60_000 {
        let volt = (0.785 * f64::from(row)).cos();
        let _ = writeln!(rows, "{:.6},{volt:.4}", f64::from(row) * 1e-6);
    }
    rows.push_str("0.060000,not a number\n0.060001,0.5\n");
    fs::write(&capture, rows).unwrap();
    let place = folder.path().join("read.vcd");
    let run = coilwright(&["decode", text(&capture), "--export", text(&place)]);
    assert_eq!(run.code, 2, "{}", run.messages);
    assert_eq!(names(folder.path()), ["broken.csv"]);
}

#[test]
fn names_that_say_no_format_are_refused_before_anything_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("read.txt");
    let run = coilwright(&["decode", HEALTHY, "--export", text(&place)]);
    insta::assert_snapshot!(refused(&run, folder.path()), @"error: read.txt: found no format that is known for this name, expected one that ends in .jsonl, .csv, .vcd or .sigmf-meta rename the export");
    let place = folder.path().join("read.gif");
    let run = coilwright(&["decode", HEALTHY, "--plot", text(&place)]);
    insta::assert_snapshot!(refused(&run, folder.path()), @"error: read.gif: found no kind of picture that is drawn, expected a name that ends in .svg or .png rename the plot");
}

#[test]
fn files_of_several_captures_are_refused() {
    let run = coilwright(&["decode", HEALTHY, HEALTHY, "--export", "read.csv"]);
    insta::assert_snapshot!(refused(&run, Path::new(".")), @"error: --export and --plot: found 2 captures, expected one decode them one by one");
}

#[test]
fn an_output_never_takes_the_place_of_the_capture() {
    let folder = tempfile::tempdir().unwrap();
    let capture = folder.path().join("lock.csv");
    fs::write(&capture, "time,volt\n0.0,0.5\n").unwrap();
    let run = coilwright(&[
        "decode",
        text(&capture),
        "--force",
        "--export",
        text(&capture),
    ]);
    assert_eq!(run.code, 2);
    assert_eq!(
        fs::read_to_string(&capture).unwrap(),
        "time,volt\n0.0,0.5\n"
    );
}

#[test]
fn a_folder_that_is_not_there_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("nowhere/read.csv");
    let run = coilwright(&["decode", HEALTHY, "--export", text(&place)]);
    let message = refused(&run, folder.path());
    assert!(
        message.starts_with("error: nowhere/read.csv: cannot be written: "),
        "{message}"
    );
}

#[test]
fn silence_exports_headings_and_draws_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let capture = silence(&folder);
    let place = folder.path().join("read.csv");
    let run = coilwright(&["decode", &capture, "--export", text(&place)]);
    assert_eq!(run.code, 3);
    assert_eq!(fs::read_to_string(&place).unwrap().lines().count(), 1);
    let plot = folder.path().join("read.svg");
    let run = coilwright(&["decode", &capture, "--plot", text(&plot)]);
    assert!(refused(&run, folder.path()).contains("nothing to draw"));
    assert_eq!(names(folder.path()), ["read.csv", "silence.wav"]);
}

#[test]
fn annotations_of_a_sigmf_capture_are_kept_in_the_copy_and_in_place() {
    let folder = tempfile::tempdir().unwrap();
    let wav = fs::read(repository("testdata/sandpiper/healthy.wav")).unwrap();
    fs::write(
        folder.path().join("lock.sigmf-data"),
        &wav[44..44 + 420_000],
    )
    .unwrap();
    let meta = folder.path().join("lock.sigmf-meta");
    let original = serde_json::json!({
        "global": {"core:datatype": "ri16_le", "core:sample_rate": 1e6, "core:version": "1.0.0"},
        "captures": [{"core:sample_start": 0}],
        "annotations": [{"core:sample_start": 5, "core:label": "by hand"}],
    });
    fs::write(&meta, original.to_string()).unwrap();
    let read = |path: &Path| -> Value {
        serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
    };
    let copy = folder.path().join("read.sigmf-meta");
    let run = coilwright(&["decode", text(&meta), "--export", text(&copy)]);
    assert_eq!((run.code, run.messages.as_str()), (0, ""));
    assert_eq!(read(&copy)["global"]["core:dataset"], "lock.sigmf-data");
    assert_eq!(read(&meta), original);

    let count = read(&copy)["annotations"].as_array().unwrap().len();
    for _ in 0..2 {
        let run = coilwright(&["decode", text(&meta), "--export", text(&meta), "--force"]);
        assert_eq!((run.code, run.messages.as_str()), (0, ""));
        let written = read(&meta);
        assert_eq!(written["annotations"].as_array().unwrap().len(), count);
        assert_eq!(written["annotations"][0]["core:label"], "by hand");
    }
}

/// Every command that writes a file, with leave to replace what is there.
#[cfg(unix)]
fn writers(place: &str) -> [Vec<String>; 3] {
    let ring = repository("testdata/touchstone/ring_ri.s1p");
    let band = "--low 10e3 --high 20e3 --duration 0.01";
    [
        format!("decode {HEALTHY} --plot {place} --force"),
        format!("coil fit {} --plot {place} --force", text(&ring)),
        format!("coil stimulus --out {place} --force {band}"),
    ]
    .map(|line| line.split(' ').map(str::to_owned).collect())
}

#[cfg(unix)]
#[test]
fn only_regular_files_are_replaced() {
    use std::os::unix::fs::{FileTypeExt as _, symlink};
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe.svg");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    let dangling = folder.path().join("dangling.svg");
    symlink("nowhere", &dangling).unwrap();
    let to_pipe = folder.path().join("to-pipe.svg");
    symlink("pipe.svg", &to_pipe).unwrap();
    let inner = folder.path().join("inner.svg");
    fs::create_dir(&inner).unwrap();
    for place in [&pipe, &dangling, &to_pipe, &inner] {
        for writer in writers(text(place)) {
            let run = coilwright(&writer);
            assert_eq!(run.code, 2, "{}", run.data);
            assert!(
                run.messages.contains("is no regular file"),
                "{}",
                run.messages
            );
        }
    }
    assert!(fs::symlink_metadata(&pipe).unwrap().file_type().is_fifo());
    assert!(fs::symlink_metadata(&dangling).unwrap().is_symlink());
    assert_eq!(
        names(folder.path()),
        ["dangling.svg", "inner.svg", "pipe.svg", "to-pipe.svg"]
    );
}

#[cfg(unix)]
#[test]
fn a_link_stays_and_the_file_behind_it_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let (real, link) = (folder.path().join("real"), folder.path().join("link.svg"));
    std::os::unix::fs::symlink("real", &link).unwrap();
    let mut before = Vec::new();
    fs::write(&real, "old").unwrap();
    let kept = coilwright(&["decode", HEALTHY, "--plot", text(&link)]);
    assert!(refused(&kept, folder.path()).contains("is there already"));
    for writer in writers(text(&link)) {
        let run = coilwright(&writer);
        assert_eq!(run.code, 0, "{}", run.messages);
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        let now = fs::read(&real).unwrap();
        assert_ne!(now, before);
        before = now;
    }
    assert_eq!(names(folder.path()), ["link.svg", "real"]);
}
