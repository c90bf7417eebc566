use std::fs::File;
use std::io::{self, Write};
use std::process::{Command, Stdio};

use crate::{coilwright, repository, silence};

/// A writer whose reader went away after some bytes.
struct Broken {
    left: usize,
    kind: io::ErrorKind,
}

impl Write for Broken {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.left == 0 {
            return Err(self.kind.into());
        }
        let count = bytes.len().min(self.left);
        self.left -= count;
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_broken_pipe_is_quiet_and_a_full_disk_is_not() {
    let mut messages = Vec::new();
    let mut pipe = Broken {
        left: 10,
        kind: io::ErrorKind::BrokenPipe,
    };
    let status = coilwright_cli::run(["coilwright", "--help"], &mut pipe, &mut messages);
    assert_eq!((status.code(), messages.len()), (0, 0));

    let mut disk = Broken {
        left: 10,
        kind: io::ErrorKind::StorageFull,
    };
    let status = coilwright_cli::run(["coilwright", "--help"], &mut disk, &mut messages);
    assert_eq!(status.code(), 2);
    assert!(messages.starts_with(b"\x1b[31m") || messages.starts_with(b"error: "));
}

#[test]
fn standard_input_gives_the_same_as_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = silence(&folder);
    let piped = Command::new(env!("CARGO_BIN_EXE_coilwright"))
        .args(["check", "-"])
        .stdin(Stdio::from(File::open(&path).unwrap()))
        .output()
        .unwrap();
    let from_file = coilwright(&["check", &path]);
    assert_eq!(piped.status.code(), Some(i32::from(from_file.code)));
    assert_eq!(piped.stderr, b"");
    let piped = String::from_utf8(piped.stdout).unwrap();
    assert_eq!(piped.lines().next(), from_file.data.lines().next());
    assert!(!piped.contains('\x1b'), "styles went into a pipe");
}

#[test]
fn no_line_is_wider_than_eighty_characters() {
    let folder = tempfile::tempdir().unwrap();
    let path = silence(&folder);
    for command in ["check", "decode"] {
        let run = coilwright(&[command, &path]);
        let name_width = path.chars().count();
        let wide: Vec<&str> = run
            .data
            .lines()
            .filter(|line| line.chars().count() > 80.max(name_width + 17))
            .collect();
        assert!(wide.is_empty(), "{wide:#?}");
    }
}

/// More captures than are in work at once, of different lengths, so that later ones are ready before earlier ones.
#[test]
fn several_captures_come_in_the_order_in_which_they_were_named() {
    let folder = tempfile::tempdir().unwrap();
    let silence = silence(&folder);
    let long = repository("testdata/sandpiper/healthy.wav");
    let long = long.to_str().unwrap();
    let missing = folder.path().join("missing.wav");
    let missing = missing.to_str().unwrap();
    let mut named = vec!["check"];
    for _ in 0..6 {
        named.extend([long, &silence, missing, &silence]);
    }
    let together = coilwright(&named);
    let alone: Vec<_> = named[1..]
        .iter()
        .map(|path| coilwright(&["check", path]))
        .collect();
    let texts: Vec<&str> = alone
        .iter()
        .map(|run| run.data.as_str())
        .filter(|text| !text.is_empty())
        .collect();
    let rule = format!("\n{}\n\n", "-".repeat(40));
    assert_eq!(together.data, texts.join(&rule));
    let messages: String = alone.iter().map(|run| run.messages.as_str()).collect();
    assert_eq!(together.messages, messages);
    // The missing ones are the gravest.
    assert_eq!(together.code, 2);
}
