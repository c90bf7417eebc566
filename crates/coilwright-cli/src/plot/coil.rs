//! What a coil's measurement shows with its fit, one panel above the other.

use num_complex::Complex64;

use super::canvas::{BLACK, Canvas, GREY, Mark, ONE, PALE, Stroke, ZERO};
use super::header::Header;
use super::lettering::HARD_SPACE;
use super::panel::{Panel, Place, Titles};
use super::scale::{FLATTEST, range};

const WIDTH: f64 = 720.0;
const PLANE: f64 = 330.0;
/// As high as wide, the room for the labels apart.
const SQUARE: f64 = 708.0;
/// Most points that are drawn of a series; more cannot be told apart at this width.
const MOST_POINTS: usize = 4000;
/// Resistances and reactances over the reference whose circles a Smith chart shows.
const CIRCLES: [f64; 5] = [0.2, 0.5, 1.0, 2.0, 5.0];

/// The plane that a series lies in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// Two axes of their own.
    Plane,
    /// Reflection in the unit circle.
    SmithChart,
}

/// A measured series with its fit.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    pub(crate) form: Form,
    pub(crate) title: &'static str,
    pub(crate) x: &'static str,
    pub(crate) y: String,
    pub(crate) measured: Vec<(f64, f64)>,
    pub(crate) fitted: Vec<(f64, f64)>,
    /// Where the resonance lies.
    pub(crate) resonance: Option<(f64, f64)>,
}

impl Drawn {
    const fn height(&self) -> f64 {
        match self.form {
            Form::Plane => PLANE,
            Form::SmithChart => SQUARE,
        }
    }

    fn ranges(&self) -> ((f64, f64), (f64, f64)) {
        if self.form == Form::SmithChart {
            return ((-1.05, 1.05), (-1.05, 1.05));
        }
        let all = || self.measured.iter().chain(&self.fitted);
        (
            range(all().map(|p| p.0), 0.0, FLATTEST),
            range(all().map(|p| p.1), 0.08, FLATTEST),
        )
    }
}

/// The picture of a measurement: its name, what was found, and the series.
pub(crate) fn coil_page(subject: &str, found: &str, series: &[Drawn]) -> String {
    let numbers: Vec<String> = found
        .split(", ")
        .map(|number| number.replace(' ', HARD_SPACE))
        .collect();
    let header = Header::new(subject, &numbers.join(", "), WIDTH);
    let height = header.height() + series.iter().map(Drawn::height).sum::<f64>();
    let mut canvas = Canvas::new(WIDTH, height);
    header.draw(&mut canvas);
    let mut y = header.height();
    for one in series {
        let place = Place {
            x: 0.0,
            y,
            width: WIDTH,
            height: one.height(),
        };
        draw(&mut canvas, place, one);
        y += one.height();
    }
    canvas.finish()
}

fn draw(canvas: &mut Canvas, place: Place, drawn: &Drawn) {
    let titles = Titles {
        title: drawn.title,
        x: drawn.x,
        y: &drawn.y,
    };
    let (x, y) = drawn.ranges();
    let mut panel = Panel::new(canvas, place, &titles, x, y);
    if drawn.form == Form::SmithChart {
        smith_chart(&mut panel);
    }
    let every = drawn.measured.len().div_ceil(MOST_POINTS).max(1);
    let measured = drawn.measured.iter().step_by(every).copied();
    panel.marks(measured, Mark::Disc, 1.6, GREY);
    let every = drawn.fitted.len().div_ceil(MOST_POINTS).max(1);
    let fitted = drawn.fitted.iter().step_by(every).copied();
    panel.line(fitted, Stroke::solid(ONE, 1.2));
    if let Some(resonance) = drawn.resonance {
        panel.marks(std::iter::once(resonance), Mark::Square, 4.0, ZERO);
    }
    match (drawn.fitted.is_empty(), drawn.resonance) {
        (true, _) => panel.zero(),
        (false, None) => panel.over("measured: grey dots; fitted: blue line"),
        (false, Some(_)) => {
            panel.over("measured: grey dots; fitted: blue line; resonance: orange square");
        }
    }
}

/// Circles of constant resistance and arcs of constant reactance over the reference: `S = (z − 1)/(z + 1)`.
fn smith_chart(panel: &mut Panel<'_>) {
    let steps = || (0..=180_i32).map(|n| f64::from(n) / 180.0);
    let reflection = |z: Complex64| {
        let s = (z - 1.0) / (z + 1.0);
        (s.re, s.im)
    };
    let pale = Stroke::solid(PALE, 0.8);
    for part in CIRCLES {
        // Reactance from −∞ to ∞ and resistance from 0 to ∞ as tangents of even angles.
        let angle = |t: f64| std::f64::consts::FRAC_PI_2 * 0.999 * t;
        let circle = steps().map(|t| reflection(Complex64::new(part, angle(2.0 * t - 1.0).tan())));
        panel.line(circle, pale);
        for reactance in [part, -part] {
            let arc = steps().map(|t| reflection(Complex64::new(angle(t).tan(), reactance)));
            panel.line(arc, pale);
        }
    }
    let edge = steps().map(|t| (std::f64::consts::TAU * t).sin_cos());
    panel.line(edge, Stroke::solid(BLACK, 1.0));
}
