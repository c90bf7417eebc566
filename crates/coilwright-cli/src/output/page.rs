use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};

/// Width of the text output in characters.
pub(crate) const WIDTH: usize = 80;

const HEADLINE: Style = Style::new().bold();
const HEADING: Style = Style::new().bold();
const REFUSAL: Style = AnsiColor::Red.on_default();
const WARNING: Style = AnsiColor::Yellow.on_default();

/// Text built line by line, wrapped at [`WIDTH`] characters.
///
/// Styles are only an addition: the words say the same without them.
#[derive(Default)]
pub(crate) struct Page {
    text: String,
}

impl Page {
    /// The finished text.
    pub(crate) fn finish(self) -> String {
        self.text
    }

    /// An empty line.
    pub(crate) fn blank(&mut self) {
        self.text.push('\n');
    }

    /// The line that matters most.
    pub(crate) fn headline(&mut self, text: &str) {
        self.wrapped("", "", text, HEADLINE);
    }

    /// The title of a section, after an empty line.
    pub(crate) fn heading(&mut self, text: &str) {
        self.blank();
        self.wrapped("", "", text, HEADING);
    }

    /// A paragraph.
    pub(crate) fn paragraph(&mut self, text: &str) {
        self.wrapped("", "", text, Style::new());
    }

    /// A paragraph with a mark before its first line; further lines stand under the first.
    pub(crate) fn item(&mut self, mark: &str, text: &str) {
        let rest = " ".repeat(mark.chars().count());
        self.wrapped(mark, &rest, text, Style::new());
    }

    /// A caution.
    pub(crate) fn caution(&mut self, text: &str) {
        self.wrapped("  ! ", "    ", text, WARNING);
    }

    /// Something that was refused.
    pub(crate) fn refusal(&mut self, text: &str) {
        self.wrapped("error: ", "       ", text, REFUSAL);
    }

    /// A name and its value in two columns.
    pub(crate) fn row(&mut self, name: &str, value: &str) {
        self.item(&format!("  {name:<14}"), value);
    }

    fn wrapped(&mut self, first: &str, rest: &str, text: &str, style: Style) {
        let mut prefix = first;
        for line in wrap(text, WIDTH.saturating_sub(first.chars().count())) {
            self.text.push_str(prefix);
            // Writing to a string cannot fail.
            let _ = writeln!(self.text, "{style}{line}{style:#}");
            prefix = rest;
        }
    }
}

/// The text in lines of at most `width` characters; a longer word gets a line of its own.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let word_length = word.chars().count();
        if length > 0 && length + 1 + word_length > width {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        line.push_str(word);
        length += word_length;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_items_stay_within_the_width_and_hang_under_their_mark() {
        let mut page = Page::default();
        page.item("  1. ", &"word ".repeat(40));
        let text = page.finish();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(
            text.lines()
                .skip(1)
                .all(|line| line.starts_with("     word"))
        );
    }

    #[test]
    fn a_word_longer_than_the_line_is_kept_whole() {
        assert_eq!(wrap("a bbbbbb c", 3), ["a", "bbbbbb", "c"]);
    }
}
