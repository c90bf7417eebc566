use std::process::{Command, Stdio};

use crate::error::TaskError;
use crate::process::{is_available, require};

/// Sees to it that the circuit simulator is there for the tests that compare with it.
///
/// Root on a machine with apt, and the build server, install it from the distribution; anybody else is told that
/// those tests will be skipped.
pub(crate) fn ensure() -> Result<(), TaskError> {
    if is_available("ngspice") {
        return Ok(());
    }
    let on_build_server = std::env::var_os("CI").is_some();
    if is_available("apt-get") && (on_build_server || is_root()) {
        println!(
            "ngspice is missing: installing it with apt-get, for the simulator's comparison tests"
        );
        if let Err(error) = install() {
            eprintln!("warning: {error}");
        }
    }
    match (is_available("ngspice"), on_build_server) {
        (true, _) => Ok(()),
        (false, true) => Err(TaskError::NoNgspice),
        (false, false) => {
            println!(
                "note: ngspice is not installed: the simulator's comparison with it will be skipped"
            );
            Ok(())
        }
    }
}

fn install() -> Result<(), TaskError> {
    apt(&["update", "--quiet=2"])?;
    apt(&[
        "install",
        "--yes",
        "--quiet=2",
        "--no-install-recommends",
        "ngspice",
    ])
}

fn apt(arguments: &[&str]) -> Result<(), TaskError> {
    let mut command = Command::new("apt-get");
    command
        .args(arguments)
        .env("DEBIAN_FRONTEND", "noninteractive")
        .stdin(Stdio::null())
        .stdout(Stdio::null());
    require(command).map(|_| ())
}

fn is_root() -> bool {
    Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|output| output.stdout.trim_ascii() == b"0")
}
