//! Coils beside each other: one panel a number, one row a coil.

use super::canvas::{Anchor, BLACK, Canvas, Mark, ONE, PALE, Stroke};
use super::lettering::ending;
use super::scale::{FLATTEST, Scale, range};

const WIDTH: f64 = 720.0;
const HEADER: f64 = 40.0;
/// Room for the names of coils.
const LEFT: f64 = 210.0;
const RIGHT: f64 = 24.0;
const ROW: f64 = 22.0;
const ABOVE: f64 = 26.0;
const BELOW: f64 = 34.0;
/// Standard deviations that a bar reaches to either side.
const REACH: f64 = 2.0;

/// One number of several coils.
pub(crate) struct Compared {
    /// What it is, with its unit.
    pub(crate) title: String,
    /// Value and standard deviation of each coil; a coil may have none.
    pub(crate) values: Vec<Option<(f64, f64)>>,
}

impl Compared {
    fn height(&self) -> f64 {
        ABOVE + BELOW + ROW * self.values.len() as f64
    }
}

/// The picture of several coils.
pub(crate) fn compared_page(names: &[String], numbers: &[Compared]) -> String {
    let height = HEADER + numbers.iter().map(Compared::height).sum::<f64>();
    let mut canvas = Canvas::new(WIDTH, height);
    let said = "Bars reach two standard deviations to either side.";
    canvas.text((12.0, 24.0), 12.0, Anchor::Start, said);
    let mut top = HEADER;
    for number in numbers {
        draw(&mut canvas, top, names, number);
        top += number.height();
    }
    canvas.finish()
}

fn draw(canvas: &mut Canvas, top: f64, names: &[String], number: &Compared) {
    let (first, last) = (top + ABOVE, top + number.height() - BELOW);
    let scale = Scale::new(reach(&number.values), (LEFT, WIDTH - RIGHT));
    canvas.text((LEFT, first - 8.0), 13.0, Anchor::Start, &number.title);
    for (value, label) in scale.ticks((WIDTH - RIGHT - LEFT) / 80.0) {
        let x = scale.pixel(value);
        canvas.line(&[(x, first), (x, last)], Stroke::solid(PALE, 0.7));
        canvas.text((x, last + 14.0), 11.0, Anchor::Middle, &label);
    }
    let corner = (WIDTH - RIGHT, last);
    canvas.frame((LEFT, first), corner, Stroke::solid(BLACK, 1.0));
    for (row, (name, value)) in names.iter().zip(&number.values).enumerate() {
        let y = first + ROW * (row as f64 + 0.5);
        let end = ending(name, 11.0, LEFT - 16.0);
        canvas.text((LEFT - 8.0, y + 4.0), 11.0, Anchor::End, &end);
        let Some((value, std_dev)) = *value else {
            canvas.text((LEFT + 8.0, y + 4.0), 11.0, Anchor::Start, "not measured");
            continue;
        };
        let ends = [-REACH, REACH].map(|reach| scale.pixel(value + reach * std_dev));
        let stroke = Stroke::solid(ONE, 1.5);
        canvas.line(&[(ends[0], y), (ends[1], y)], stroke);
        for x in ends {
            canvas.line(&[(x, y - 4.0), (x, y + 4.0)], stroke);
        }
        canvas.marks(&[(scale.pixel(value), y)], Mark::Disc, 3.0, ONE);
    }
}

/// All bars with some room.
fn reach(values: &[Option<(f64, f64)>]) -> (f64, f64) {
    let ends = values
        .iter()
        .flatten()
        .flat_map(|(v, s)| [v - REACH * s, v + REACH * s]);
    range(ends, 0.06, FLATTEST)
}
