use coilwright_signal::view::{Axes, Constellation};

use super::canvas::{BLACK, Canvas, Mark, ONE, Stroke};
use super::panel::{Panel, Place, Titles};

/// Points that are drawn at most.
const POINTS: usize = 600;

/// Draws the points of a key in their plane, with the direction in which its bits differ.
pub(super) fn draw(canvas: &mut Canvas, place: Place, constellation: &Constellation) {
    let reach = 115.0
        * constellation
            .points
            .iter()
            .fold(0.0_f64, |reach, point| reach.max(point.norm().into()));
    // Both axes have one scale: the panel is nearly square. Sizes are never negative.
    let range = match constellation.axes {
        Axes::Tones => (0.0, reach),
        _ => (-reach, reach),
    };
    let mut panel = Panel::new(canvas, place, &titles(constellation.axes), range, range);
    panel.line(
        axis(constellation, reach).into_iter(),
        Stroke::dashed(BLACK, 0.8),
    );
    let points = constellation.points.iter().take(POINTS);
    panel.marks(
        points.map(|point| (100.0 * f64::from(point.re), 100.0 * f64::from(point.im))),
        Mark::Disc,
        1.4,
        ONE,
    );
    if constellation.axes == Axes::Carrier {
        let degrees = constellation.axis_rad.to_degrees();
        panel.note(0, &format!("axis {degrees:.0}°").replace('-', "−"));
    }
}

fn titles(axes: Axes) -> Titles<'static> {
    let (title, x, y) = match axes {
        Axes::Subcarrier => (
            "Constellation: bits on the subcarrier",
            "in phase with the subcarrier, % of the carrier",
            "quarter of a period beside it, %",
        ),
        Axes::Tones => (
            "Constellation: the two tones in each bit",
            "faster tone, % of the carrier",
            "slower tone, %",
        ),
        _ => (
            "Constellation: half-bits",
            "in phase (amplitude), % of the carrier",
            "quadrature (phase), %",
        ),
    };
    Titles { title, x, y }
}

/// The axis of the modulation; of two tones, where they are equally strong.
fn axis(constellation: &Constellation, reach: f64) -> [(f64, f64); 2] {
    if constellation.axes == Axes::Tones {
        return [(0.0, 0.0), (reach, reach)];
    }
    let (sin, cos) = constellation.axis_rad.sin_cos();
    [(-reach * cos, -reach * sin), (reach * cos, reach * sin)]
}
