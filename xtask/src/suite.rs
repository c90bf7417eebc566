use std::process::ExitCode;

use crate::environment::Environment;
use crate::error::TaskError;
use crate::ngspice;
use crate::process::{Outcome, cargo, observe};
use crate::tally::Tally;

/// Runs every test and ends with the counts; fails when a test fails or a kind of test ran nothing.
pub(crate) fn run() -> Result<ExitCode, TaskError> {
    ngspice::ensure()?;
    let environment = Environment::prepare()?;

    let mut results = Vec::new();
    heading("Rust tests and doc tests");
    results.push(("Rust and doc tests", rust()?));
    heading("Building the Python package");
    environment.build_package()?;
    heading("Python tests");
    results.push(("Python tests", python(&environment)?));
    heading("Type stubs against the built package");
    results.push(("type stubs", stubs(&environment)?));
    heading("Notebooks");
    results.push(("notebooks", notebooks(&environment)?));

    Ok(report(&results))
}

fn rust() -> Result<Tally, TaskError> {
    let mut command = cargo();
    command.args([
        "test",
        "--workspace",
        "--exclude",
        "coilwright-python",
        "--no-fail-fast",
    ]);
    let Outcome { lines, success } = observe(command)?;
    Ok(Tally::from_cargo(&lines).checked(success))
}

fn python(environment: &Environment) -> Result<Tally, TaskError> {
    let mut command = environment.python();
    command.args(["-m", "pytest", "-p", "no:cacheprovider", "python/tests"]);
    let Outcome { lines, success } = observe(command)?;
    Ok(Tally::from_pytest(&lines).checked(success))
}

fn stubs(environment: &Environment) -> Result<Tally, TaskError> {
    let mut command = environment.python();
    command.args([
        "-m",
        "mypy.stubtest",
        "--mypy-config-file",
        "pyproject.toml",
        "coilwright._core",
    ]);
    let stub_success = observe(command)?.success;
    let mut command = environment.python();
    command.args([
        "-m",
        "mypy",
        "--config-file",
        "pyproject.toml",
        "python/coilwright",
    ]);
    let type_success = observe(command)?.success;
    Ok(Tally::from_check(stub_success).plus(Tally::from_check(type_success)))
}

fn notebooks(environment: &Environment) -> Result<Tally, TaskError> {
    let mut command = environment.python();
    command.arg("notebooks/execute.py");
    let Outcome { lines, success } = observe(command)?;
    Ok(Tally::from_notebooks(&lines).checked(success))
}

fn report(results: &[(&str, Tally)]) -> ExitCode {
    heading("Summary");
    for (name, tally) in results {
        match (tally.passed, tally.failed) {
            (0, 0) => println!("{name:20} clean"),
            _ => println!("{name:20} {tally}"),
        }
    }
    let total = results
        .iter()
        .fold(Tally::default(), |sum, (_, tally)| sum.plus(*tally));
    println!("{} passed, {} failed", total.passed, total.failed);
    if total.failed == 0 && total.passed > 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn heading(text: &str) {
    println!("\n== {text}");
}
