//! Developer commands of Coilwright: `cargo xtask --help`.

mod demo;
mod environment;
mod error;
mod generate;
mod ngspice;
mod process;
mod suite;
mod tally;

use std::process::{Command, ExitCode};

use clap::{Parser, Subcommand};

use crate::error::TaskError;

/// Developer commands of Coilwright.
#[derive(Parser)]
#[command(name = "cargo xtask")]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Run every test: Rust, doc tests, Python, type stubs, notebooks. Makes its own `.venv`.
    Test,
    /// Run what the build server runs: formatting, lints, documentation, generated files, then every test.
    Ci,
    /// Make or refresh `.venv` with the pinned tools and build the Python package into it.
    Environment,
    /// Simulate the demonstration captures of testdata/sandpiper anew.
    Demo,
    /// Write the files that are made from the code: command help and fault pages.
    Generate {
        /// Write nothing; fail when a file is not what the code would write.
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    match run(&Arguments::parse().task) {
        Ok(code) => code,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

fn run(task: &Task) -> Result<ExitCode, TaskError> {
    match task {
        Task::Test => suite::run(),
        Task::Ci => process::require(Command::new(process::root().join(".ci/run"))),
        Task::Environment => environment::Environment::prepare()?.build_package(),
        Task::Demo => demo::write(&process::root()),
        Task::Generate { check: true } => generate::check(&process::root()),
        Task::Generate { check: false } => generate::write(&process::root()),
    }
}
