use std::path::PathBuf;

/// Why a developer command stopped.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub(crate) enum TaskError {
    /// A program could not be started.
    #[error("{program} cannot be started: {source}")]
    Start {
        program: String,
        source: std::io::Error,
    },
    /// A program ended with a failure.
    #[error("{program} failed ({status})")]
    Failed {
        program: String,
        status: std::process::ExitStatus,
    },
    /// A file could not be read or written.
    #[error("{}: {source}", path.display())]
    File {
        path: PathBuf,
        source: std::io::Error,
    },
    /// Python has no working `venv` module.
    #[error(
        "{python} cannot make a virtual environment: its venv or ensurepip module is missing.\n\
         On Debian and Ubuntu: apt-get install python3-venv"
    )]
    NoVenv { python: String },
    /// The build server has no circuit simulator and it could not be installed.
    #[error(
        "ngspice is missing, and on the build server its tests must run.\n\
         On Debian and Ubuntu: apt-get install ngspice"
    )]
    NoNgspice,
    /// Generated files differ from what the code writes.
    #[error("not up to date: {}\nRun `cargo xtask generate` and commit the result.", files.join(", "))]
    Stale { files: Vec<String> },
    /// A capture could not be written.
    #[error(transparent)]
    Capture(#[from] coilwright_signal::capture::WriteError),
    /// A demonstration lock makes no sense.
    #[error(transparent)]
    Simulate(#[from] coilwright_simulate::SimulateError),
}
