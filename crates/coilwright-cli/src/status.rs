use coilwright_coil::condition::{CoilVerdict, Condition};
use coilwright_diagnose::{Check, Fault};

/// How a run ended; its [`code`](Self::code) is the command's exit code.
///
/// Of several inputs the gravest decides, in the order in which the variants stand here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// All inputs were read and no fault was found; `decode` read a frame; `synth` wrote its files. Exit code 0.
    Clear,
    /// The captures do not carry the answer: `check` cannot tell, `decode` found no frame. Exit code 3.
    CannotTell,
    /// A fault was found. Exit code 1.
    FaultFound,
    /// The arguments make no sense, an input cannot be read or an output cannot be written. Exit code 2.
    Refused,
}

/// The exit codes, as `--help` lists them.
pub(crate) const EXIT_CODES: &str = "\
Exit codes:
  0  everything was read and no fault was found (decode: a frame was read)
  1  a fault was found
  2  wrong arguments, or an input could not be read
  3  cannot tell (decode: no frame was found)
Of several captures the gravest decides: 2, then 1, then 3. With --exit-zero, 1
and 3 become 0.";

impl Status {
    /// The exit code of the process.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Clear => 0,
            Self::FaultFound => 1,
            Self::Refused => 2,
            Self::CannotTell => 3,
        }
    }

    /// The same, or [`Clear`](Self::Clear) for what `--exit-zero` does not count.
    pub(crate) fn or_clear(self, exit_zero: bool) -> Self {
        if exit_zero && self != Self::Refused {
            Self::Clear
        } else {
            self
        }
    }

    /// What a coil's condition says.
    pub(crate) const fn of_coil(verdict: &CoilVerdict) -> Self {
        match verdict.condition {
            Condition::Sound => Self::Clear,
            Condition::CannotTell => Self::CannotTell,
            _ => Self::FaultFound,
        }
    }

    /// What a check says about its capture.
    #[must_use]
    pub fn of_check(check: &Check) -> Self {
        match check.verdict.fault {
            Fault::None => Self::Clear,
            Fault::CannotTell => Self::CannotTell,
            _ => Self::FaultFound,
        }
    }
}
