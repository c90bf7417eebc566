/// Why the command refused, where no library says so itself.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CommandError {
    /// Standard input is named more than once.
    #[error(
        "-: found standard input named {count} times, expected once at most; name a file for the others"
    )]
    StandardInputRepeats {
        /// How often it is named.
        count: usize,
    },
    /// The result could not be written.
    #[error("standard output: cannot be written: {0}; check the disk or the program that reads it")]
    Output(#[source] std::io::Error),
    /// A folder or a truth file could not be written.
    #[error("{}: cannot be written: {source}; check the folder, its permissions and the space left", path.display())]
    Write {
        /// The file or folder.
        path: std::path::PathBuf,
        /// What the system said.
        #[source]
        source: std::io::Error,
    },
    /// A capture could not be written.
    #[error(transparent)]
    Capture(#[from] coilwright_signal::capture::WriteError),
    /// The simulated lock makes no sense.
    #[error(transparent)]
    Simulate(#[from] coilwright_simulate::SimulateError),
}
