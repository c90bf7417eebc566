use coilwright_signal::view::Constellation;

use super::canvas::{BLACK, Canvas, Mark, ONE, Stroke};
use super::panel::{Panel, Place, Titles};

/// Points that are drawn at most.
const POINTS: usize = 600;

/// Draws the half-bits in the plane of in-phase and quadrature, with the axis of the modulation.
pub(super) fn draw(canvas: &mut Canvas, place: Place, constellation: &Constellation) {
    let reach = 115.0
        * constellation
            .points
            .iter()
            .fold(0.0_f64, |reach, point| reach.max(point.norm().into()));
    let titles = Titles {
        title: "Constellation: half-bits",
        x: "in phase (amplitude), % of the carrier",
        y: "quadrature (phase), %",
    };
    // Both axes have one scale: the panel is nearly square.
    let mut panel = Panel::new(canvas, place, &titles, (-reach, reach), (-reach, reach));
    let (sin, cos) = constellation.axis_rad.sin_cos();
    let axis = [(-reach * cos, -reach * sin), (reach * cos, reach * sin)];
    panel.line(axis.into_iter(), Stroke::dashed(BLACK, 0.8));
    let points = constellation.points.iter().take(POINTS);
    panel.marks(
        points.map(|point| (100.0 * f64::from(point.re), 100.0 * f64::from(point.im))),
        Mark::Disc,
        1.4,
        ONE,
    );
    let degrees = constellation.axis_rad.to_degrees();
    panel.note(0, &format!("axis {degrees:.0}°").replace('-', "−"));
}
