use coilwright_signal::view::Timing;

use super::canvas::{BLACK, Canvas, Mark, ONE, Stroke};
use super::panel::{Panel, Place, Titles};

/// The least range that is drawn, in bits: smaller errors do not matter.
const LEAST_BITS: f64 = 0.05;

/// Draws how late each transition comes.
pub(super) fn draw(canvas: &mut Canvas, place: Place, timing: &Timing, sample_rate_hz: f64) {
    let worst = timing
        .errors_bits
        .iter()
        .fold(0.0_f64, |worst, &error| worst.max(f64::from(error).abs()));
    let reach = (1.3 * worst).max(LEAST_BITS);
    let to_ms = 1e3 / sample_rate_hz;
    let ends = timing.positions.first().zip(timing.positions.last());
    let range = ends.map_or((0.0, 1.0), |(first, last)| (first * to_ms, last * to_ms));
    let titles = Titles {
        title: "Timing: how late transitions come",
        x: "time in the capture, ms",
        y: "lateness, bits",
    };
    let mut panel = Panel::new(canvas, place, &titles, range, (-reach, reach));
    panel.zero();
    let points = timing.positions.iter().zip(&timing.errors_bits);
    panel.marks(
        points.map(|(&position, &error)| (position * to_ms, error.into())),
        Mark::Disc,
        1.3,
        ONE,
    );
    let mean = [(range.0, timing.mean_bits), (range.1, timing.mean_bits)];
    panel.line(mean.into_iter(), Stroke::dashed(BLACK, 1.0));
    let note = format!(
        "mean {:+.3}, jitter {:.3} bits",
        timing.mean_bits, timing.jitter_bits
    );
    panel.note(0, &note.replace('-', "−"));
}
