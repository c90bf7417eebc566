//! How much room letters take, and what is done where they do not fit.

/// Width of a letter over its height, wide enough for any usual sans-serif face.
const LETTER: f64 = 0.62;

/// A space at which no line is broken.
pub(super) const HARD_SPACE: &str = "\u{a0}";

/// The width that a text of this size takes at most.
pub(super) fn width(text: &str, size: f64) -> f64 {
    LETTER * size * text.chars().count() as f64
}

/// The text in lines of at most this width, broken at spaces other than [`HARD_SPACE`]; a longer word stands by itself and loses its beginning.
pub(super) fn wrapped(text: &str, size: f64, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if width(line, size) + width(" ", size) + width(word, size) <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(ending(word, size, most)),
        }
    }
    lines
}

/// The end of a text, which tells files apart, as far as it fits this width.
pub(super) fn ending(text: &str, size: f64, most: f64) -> String {
    let fitting = (most / width("m", size)) as usize;
    let count = text.chars().count();
    if count <= fitting {
        return text.to_owned();
    }
    let kept = text.chars().skip(count + 1 - fitting.max(1));
    std::iter::once('…').chain(kept).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_broken_between_words_and_a_long_word_keeps_its_end() {
        let ten = width("0123456789", 12.0);
        assert_eq!(wrapped("one two three", 12.0, ten), ["one two", "three"]);
        assert_eq!(wrapped("", 12.0, ten), [""; 0]);
        assert_eq!(
            wrapped("a /captures/of/dunlin.wav b", 12.0, ten),
            ["a", "…unlin.wav", "b"]
        );
        assert_eq!(ending("dunlin.wav", 12.0, ten), "dunlin.wav");
        assert_eq!(ending("dunlin.wav", 12.0, 0.0), "…");
    }
}
