use std::fmt::Write as _;

use clap::CommandFactory as _;

use crate::args::Cli;

/// The help of every command as one Markdown page, as `docs/command.md` holds it.
#[must_use]
pub fn help_page() -> String {
    let mut page = String::from(
        "# The `coilwright` command\n\nMade from the code by `cargo xtask generate`.\n",
    );
    let mut root = Cli::command()
        .color(clap::ColorChoice::Never)
        .term_width(80);
    root.build();
    sections(&mut page, &mut root);
    page
}

/// A command and all below it.
fn sections(page: &mut String, command: &mut clap::Command) {
    section(page, command);
    for below in command
        .get_subcommands_mut()
        .filter(|command| command.get_name() != "help")
    {
        sections(page, below);
    }
}

fn section(page: &mut String, command: &mut clap::Command) {
    let name = command.get_bin_name().unwrap_or("coilwright").to_owned();
    let help = command.render_long_help().to_string();
    let help: Vec<&str> = help.lines().map(str::trim_end).collect();
    // Writing to a string cannot fail.
    let _ = write!(
        page,
        "\n## `{name}`\n\n```text\n{}\n```\n",
        help.join("\n").trim_end()
    );
}
