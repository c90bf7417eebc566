//! The `coilwright` command as a library: arguments, plan, run, exit code.
//!
//! [`run`] takes the arguments and two writers and returns a [`Status`], which alone decides the exit code. Data goes
//! to the first writer, messages to the second.
//!
//! ```
//! let (mut data, mut messages) = (Vec::new(), Vec::new());
//! let status = coilwright_cli::run(["coilwright", "--version"], &mut data, &mut messages);
//! assert_eq!(status.code(), 0);
//! assert!(data.starts_with(b"coilwright "));
//! ```

mod args;
mod closer;
mod coil_args;
mod commands;
mod draft;
mod error;
mod help;
mod inputs;
mod measure_each;
mod output;
mod plot;
mod progress;
mod run;
mod status;
mod streams;

pub use help::help_page;
pub use run::run;
pub use status::Status;
