use pyo3::prelude::*;

/// Runs the command with these arguments, the program's name first, and returns its exit code.
///
/// Writes to the process's own standard output and standard error.
#[pyfunction]
pub(crate) fn run_command(py: Python<'_>, arguments: Vec<String>) -> u8 {
    py.detach(|| {
        let status =
            coilwright_cli::run(arguments, &mut anstream::stdout(), &mut anstream::stderr());
        status.code()
    })
}
