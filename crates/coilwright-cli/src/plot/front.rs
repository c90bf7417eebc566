//! Windings that meet an aim, as points over Q.

use super::canvas::{Anchor, Canvas, Mark, ONE, ZERO};
use super::header::Header;
use super::lettering::width;
use super::panel::{Panel, Place, Titles};
use super::scale::range;

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 520.0;
/// Least width and height over the values.
const FLATTEST: f64 = 2e-3;
const LABEL_SIZE: f64 = 10.0;
/// Half the size of the larger mark, that of what nothing beats.
const DISC: f64 = 4.0;
/// Between a mark and its label, and between a label and the frame.
const APART: f64 = 3.0;

/// One winding.
pub(crate) struct Point {
    pub(crate) at: (f64, f64),
    /// What it is called; only what nothing beats has a name.
    pub(crate) name: Option<String>,
}

/// The picture of windings: what nothing beats as dark discs with their names, the others as light squares.
pub(crate) fn front_page(title: &str, y: &str, points: &[Point]) -> String {
    let marks =
        "dark discs: no other is as good in coupling, Q and copper; light squares: the others";
    let header = Header::new(title, marks, WIDTH);
    let mut canvas = Canvas::new(WIDTH, header.height() + HEIGHT);
    header.draw(&mut canvas);
    let place = Place {
        x: 0.0,
        y: header.height(),
        width: WIDTH,
        height: HEIGHT,
    };
    let titles = Titles {
        title: "Windings that meet the aim",
        x: "Q of the coil alone",
        y,
    };
    let over = |of: fn(&Point) -> f64| range(points.iter().map(of), 0.12, FLATTEST);
    let (xs, ys) = (over(|p| p.at.0), over(|p| p.at.1));
    let mut panel = Panel::new(&mut canvas, place, &titles, xs, ys);
    let of = |named: fn(&Point) -> bool| points.iter().filter(move |p| named(p)).map(|p| p.at);
    panel.marks(of(|p| p.name.is_none()), Mark::Square, 3.0, ZERO);
    panel.marks(of(|p| p.name.is_some()), Mark::Disc, DISC, ONE);
    label(&mut panel, points);
    canvas.finish()
}

/// A part of the page: left, top, right, bottom.
#[derive(Clone, Copy, Debug)]
struct Area(f64, f64, f64, f64);

impl Area {
    /// The place of a mark.
    fn round((x, y): (f64, f64)) -> Self {
        Self(x - DISC, y - DISC, x + DISC, y + DISC)
    }

    fn meets(&self, other: &Self) -> bool {
        self.0 < other.2 && other.0 < self.2 && self.1 < other.3 && other.1 < self.3
    }

    fn holds(&self, other: &Self) -> bool {
        self.0 <= other.0 && other.2 <= self.2 && self.1 <= other.1 && other.3 <= self.3
    }
}

/// Names those points whose names find room beside them: within the frame, over no other name and over no disc; over no square where
/// there is a choice.
fn label(panel: &mut Panel<'_>, points: &[Point]) {
    let (left, right) = (panel.x.pixel(panel.x.low), panel.x.pixel(panel.x.high));
    let (bottom, top) = (panel.y.pixel(panel.y.low), panel.y.pixel(panel.y.high));
    let frame = Area(left + APART, top + APART, right - APART, bottom - APART);
    let marks = |named: bool| {
        let these = points.iter().filter(move |p| p.name.is_some() == named);
        these.map(|p| Area::round(panel.at(p.at.0, p.at.1)))
    };
    let squares: Vec<Area> = marks(false).collect();
    let mut taken: Vec<Area> = marks(true).collect();
    for point in points {
        let Some(name) = &point.name else { continue };
        let places = beside(panel.at(point.at.0, point.at.1), width(name, LABEL_SIZE));
        let free = |area: &Area| frame.holds(area) && !taken.iter().any(|other| other.meets(area));
        let clear = |area: &Area| !squares.iter().any(|other| other.meets(area));
        let best = places.iter().find(|area| free(area) && clear(area));
        if let Some(area) = best.or_else(|| places.iter().find(|area| free(area))) {
            let place = (area.0, area.3 - 0.2 * LABEL_SIZE);
            panel.canvas.text(place, LABEL_SIZE, Anchor::Start, name);
            taken.push(*area);
        }
    }
}

/// Where a label of this width may stand: right, left, over or below its point.
fn beside((x, y): (f64, f64), width: f64) -> [Area; 8] {
    let gap = DISC + APART;
    let half = 0.5 * LABEL_SIZE;
    let (rights, lefts, middles) = (x + gap, x - gap - width, x - 0.5 * width);
    let (level, over, below) = (y - half, y - gap - LABEL_SIZE, y + gap);
    [
        (rights, over + half),
        (lefts, over + half),
        (rights, level),
        (lefts, level),
        (rights, below - half),
        (lefts, below - half),
        (middles, over),
        (middles, below),
    ]
    .map(|(left, top)| Area(left, top, left + width, top + LABEL_SIZE))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Places and texts of the labels in a page.
    fn labels(page: &str) -> Vec<(f64, f64, String)> {
        let part = |line: &str, name: &str| -> Option<f64> {
            line.split_once(&format!(" {name}=\""))?
                .1
                .split('"')
                .next()?
                .parse()
                .ok()
        };
        page.lines()
            .filter(|line| line.contains("font-size=\"10\""))
            .filter_map(|line| {
                let text = line.split_once('>')?.1.split('<').next()?;
                Some((part(line, "x")?, part(line, "y")?, text.to_owned()))
            })
            .collect()
    }

    #[test]
    fn labels_stay_in_the_frame_and_touch_neither_each_other_nor_a_disc() {
        // A crowd in the upper right corner, one far to the left.
        let mut points: Vec<Point> = (0..12)
            .map(|k| Point {
                at: (40.0 - 0.3 * f64::from(k), 2.0 - 0.004 * f64::from(k * k)),
                name: Some(format!("{} × 125 µm", 1100 + k)),
            })
            .collect();
        points.push(Point {
            at: (20.0, 0.5),
            name: Some("90 × 315 µm".to_owned()),
        });
        let page = front_page("700 µH at 125 kHz", "coupling coefficient, %", &points);
        let found = labels(&page);
        assert!(found.len() >= 6, "{found:?}");
        let areas: Vec<Area> = found
            .iter()
            .map(|(x, y, text)| Area(*x, y - 8.0, x + width(text, LABEL_SIZE), y + 2.0))
            .collect();
        for (index, area) in areas.iter().enumerate() {
            assert!(
                area.0 >= 62.0 && area.2 <= WIDTH - 14.0 && area.1 >= 62.0 + 24.0,
                "{area:?}"
            );
            assert!(!areas[index + 1..].iter().any(|other| other.meets(area)));
        }
    }
}
