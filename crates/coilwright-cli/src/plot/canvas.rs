use std::fmt::{self, Write as _};

/// Colour of what stands for 1: dark.
pub(super) const ONE: &str = "#0072B2";
/// Colour of what stands for 0: light.
pub(super) const ZERO: &str = "#E69F00";
pub(super) const BLACK: &str = "#000000";
pub(super) const GREY: &str = "#707070";
pub(super) const PALE: &str = "#DDDDDD";

/// How a line is drawn.
#[derive(Clone, Copy)]
pub(super) struct Stroke {
    pub colour: &'static str,
    pub width: f64,
    pub opacity: f64,
    /// Lengths of dash and gap; empty for a solid line.
    pub dashes: &'static str,
}

impl Stroke {
    pub(super) const fn solid(colour: &'static str, width: f64) -> Self {
        Self {
            colour,
            width,
            opacity: 1.0,
            dashes: "",
        }
    }

    pub(super) const fn dashed(colour: &'static str, width: f64) -> Self {
        Self {
            dashes: "4 3",
            ..Self::solid(colour, width)
        }
    }

    pub(super) const fn with_opacity(self, opacity: f64) -> Self {
        Self { opacity, ..self }
    }
}

/// The form of a mark.
#[derive(Clone, Copy)]
pub(super) enum Mark {
    Disc,
    Square,
    /// Points down at its place.
    Arrow,
}

/// Where a text stands against its place.
#[derive(Clone, Copy)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// A picture in the making; units are pixels, y grows downwards.
pub(super) struct Canvas {
    body: String,
    width: f64,
    height: f64,
}

impl Canvas {
    pub(super) const fn new(width: f64, height: f64) -> Self {
        Self {
            body: String::new(),
            width,
            height,
        }
    }

    fn put(&mut self, element: fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let _ = self.body.write_fmt(element);
        self.body.push('\n');
    }

    /// A line through points.
    pub(super) fn line(&mut self, points: &[(f64, f64)], stroke: Stroke) {
        let mut path = String::new();
        for (index, (x, y)) in points.iter().enumerate() {
            let command = if index == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{command}{x:.1} {y:.1}");
        }
        self.path(&path, "none", stroke);
    }

    /// A rectangle from one corner to the other.
    pub(super) fn frame(&mut self, from: (f64, f64), to: (f64, f64), stroke: Stroke) {
        self.line(&[from, (to.0, from.1), to, (from.0, to.1), from], stroke);
    }

    /// Marks of one form and colour.
    pub(super) fn marks(
        &mut self,
        places: &[(f64, f64)],
        mark: Mark,
        size: f64,
        colour: &'static str,
    ) {
        let mut path = String::new();
        for (x, y) in places {
            let _ = match mark {
                Mark::Disc => write!(
                    path,
                    "M{:.1} {y:.1}a{size:.1} {size:.1} 0 1 0 {d:.1} 0a{size:.1} {size:.1} 0 1 0 -{d:.1} 0",
                    x - size,
                    d = 2.0 * size
                ),
                Mark::Square => write!(
                    path,
                    "M{:.1} {:.1}h{d:.1}v{d:.1}h-{d:.1}z",
                    x - size,
                    y - size,
                    d = 2.0 * size
                ),
                Mark::Arrow => write!(
                    path,
                    "M{x:.1} {y:.1}l-{size:.1} -{size:.1}h{:.1}z",
                    2.0 * size
                ),
            };
        }
        self.path(&path, colour, Stroke::solid("none", 0.0));
    }

    fn path(&mut self, path: &str, fill: &str, stroke: Stroke) {
        if path.is_empty() {
            return;
        }
        let Stroke {
            colour,
            width,
            opacity,
            dashes,
        } = stroke;
        let dashes = if dashes.is_empty() {
            String::new()
        } else {
            format!(" stroke-dasharray=\"{dashes}\"")
        };
        self.put(format_args!(
            "<path d=\"{path}\" fill=\"{fill}\" stroke=\"{colour}\" stroke-width=\"{width}\" opacity=\"{opacity}\"{dashes}/>"
        ));
    }

    /// A text of the given size.
    pub(super) fn text(&mut self, place: (f64, f64), size: f64, anchor: Anchor, text: &str) {
        self.turned_text(place, size, anchor, 0.0, text);
    }

    /// A text that is turned clockwise about its place.
    pub(super) fn turned_text(
        &mut self,
        (x, y): (f64, f64),
        size: f64,
        anchor: Anchor,
        degrees: f64,
        text: &str,
    ) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let turn = if degrees == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({degrees} {x:.1} {y:.1})\"")
        };
        let text = escaped(text);
        self.put(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{anchor}\"{turn}>{text}</text>"
        ));
    }

    /// The finished picture.
    pub(super) fn finish(self) -> String {
        let Self {
            body,
            width,
            height,
        } = self;
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
             viewBox=\"0 0 {width} {height}\" font-family=\"sans-serif\">\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"white\"/>\n{body}</svg>\n"
        )
    }
}

/// Text as XML holds it; control characters, which XML cannot hold, are left out.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for character in text.chars().filter(|character| !character.is_control()) {
        match character {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            other => escaped.push(other),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_leave_its_element() {
        let mut canvas = Canvas::new(10.0, 10.0);
        canvas.text((1.0, 1.0), 8.0, Anchor::Start, "<a> & \"b\"\u{7}");
        assert!(
            canvas
                .finish()
                .contains(">&lt;a&gt; &amp; &quot;b&quot;</text>")
        );
    }
}
