//! Windings that meet an aim, as points over Q.

use super::canvas::{Anchor, Canvas, Mark, ONE, ZERO};
use super::panel::{Panel, Place, Titles};
use super::scale::range;

const WIDTH: f64 = 720.0;
const HEADER: f64 = 40.0;
const HEIGHT: f64 = 520.0;
/// Least width and height over the values.
const FLATTEST: f64 = 2e-3;
/// Room that a label takes.
const LABEL: (f64, f64) = (84.0, 13.0);

/// One winding.
pub(crate) struct Point {
    pub(crate) at: (f64, f64),
    /// What it is called; only what nothing beats has a name.
    pub(crate) name: Option<String>,
}

/// The picture of windings: what nothing beats as dark discs with their names, the others as light squares.
pub(crate) fn front_page(title: &str, y: &str, points: &[Point]) -> String {
    let mut canvas = Canvas::new(WIDTH, HEADER + HEIGHT);
    canvas.text((12.0, 24.0), 16.0, Anchor::Start, title);
    let place = Place {
        x: 0.0,
        y: HEADER,
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
    panel.marks(of(|p| p.name.is_some()), Mark::Disc, 4.0, ONE);
    label(&mut panel, points);
    panel.note(
        0,
        "dark discs: no other is as good in coupling, Q and copper",
    );
    panel.note(1, "light squares: the others");
    canvas.finish()
}

/// Names those points whose names do not cover one that stands already.
fn label(panel: &mut Panel<'_>, points: &[Point]) {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for point in points {
        let Some(name) = &point.name else { continue };
        let (x, y) = panel.at(point.at.0, point.at.1);
        // A label begins beside its point and stays on the panel.
        let start = (x + 7.0).min(WIDTH - LABEL.0 - 16.0);
        let place = (start, y - 6.0);
        let covers =
            |(a, b): &(f64, f64)| (a - place.0).abs() < LABEL.0 && (b - place.1).abs() < LABEL.1;
        if !taken.iter().any(covers) {
            panel.canvas.text(place, 10.0, Anchor::Start, name);
            taken.push(place);
        }
    }
}
