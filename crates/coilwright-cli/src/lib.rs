//! The `coilwright` command as a library.
mod args;
mod help;
mod status;
pub use help::help_page;
pub use status::Status;
