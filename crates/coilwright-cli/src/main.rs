//! The `coilwright` command.
fn main() {}
