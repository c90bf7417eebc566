use crate::{coilwright, silence};

/// The message of a run that must be refused with exit code 2 and must print no data.
fn refused(arguments: &[&str]) -> String {
    let run = coilwright(arguments);
    assert_eq!(run.code, 2, "{}", run.messages);
    assert_eq!(run.data, "");
    run.messages
}

#[test]
fn a_missing_file() {
    insta::assert_snapshot!(refused(&["check", "missing.wav"]), @r"
    error: missing.wav: cannot be read: No such file or directory (os error 2)
           check the name and the permissions
    ");
}

#[test]
fn a_file_of_no_known_format() {
    insta::assert_snapshot!(refused(&["check", "src/main.rs"]));
}

#[test]
fn raw_samples_without_a_rate() {
    insta::assert_snapshot!(refused(&["check", "Cargo.toml", "--raw-type", "i16le"]));
}

#[test]
fn a_raw_type_that_does_not_exist() {
    insta::assert_snapshot!(refused(&["check", "Cargo.toml", "--raw-type", "i17le"]));
}

#[test]
fn standard_input_named_twice() {
    insta::assert_snapshot!(refused(&["check", "-", "--against", "-"]));
}

#[test]
fn a_nominal_carrier_out_of_range() {
    let folder = tempfile::tempdir().unwrap();
    insta::assert_snapshot!(refused(&["check", &silence(&folder), "--nominal", "125"]));
}

#[test]
fn a_sample_rate_that_is_no_rate() {
    insta::assert_snapshot!(refused(&["decode", "key.csv", "--sample-rate", "-1e6"]));
}

#[test]
fn a_fault_that_does_not_exist() {
    insta::assert_snapshot!(refused(&[
        "synth", "--fault", "gremlins", "--out", "captures"
    ]));
}

#[test]
fn a_folder_that_is_a_file() {
    let message = refused(&["synth", "--out", "Cargo.toml"]);
    assert!(
        message.starts_with("error: Cargo.toml: cannot be written: "),
        "{message}"
    );
}

#[test]
fn no_arguments_show_the_help() {
    let message = refused(&[]);
    assert!(message.contains("Usage: coilwright"), "{message}");
}

#[test]
fn one_unreadable_capture_does_not_hide_the_others() {
    let folder = tempfile::tempdir().unwrap();
    let run = coilwright(&["check", "missing.wav", &silence(&folder)]);
    assert_eq!(run.code, 2);
    assert!(run.data.contains("silence.wav"), "{}", run.data);
    assert!(run.messages.contains("missing.wav"), "{}", run.messages);
}
