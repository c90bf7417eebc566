//! Developer commands of Coilwright: `cargo xtask --help`.
fn main() {}
