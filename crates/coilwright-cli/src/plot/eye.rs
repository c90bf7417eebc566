use coilwright_signal::demodulate::{KeyRead, Modulation};
use coilwright_signal::view::Eye;

use super::canvas::{BLACK, Canvas, ONE, Stroke, ZERO};
use super::panel::{Panel, Place, Titles};

/// Traces of each value that are drawn at most; more only make the file larger.
const TRACES: usize = 60;

/// Draws the bits laid over each other.
pub(super) fn draw(canvas: &mut Canvas, place: Place, eye: &Eye, read: &KeyRead) {
    let reach = 115.0
        * eye
            .values
            .iter()
            .fold(0.0_f64, |reach, &value| reach.max(f64::from(value).abs()));
    let titles = Titles {
        title: "Eye: the bits laid over each other",
        x: "time from the start of a bit, bits",
        y: match read.modulation {
            Modulation::Fsk { .. } => "faster less slower tone, % of the carrier",
            Modulation::Psk { .. } => "matched filter, % of the carrier",
            _ => "deviation, % of the carrier",
        },
    };
    let mut panel = Panel::new(canvas, place, &titles, (-0.5, 1.5), (-reach, reach));
    for edge in [0.0, 1.0] {
        let ends = [(edge, -reach), (edge, reach)];
        panel.line(ends.into_iter(), Stroke::dashed(BLACK, 0.8));
    }
    let strokes = [
        (0, Stroke::dashed(ZERO, 0.8).with_opacity(0.6)),
        (1, Stroke::solid(ONE, 0.8).with_opacity(0.4)),
    ];
    for (value, stroke) in strokes {
        let of_value = eye
            .traces()
            .zip(&eye.bits)
            .filter(|(_, bit)| read.bits.get(**bit) == Some(&value));
        for (trace, _) in of_value.take(TRACES) {
            let points = eye.time_bits.iter().zip(trace);
            panel.line(
                points.map(|(&time, &value)| (time.into(), 100.0 * f64::from(value))),
                stroke,
            );
        }
    }
    panel.legend();
}
