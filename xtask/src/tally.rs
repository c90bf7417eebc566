use std::fmt;

/// How many tests of one kind passed, failed and were left out, as their own runner reports.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    pub(crate) passed: usize,
    pub(crate) failed: usize,
    pub(crate) skipped: usize,
}

impl Tally {
    /// Counts of `cargo test`: the sum over its `test result:` lines.
    pub(crate) fn from_cargo(lines: &[String]) -> Self {
        lines
            .iter()
            .filter_map(|line| line.strip_prefix("test result:"))
            .map(|line| Self {
                passed: count_before(line, "passed"),
                failed: count_before(line, "failed"),
                skipped: count_before(line, "ignored"),
            })
            .fold(Self::default(), Self::plus)
    }

    /// Counts of pytest: its last line that tells how long it took.
    pub(crate) fn from_pytest(lines: &[String]) -> Self {
        let summary = lines
            .iter()
            .rev()
            .find(|line| line.contains(" in "))
            .map_or("", String::as_str);
        Self {
            passed: count_before(summary, "passed"),
            failed: count_before(summary, "failed") + count_before(summary, "error"),
            skipped: count_before(summary, "skipped"),
        }
    }

    /// Counts of the notebook runner: one line a notebook, starting with `passed` or `failed`.
    pub(crate) fn from_notebooks(lines: &[String]) -> Self {
        let count = |word: &str| lines.iter().filter(|line| line.starts_with(word)).count();
        Self {
            passed: count("passed "),
            failed: count("failed "),
            skipped: 0,
        }
    }

    /// A check that passes or fails as a whole and is not counted as a test when it passes.
    pub(crate) fn from_check(success: bool) -> Self {
        Self {
            failed: usize::from(!success),
            ..Self::default()
        }
    }

    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            passed: self.passed + other.passed,
            failed: self.failed + other.failed,
            skipped: self.skipped + other.skipped,
        }
    }

    /// The same counts, with at least one failure when the runner failed or ran nothing.
    pub(crate) fn checked(self, success: bool) -> Self {
        let broken = !success || self.passed == 0;
        Self {
            failed: self.failed.max(usize::from(broken)),
            ..self
        }
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{:5} passed, {:3} failed",
            self.passed, self.failed
        )?;
        if self.skipped > 0 {
            write!(formatter, ", {:3} skipped", self.skipped)?;
        }
        Ok(())
    }
}

/// The number that stands before a word, as in `3 passed`; 0 where the word does not occur.
fn count_before(line: &str, word: &str) -> usize {
    let words: Vec<&str> = line
        .split([' ', ',', ';'])
        .filter(|part| !part.is_empty())
        .collect();
    words
        .windows(2)
        .find(|pair| pair[1].trim_end_matches('s') == word.trim_end_matches('s'))
        .and_then(|pair| pair[0].parse().ok())
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<String> {
        text.lines().map(str::to_owned).collect()
    }

    #[test]
    fn cargo_results_are_summed_over_binaries() {
        let output = lines(
            "running 3 tests\n\
             test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 0 filtered out; finished in 0.01s\n\
             test result: FAILED. 3 passed; 2 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.01s",
        );
        let expected = Tally {
            passed: 15,
            failed: 2,
            skipped: 1,
        };
        assert_eq!(Tally::from_cargo(&output), expected);
    }

    #[test]
    fn pytest_errors_count_as_failures() {
        let output = lines("..F\n=== 1 failed, 20 passed, 2 skipped, 3 errors in 0.52s ===");
        let expected = Tally {
            passed: 20,
            failed: 4,
            skipped: 2,
        };
        assert_eq!(Tally::from_pytest(&output), expected);
    }

    #[test]
    fn a_runner_that_ran_nothing_has_failed() {
        assert_eq!(
            Tally::from_pytest(&lines("no tests ran in 0.01s"))
                .checked(true)
                .failed,
            1
        );
    }
}
