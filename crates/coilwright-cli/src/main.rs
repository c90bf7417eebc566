//! The `coilwright` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    let status = coilwright_cli::run(
        std::env::args_os(),
        &mut anstream::stdout(),
        &mut anstream::stderr(),
    );
    ExitCode::from(status.code())
}
