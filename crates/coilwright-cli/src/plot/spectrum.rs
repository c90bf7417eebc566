use coilwright_signal::view::{LabelledLine, Spectrum};

use super::canvas::{Anchor, BLACK, Canvas, GREY, Mark, ONE, Stroke};
use super::lettering::width;
use super::panel::{Panel, Place, Titles};

/// Columns of the curve, each from its lowest to its highest level.
const COLUMNS: usize = 700;
/// Room for labels over the strongest line, as shares of the plotted height.
const HEADROOM: (f64, f64) = (0.2, 0.7);
/// Between a line and its label, and between a label and the frame, in pixels.
const LEADER: f64 = 12.0;
/// The curve is drawn from this share of its lowest levels on.
const FLOOR: f64 = 0.05;
/// Labels stand at least this many pixels apart.
const APART: f64 = 11.0;
const LABEL_SIZE: f64 = 10.0;

/// Draws the part of a spectrum between two frequencies with the labels of its lines.
pub(super) fn draw(
    canvas: &mut Canvas,
    place: Place,
    title: &str,
    spectrum: &Spectrum,
    range_hz: (f64, f64),
) {
    let columns = columns(spectrum, range_hz);
    let lowest = quantile(columns.iter().map(|column| column.lowest), FLOOR);
    let highest = columns
        .iter()
        .map(|column| column.highest)
        .fold(f64::NEG_INFINITY, f64::max);
    let titles = Titles {
        title,
        x: "frequency as seen in the samples, kHz",
        y: "dB over the carrier",
    };
    let range_khz = (range_hz.0 / 1e3, range_hz.1 / 1e3);
    let shown: Vec<&LabelledLine> = spectrum
        .lines
        .iter()
        .filter(|line| (range_hz.0..=range_hz.1).contains(&line.frequency_hz))
        .collect();
    let headroom = headroom(&shown, place.plotted());
    let top_db = lowest + (highest - lowest) / (1.0 - headroom);
    let range_db = (lowest, top_db);
    let mut panel = Panel::new(canvas, place, &titles, range_khz, range_db);
    let curve = columns.iter().flat_map(|column| {
        [
            (column.frequency_hz / 1e3, column.lowest),
            (column.frequency_hz / 1e3, column.highest),
        ]
    });
    panel.line(curve, Stroke::solid(GREY, 0.8));
    if let Some(noise_dbc) = spectrum.noise_dbc {
        let ends = [(panel.x.low, noise_dbc), (panel.x.high, noise_dbc)];
        panel.line(ends.into_iter(), Stroke::dashed(BLACK, 0.8));
    }
    label(&mut panel, shown, highest);
}

/// The share of the plotted height that the longest label takes.
fn headroom(lines: &[&LabelledLine], plotted: f64) -> f64 {
    let longest = lines
        .iter()
        .map(|line| width(&text(line), LABEL_SIZE))
        .fold(0.0, f64::max);
    let needed = (2.0 * LEADER + longest) / plotted;
    needed.clamp(HEADROOM.0, HEADROOM.1)
}

fn text(line: &LabelledLine) -> String {
    format!("{} {:.0} dB", line.kind, line.level_dbc).replace('-', "−")
}

struct Column {
    frequency_hz: f64,
    lowest: f64,
    highest: f64,
}

fn columns(spectrum: &Spectrum, (low_hz, high_hz): (f64, f64)) -> Vec<Column> {
    let index = |hz: f64| ((hz - spectrum.first_hz) / spectrum.step_hz).max(0.0) as usize;
    let last = (index(high_hz) + 1).min(spectrum.level_dbc.len());
    let first = index(low_hz).min(last);
    let width = (last - first).div_ceil(COLUMNS).max(1);
    spectrum.level_dbc[first..last]
        .chunks(width)
        .enumerate()
        .map(|(column, levels)| Column {
            frequency_hz: spectrum.frequency_hz(first + column * width + levels.len() / 2),
            lowest: levels.iter().copied().fold(f32::INFINITY, f32::min).into(),
            highest: levels
                .iter()
                .copied()
                .fold(f32::NEG_INFINITY, f32::max)
                .into(),
        })
        .collect()
}

/// Labels the lines from left to right over the `highest` of them, upright, pushed apart where they would touch.
fn label(panel: &mut Panel<'_>, mut lines: Vec<&LabelledLine>, highest: f64) {
    lines.sort_by(|a, b| a.frequency_hz.total_cmp(&b.frequency_hz));
    let places = apart(
        lines
            .iter()
            .map(|line| panel.x.pixel(line.frequency_hz / 1e3))
            .collect(),
        (panel.x.pixel(panel.x.low), panel.x.pixel(panel.x.high)),
    );
    let base = panel.y.pixel(highest) - LEADER;
    for (line, x) in lines.into_iter().zip(places) {
        let (line_x, line_y) = panel.at(line.frequency_hz / 1e3, line.level_dbc);
        panel
            .canvas
            .marks(&[(line_x, line_y)], Mark::Arrow, 3.5, ONE);
        let leader = [(line_x, line_y - 4.0), (x, base + 2.0)];
        panel.canvas.line(&leader, Stroke::solid(GREY, 0.5));
        let place = (x + 3.5, base);
        panel
            .canvas
            .turned_text(place, LABEL_SIZE, Anchor::Start, -90.0, &text(line));
    }
}

/// Rising places at least [`APART`], as near to where they were as sweeping both ways leaves them.
fn apart(mut places: Vec<f64>, (first, last): (f64, f64)) -> Vec<f64> {
    let count = places.len();
    for k in 0..count {
        let least = match k.checked_sub(1) {
            Some(before) => places[before] + APART,
            None => first + 0.5 * APART,
        };
        places[k] = places[k].max(least);
    }
    for k in (0..count).rev() {
        let most = match places.get(k + 1) {
            Some(after) => after - APART,
            None => last - 0.5 * APART,
        };
        places[k] = places[k].min(most);
    }
    places
}

fn quantile(values: impl Iterator<Item = f64>, share: f64) -> f64 {
    let mut values: Vec<f64> = values.filter(|value| value.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let index = (share * values.len() as f64) as usize;
    values.get(index).copied().unwrap_or(-100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_do_not_touch_and_stay_inside() {
        let places = apart(vec![50.0, 50.5, 51.0, 199.0, 200.0], (0.0, 200.0));
        assert!(
            places
                .windows(2)
                .all(|pair| pair[1] - pair[0] >= APART - 1e-9)
        );
        assert!(places[0] >= 0.0 && places[4] <= 200.0);
    }
}
