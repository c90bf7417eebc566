use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};

use crate::error::TaskError;

/// What a program printed on standard output, and whether it succeeded.
pub(crate) struct Outcome {
    pub(crate) lines: Vec<String>,
    pub(crate) success: bool,
}

/// The repository's root folder.
pub(crate) fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}

/// The cargo that runs this command.
pub(crate) fn cargo() -> Command {
    Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()))
}

/// Runs a program in the repository's root; an error unless it succeeds.
pub(crate) fn require(mut command: Command) -> Result<ExitCode, TaskError> {
    let program = program_name(&command);
    let status = command
        .current_dir(root())
        .status()
        .map_err(|source| TaskError::Start {
            program: program.clone(),
            source,
        })?;
    if status.success() {
        Ok(ExitCode::SUCCESS)
    } else {
        Err(TaskError::Failed { program, status })
    }
}

/// Runs a program in the repository's root, shows its output as it comes and returns it.
pub(crate) fn observe(mut command: Command) -> Result<Outcome, TaskError> {
    let program = program_name(&command);
    let start_error = |source| TaskError::Start {
        program: program.clone(),
        source,
    };
    let mut child = command
        .current_dir(root())
        .stdout(Stdio::piped())
        .spawn()
        .map_err(start_error)?;
    let mut lines = Vec::new();
    if let Some(output) = child.stdout.take() {
        for line in BufReader::new(output).split(b'\n') {
            let line = line.map_err(start_error)?;
            let line = String::from_utf8_lossy(&line).into_owned();
            println!("{line}");
            lines.push(line);
        }
    }
    let status = child.wait().map_err(start_error)?;
    Ok(Outcome {
        lines,
        success: status.success(),
    })
}

/// Whether a program of this name can be started.
pub(crate) fn is_available(program: &str) -> bool {
    Command::new(program)
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok()
}

fn program_name(command: &Command) -> String {
    let mut name = command.get_program().to_string_lossy().into_owned();
    for argument in command.get_args().take(3) {
        name.push(' ');
        name.push_str(&argument.to_string_lossy());
    }
    name
}
