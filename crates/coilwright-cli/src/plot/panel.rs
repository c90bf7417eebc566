use super::canvas::{Anchor, BLACK, Canvas, GREY, Mark, ONE, PALE, Stroke, ZERO};
use super::lettering::width;
use super::scale::Scale;

const TITLE_SIZE: f64 = 13.0;
const TEXT_SIZE: f64 = 11.0;
/// Room for labels round the plotted area; more at the left where they take it.
const LEFT: f64 = 62.0;
/// Room of the title at the left.
const BESIDE: f64 = 20.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 24.0;
const BOTTOM: f64 = 40.0;

/// Where a panel stands on the page.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Place {
    /// Height of the plotted area.
    pub(super) fn plotted(&self) -> f64 {
        self.height - TOP - BOTTOM
    }
}

/// What stands round the plotted area.
pub(super) struct Titles<'a> {
    pub title: &'a str,
    pub x: &'a str,
    pub y: &'a str,
}

/// A plot with its two axes.
pub(super) struct Panel<'a> {
    pub canvas: &'a mut Canvas,
    pub x: Scale,
    pub y: Scale,
}

impl<'a> Panel<'a> {
    /// Draws the axes of a panel for the given ranges.
    pub(super) fn new(
        canvas: &'a mut Canvas,
        place: Place,
        titles: &Titles<'_>,
        x_range: (f64, f64),
        y_range: (f64, f64),
    ) -> Self {
        let (top, bottom) = (place.y + TOP, place.y + place.height - BOTTOM);
        let y = Scale::new(y_range, (bottom, top));
        let y_ticks = y.ticks((bottom - top) / 26.0);
        let labels = y_ticks.iter().map(|(_, label)| width(label, TEXT_SIZE));
        let left = place.x + labels.fold(LEFT, |left, label| left.max(BESIDE + label + 5.0));
        let right = place.x + place.width - RIGHT;
        let x = Scale::new(x_range, (left, right));
        for (value, label) in x.ticks((right - left) / 70.0) {
            let pixel = x.pixel(value);
            canvas.line(&[(pixel, top), (pixel, bottom)], Stroke::solid(PALE, 0.7));
            canvas.text((pixel, bottom + 14.0), TEXT_SIZE, Anchor::Middle, &label);
        }
        for (value, label) in y_ticks {
            let pixel = y.pixel(value);
            canvas.line(&[(left, pixel), (right, pixel)], Stroke::solid(PALE, 0.7));
            canvas.text((left - 5.0, pixel + 4.0), TEXT_SIZE, Anchor::End, &label);
        }
        canvas.frame((left, top), (right, bottom), Stroke::solid(BLACK, 1.0));
        let middle = 0.5 * (left + right);
        canvas.text((left, top - 8.0), TITLE_SIZE, Anchor::Start, titles.title);
        canvas.text((middle, bottom + 31.0), TEXT_SIZE, Anchor::Middle, titles.x);
        let beside = (place.x + 14.0, 0.5 * (top + bottom));
        canvas.turned_text(beside, TEXT_SIZE, Anchor::Middle, -90.0, titles.y);
        Self { canvas, x, y }
    }

    /// The pixels of a point.
    pub(super) fn at(&self, x: f64, y: f64) -> (f64, f64) {
        (self.x.pixel(x), self.y.pixel(y))
    }

    /// A line through points; what lies outside is drawn on the edge.
    pub(super) fn line(&mut self, points: impl Iterator<Item = (f64, f64)>, stroke: Stroke) {
        let pixels: Vec<(f64, f64)> = points.map(|(x, y)| self.at(x, y)).collect();
        self.canvas.line(&pixels, stroke);
    }

    /// Marks at the points that lie inside.
    pub(super) fn marks(
        &mut self,
        points: impl Iterator<Item = (f64, f64)>,
        mark: Mark,
        size: f64,
        colour: &'static str,
    ) {
        let pixels: Vec<(f64, f64)> = points
            .filter(|&(x, y)| self.x.holds(x) && self.y.holds(y))
            .map(|(x, y)| self.at(x, y))
            .collect();
        self.canvas.marks(&pixels, mark, size, colour);
    }

    /// A text over the frame, at its right end, where it covers nothing that is drawn.
    pub(super) fn over(&mut self, text: &str) {
        let (x, y) = self.at(self.x.high, self.y.high);
        let place = (x, y - 8.0);
        self.canvas.text(place, TEXT_SIZE, Anchor::End, text);
    }

    /// A text in the upper right corner, as line `row` from 0.
    pub(super) fn note(&mut self, row: usize, text: &str) {
        let place = self.corner(row);
        self.canvas.text(place, TEXT_SIZE, Anchor::End, text);
    }

    /// What the two colours mean, in the upper right corner.
    pub(super) fn legend(&mut self) {
        for (row, (text, mark, colour)) in
            [("bit 1", Mark::Disc, ONE), ("bit 0", Mark::Square, ZERO)]
                .into_iter()
                .enumerate()
        {
            let (x, y) = self.corner(row);
            self.canvas.text((x, y), TEXT_SIZE, Anchor::End, text);
            self.canvas.marks(&[(x - 38.0, y - 4.0)], mark, 3.0, colour);
        }
    }

    fn corner(&self, row: usize) -> (f64, f64) {
        let (x, y) = self.at(self.x.high, self.y.high);
        (x - 6.0, y + 15.0 + 14.0 * row as f64)
    }

    /// The line of zero.
    pub(super) fn zero(&mut self) {
        let ends = [(self.x.low, 0.0), (self.x.high, 0.0)];
        self.line(ends.into_iter(), Stroke::solid(GREY, 1.0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_labels_move_the_frame_and_not_onto_the_title() {
        let mut canvas = Canvas::new(720.0, 330.0);
        let place = Place {
            x: 0.0,
            y: 0.0,
            width: 720.0,
            height: 330.0,
        };
        let titles = Titles {
            title: "Resistance",
            x: "frequency, kHz",
            y: "resistance, Ω",
        };
        let mut left = |y| {
            let panel = Panel::new(&mut canvas, place, &titles, (110.0, 140.0), y);
            panel.x.pixel(panel.x.low)
        };
        assert!((left((-1.05, 1.05)) - LEFT).abs() < 1e-9);
        assert!(left((39.998, 40.002)) - 5.0 - width("40.0005", TEXT_SIZE) >= BESIDE - 1e-9);
    }
}
