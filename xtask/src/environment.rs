use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};

use crate::error::TaskError;
use crate::process::{require, root};

const REQUIREMENTS: &str = "python/requirements-dev.txt";

/// The project's own virtual environment, `.venv`, with the pinned tools.
pub(crate) struct Environment {
    folder: PathBuf,
}

impl Environment {
    /// Makes `.venv` where it is missing, and installs the pinned tools where they have changed.
    pub(crate) fn prepare() -> Result<Self, TaskError> {
        let environment = Self {
            folder: root().join(".venv"),
        };
        if !environment.program("python").exists() {
            environment.create()?;
        }
        let wanted = read(&root().join(REQUIREMENTS))?;
        let stamp = environment.folder.join("installed-requirements.txt");
        if fs::read_to_string(&stamp).ok().as_ref() != Some(&wanted) {
            println!("Installing the pinned tools of {REQUIREMENTS} into .venv");
            let mut pip = environment.python();
            pip.args([
                "-m",
                "pip",
                "install",
                "--quiet",
                "--disable-pip-version-check",
                "-r",
            ]);
            pip.arg(REQUIREMENTS);
            require(pip)?;
            fs::write(&stamp, wanted).map_err(|source| TaskError::File {
                path: stamp,
                source,
            })?;
        }
        Ok(environment)
    }

    /// Builds the extension module and installs the package into the environment, for editing.
    ///
    /// The development profile shares what `cargo test` compiles.
    pub(crate) fn build_package(&self) -> Result<ExitCode, TaskError> {
        let mut maturin = Command::new(self.program("maturin"));
        maturin.arg("develop").env("VIRTUAL_ENV", &self.folder);
        require(maturin)
    }

    /// The environment's Python, with plots drawn into memory.
    pub(crate) fn python(&self) -> Command {
        let mut python = Command::new(self.program("python"));
        python.env("MPLBACKEND", "Agg").env_remove("PYTHONPATH");
        python
    }

    fn program(&self, name: &str) -> PathBuf {
        let folder = if cfg!(windows) { "Scripts" } else { "bin" };
        let file = if cfg!(windows) {
            format!("{name}.exe")
        } else {
            name.to_owned()
        };
        self.folder.join(folder).join(file)
    }

    fn create(&self) -> Result<(), TaskError> {
        let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
        let modules = Command::new(&python)
            .args(["-c", "import ensurepip, venv"])
            .stderr(Stdio::null())
            .status()
            .map_err(|source| TaskError::Start {
                program: python.clone(),
                source,
            })?;
        if !modules.success() {
            return Err(TaskError::NoVenv { python });
        }
        println!("Making the virtual environment .venv");
        let mut venv = Command::new(&python);
        venv.args(["-m", "venv", "--clear"]).arg(&self.folder);
        require(venv).map(|_| ())
    }
}

fn read(path: &Path) -> Result<String, TaskError> {
    fs::read_to_string(path).map_err(|source| TaskError::File {
        path: path.to_path_buf(),
        source,
    })
}
