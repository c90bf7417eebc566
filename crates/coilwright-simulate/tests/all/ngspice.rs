//! Runs ngspice in batch mode.
//!
//! Without `ngspice` on the path the tests say so and pass, unless the environment variable `CI` is set.

use std::process::Command;

/// What a netlist writes to the file `written`; `None` where ngspice is not installed.
pub(crate) fn run(netlist: &str, written: &str) -> Option<String> {
    if Command::new("ngspice").arg("--version").output().is_err() {
        assert!(
            std::env::var_os("CI").is_none(),
            "ngspice is not installed: apt-get install ngspice"
        );
        println!("SKIPPED: ngspice is not installed (apt-get install ngspice)");
        return None;
    }
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("circuit.cir"), netlist).unwrap();
    let output = Command::new("ngspice")
        .args(["-b", "circuit.cir"])
        .current_dir(directory.path())
        .output()
        .unwrap();
    let table = std::fs::read_to_string(directory.path().join(written));
    Some(table.unwrap_or_else(|error| {
        panic!(
            "{error}\n{}\n{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        )
    }))
}
