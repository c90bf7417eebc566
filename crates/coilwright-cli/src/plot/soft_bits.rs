use coilwright_signal::demodulate::KeyRead;

use super::canvas::{Canvas, Mark, ONE, Stroke, ZERO};
use super::panel::{Panel, Place, Titles};

/// Bits that are drawn at most.
const BITS: usize = 160;

/// Draws the soft bits of a key, from the first frame on or from the start of the stretch.
pub(super) fn draw(canvas: &mut Canvas, place: Place, read: &KeyRead) {
    let first = first_bit(read);
    let count = read.soft_bits.len().saturating_sub(first).min(BITS);
    let soft = &read.soft_bits[first..first + count];
    let reach = 1.15
        * soft
            .iter()
            .fold(0.0_f64, |reach, &bit| reach.max(f64::from(bit).abs()));
    let title = format!(
        "Soft bits {first} to {}: positive is 1; the nearer to zero, the less sure",
        first + count
    );
    let titles = Titles {
        title: &title,
        x: "bit",
        y: "soft bit",
    };
    let x_range = (first as f64 - 1.0, (first + count) as f64 + 12.0);
    let mut panel = Panel::new(canvas, place, &titles, x_range, (-reach, reach));
    panel.zero();
    for (value, mark, colour) in [(1, Mark::Disc, ONE), (0, Mark::Square, ZERO)] {
        let points: Vec<(f64, f64)> = (first..first + count)
            .filter(|&bit| read.bits[bit] == value)
            .map(|bit| (bit as f64, f64::from(read.soft_bits[bit])))
            .collect();
        for &(bit, soft) in &points {
            panel.line(
                [(bit, 0.0), (bit, soft)].into_iter(),
                Stroke::solid(colour, 1.0),
            );
        }
        panel.marks(points.into_iter(), mark, 2.4, colour);
    }
    panel.legend();
}

/// The first bit of the first frame that lies wholly in what can be drawn.
fn first_bit(read: &KeyRead) -> usize {
    let times = read.bit_times;
    read.frames
        .first()
        .map(|frame| ((frame.span.start as f64 - times.first) / times.period).round())
        .filter(|bit| *bit >= 0.0 && *bit < read.soft_bits.len() as f64)
        .map_or(0, |bit| bit as usize)
}
