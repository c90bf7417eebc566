use std::fs;
use std::path::Path;
use std::process::ExitCode;

use crate::error::TaskError;

/// One file that is made from the code.
struct Generated {
    path: &'static str,
    content: String,
}

/// Writes every generated file below `root`.
pub(crate) fn write(root: &Path) -> Result<ExitCode, TaskError> {
    for file in files() {
        let path = root.join(file.path);
        fs::write(&path, file.content).map_err(|source| TaskError::File { path, source })?;
        println!("wrote {}", file.path);
    }
    Ok(ExitCode::SUCCESS)
}

/// Fails when a generated file below `root` is not what the code would write.
pub(crate) fn check(root: &Path) -> Result<ExitCode, TaskError> {
    let stale: Vec<String> = files()
        .into_iter()
        .filter(|file| {
            fs::read_to_string(root.join(file.path)).ok().as_ref() != Some(&file.content)
        })
        .map(|file| file.path.to_owned())
        .collect();
    if stale.is_empty() {
        println!("generated files are up to date");
        Ok(ExitCode::SUCCESS)
    } else {
        Err(TaskError::Stale { files: stale })
    }
}

fn files() -> Vec<Generated> {
    vec![
        Generated {
            path: "docs/command.md",
            content: coilwright_cli::help_page(),
        },
        Generated {
            path: "docs/faults.md",
            content: coilwright_diagnose::fault_pages(),
        },
    ]
}

#[cfg(test)]
mod tests {
    #[test]
    fn generated_files_are_up_to_date() {
        let result = super::check(&crate::process::root());
        assert!(
            result.is_ok(),
            "{}",
            result.map_or_else(|error| error.to_string(), |_| String::new())
        );
    }
}
