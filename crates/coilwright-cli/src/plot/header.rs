//! What stands over a page: its title, and lines below it.

use super::canvas::{Anchor, Canvas};
use super::lettering::{ending, wrapped};

const TITLE_SIZE: f64 = 16.0;
const TEXT_SIZE: f64 = 12.0;
const LEFT: f64 = 12.0;
const TITLE: f64 = 24.0;
const FIRST: f64 = 46.0;
const LINE: f64 = 16.0;
const BELOW: f64 = 16.0;

/// A title in one line, and a text in as many as it takes.
pub(super) struct Header {
    title: String,
    lines: Vec<String>,
}

impl Header {
    /// What fits on a page of this width; a title that is too long loses its beginning.
    pub(super) fn new(title: &str, text: &str, width: f64) -> Self {
        let room = width - 2.0 * LEFT;
        Self {
            title: ending(title, TITLE_SIZE, room),
            lines: wrapped(text, TEXT_SIZE, room),
        }
    }

    pub(super) fn height(&self) -> f64 {
        let further = self.lines.len().saturating_sub(1) as f64;
        FIRST + LINE * further + BELOW
    }

    pub(super) fn draw(&self, canvas: &mut Canvas) {
        canvas.text((LEFT, TITLE), TITLE_SIZE, Anchor::Start, &self.title);
        for (row, line) in self.lines.iter().enumerate() {
            let place = (LEFT, FIRST + LINE * row as f64);
            canvas.text(place, TEXT_SIZE, Anchor::Start, line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_many_digits_take_a_second_line() {
        let found = "resonance (loaded) 125000.190 ± 0.001 Hz, Q unloaded 31.8087123 ± 0.0000001, inductance 1.62000000 ± 0.00000001 mH";
        let long = Header::new("ring.s1p", found, 720.0);
        assert_eq!(long.lines.len(), 2);
        assert_eq!(long.lines.join(" "), found);
        let short = Header::new("ring.s1p", "Q 20", 720.0);
        assert!((long.height() - short.height() - LINE).abs() < 1e-9);
    }
}
