//! The commands of `docs/decoding.md` run as they stand.

use std::fs;
use std::process::Command;

use crate::repository;

#[test]
fn the_commands_of_the_guide_to_decoding_run() {
    let folder = tempfile::tempdir().unwrap();
    let captures = folder.path().join("testdata/sandpiper");
    fs::create_dir_all(&captures).unwrap();
    fs::copy(
        repository("testdata/sandpiper/healthy.wav"),
        captures.join("healthy.wav"),
    )
    .unwrap();
    let guide = fs::read_to_string(repository("docs/decoding.md")).unwrap();
    let commands: Vec<&str> = guide
        .lines()
        .filter_map(|line| line.strip_prefix("    coilwright "))
        .collect();
    assert!(commands.len() >= 8, "{commands:?}");
    for command in commands {
        let run = Command::new(env!("CARGO_BIN_EXE_coilwright"))
            .args(command.split_whitespace())
            .current_dir(folder.path())
            .output()
            .unwrap();
        let messages = String::from_utf8_lossy(&run.stderr);
        assert!(run.status.success(), "coilwright {command}: {messages}");
    }
    for name in ["svg", "csv", "jsonl", "vcd", "sigmf-meta"] {
        assert!(
            folder.path().join(format!("healthy.{name}")).exists(),
            "{name}"
        );
    }
}
