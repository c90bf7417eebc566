//! The `coilwright` command as a library: arguments, plan, run, exit code.
