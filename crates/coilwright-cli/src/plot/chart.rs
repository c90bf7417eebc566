//! Computed curves and histograms, one panel above the other.

use super::canvas::{Anchor, BLACK, Canvas, GREY, Mark, ONE, Stroke, ZERO};
use super::panel::{Panel, Place, Titles};
use super::scale::range;

const WIDTH: f64 = 720.0;
const HEADER: f64 = 44.0;
const PLANE: f64 = 330.0;
/// Least height of a panel over its values: less than a per cent is no shape.
const FLATTEST: f64 = 1e-2;
/// Room over the curves for the notes, of their height.
const NOTES: f64 = 0.15;
/// Columns of a histogram.
const COLUMNS: usize = 48;
/// A title longer than this is cut: it would leave the page.
const MOST_LETTERS: usize = 88;

/// One panel.
#[derive(Clone, Debug)]
pub(crate) struct Chart {
    pub(crate) title: String,
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) shown: Shown,
    /// What the marks and strokes mean.
    pub(crate) notes: Vec<String>,
}

/// What a panel shows.
#[derive(Clone, Debug)]
pub(crate) enum Shown {
    /// Curves, and squares on them.
    Lines {
        lines: Vec<Line>,
        marks: Vec<(f64, f64)>,
    },
    /// How often values occur.
    Histogram(Histogram),
}

/// A curve.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) points: Vec<(f64, f64)>,
    pub(crate) look: Look,
}

/// How a curve looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Look {
    /// Blue.
    Main,
    /// Black, dashed.
    Other,
}

/// Values with their limits.
#[derive(Clone, Debug)]
pub(crate) struct Histogram {
    pub(crate) values: Vec<f64>,
    pub(crate) nominal: f64,
    /// Where 95 % of them lie.
    pub(crate) central: (f64, f64),
    pub(crate) worst: (f64, f64),
}

/// The picture of a model.
pub(crate) fn charts_page(subject: &str, charts: &[Chart]) -> String {
    let mut canvas = Canvas::new(WIDTH, HEADER + PLANE * charts.len() as f64);
    let mut title: String = subject.chars().take(MOST_LETTERS).collect();
    if title.len() < subject.len() {
        title.push('…');
    }
    canvas.text((12.0, 24.0), 15.0, Anchor::Start, &title);
    for (row, chart) in charts.iter().enumerate() {
        let place = Place {
            x: 0.0,
            y: HEADER + PLANE * row as f64,
            width: WIDTH,
            height: PLANE,
        };
        let titles = Titles {
            title: &chart.title,
            x: &chart.x,
            y: &chart.y,
        };
        match &chart.shown {
            Shown::Lines { lines, marks } => {
                let (x, y) = ranges(lines, marks);
                let mut panel = Panel::new(&mut canvas, place, &titles, x, y);
                curves(&mut panel, lines, marks);
                notes(&mut panel, &chart.notes);
            }
            Shown::Histogram(histogram) => {
                let (edges, counts) = columns(histogram);
                let most = counts.iter().copied().max().unwrap_or(0) as f64;
                let x = range(
                    [histogram.worst.0, histogram.worst.1].into_iter(),
                    0.04,
                    FLATTEST,
                );
                let y = (0.0, 1.25 * most.max(1.0));
                let mut panel = Panel::new(&mut canvas, place, &titles, x, y);
                bars(&mut panel, histogram, &edges, &counts);
                notes(&mut panel, &chart.notes);
            }
        }
    }
    canvas.finish()
}

fn ranges(lines: &[Line], marks: &[(f64, f64)]) -> ((f64, f64), (f64, f64)) {
    let all = || lines.iter().flat_map(|line| &line.points).chain(marks);
    let (low, high) = range(all().map(|p| p.1), 0.06, FLATTEST);
    let x = range(all().map(|p| p.0), 0.0, FLATTEST);
    (x, (low, high + NOTES * (high - low)))
}

fn curves(panel: &mut Panel<'_>, lines: &[Line], marks: &[(f64, f64)]) {
    for line in lines {
        let stroke = match line.look {
            Look::Main => Stroke::solid(ONE, 1.6),
            Look::Other => Stroke::dashed(BLACK, 1.4),
        };
        panel.line(line.points.iter().copied(), stroke);
    }
    panel.marks(marks.iter().copied(), Mark::Square, 4.0, ZERO);
}

fn notes(panel: &mut Panel<'_>, notes: &[String]) {
    for (row, note) in notes.iter().enumerate() {
        panel.note(row, note);
    }
}

/// Edges of the columns over the values, and how many values each holds.
fn columns(histogram: &Histogram) -> (Vec<f64>, Vec<usize>) {
    let (low, high) = histogram
        .values
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &v| {
            (low.min(v), high.max(v))
        });
    let width = (high - low) / COLUMNS as f64;
    let edges = (0..=COLUMNS).map(|n| low + width * n as f64).collect();
    let mut counts = vec![0; COLUMNS];
    for &value in &histogram.values {
        // All values in one column where they do not differ.
        let column = if width > 0.0 {
            ((value - low) / width) as usize
        } else {
            0
        };
        counts[column.min(COLUMNS - 1)] += 1;
    }
    (edges, counts)
}

fn bars(panel: &mut Panel<'_>, histogram: &Histogram, edges: &[f64], counts: &[usize]) {
    let mut outline = Vec::with_capacity(4 * counts.len());
    for (pair, &count) in edges.windows(2).zip(counts) {
        let top = count as f64;
        outline.extend([
            (pair[0], 0.0),
            (pair[0], top),
            (pair[1], top),
            (pair[1], 0.0),
        ]);
    }
    panel.line(outline.into_iter(), Stroke::solid(ONE, 1.2));
    // The note stands over the lines.
    let highest = 0.9 * panel.y.high;
    let mut upright = |x: f64, stroke: Stroke| {
        panel.line([(x, 0.0), (x, highest)].into_iter(), stroke);
    };
    for worst in [histogram.worst.0, histogram.worst.1] {
        upright(worst, Stroke::solid(GREY, 0.8));
    }
    for limit in [histogram.central.0, histogram.central.1] {
        upright(limit, Stroke::dashed(BLACK, 1.2));
    }
    upright(histogram.nominal, Stroke::solid(BLACK, 1.2));
    panel.note(0, "black: nominal; dashed: 95 % between; grey: worst case");
}

#[cfg(test)]
mod tests {
    use super::*;

    fn histogram(values: Vec<f64>) -> Histogram {
        Histogram {
            values,
            nominal: 1.0,
            central: (0.0, 2.0),
            worst: (0.0, 2.0),
        }
    }

    #[test]
    fn every_value_stands_in_a_column() {
        let values: Vec<f64> = (0..1000).map(|n| f64::from(n % 97)).collect();
        let (edges, counts) = columns(&histogram(values));
        assert_eq!(counts.iter().sum::<usize>(), 1000);
        assert!(edges[0] == 0.0 && (edges[COLUMNS] - 96.0).abs() < 1e-9);
        assert!(counts.iter().all(|&count| count > 0));
    }

    #[test]
    fn values_that_do_not_differ_stand_in_one() {
        let (_, counts) = columns(&histogram(vec![3.0; 5]));
        assert_eq!(counts[0], 5);
    }
}
