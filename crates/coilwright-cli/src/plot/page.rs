use coilwright_diagnose::Check;
use coilwright_signal::demodulate::{KeyRead, Listening};
use coilwright_signal::view::{KeyViews, Spectrum, Views};

use super::canvas::{Anchor, Canvas};
use super::panel::Place;
use super::{constellation, eye, soft_bits, spectrum, timing};
use crate::output::rows;

const WIDTH: f64 = 1080.0;
const HEADER: f64 = 62.0;
const SPECTRUM: f64 = 345.0;
const SOFT_BITS: f64 = 190.0;
const SQUARE: f64 = 330.0;
/// Multiples of the bit rate that are shown round the carrier.
const BIT_RATES: f64 = 5.5;
/// The same in hertz where nothing modulates.
const BARE_HZ: f64 = 12e3;

/// The picture of the best stretch of a capture.
pub(crate) fn page(check: &Check, listening: &Listening, views: &Views) -> String {
    let keys: Vec<(&KeyRead, &KeyViews)> = listening.keys.iter().zip(&views.keys).collect();
    let spectra = if views.spectrum.is_some() { 2.0 } else { 0.0 };
    let rows: f64 = keys.iter().map(|(_, views)| height_of(views)).sum();
    let height = HEADER + spectra * SPECTRUM + rows;
    let mut canvas = Canvas::new(WIDTH, height);
    header(&mut canvas, check, listening);
    let mut y = HEADER;
    if let Some(spectrum) = &views.spectrum {
        both_spectra(&mut canvas, y, spectrum, listening);
        y += spectra * SPECTRUM;
    }
    for (read, views) in keys {
        key(&mut canvas, y, read, views, check.capture.sample_rate_hz);
        y += height_of(views);
    }
    canvas.finish()
}

/// Soft bits, and squares below where there is anything for them.
fn height_of(views: &KeyViews) -> f64 {
    let has_squares =
        views.eye.is_some() || views.timing.is_some() || views.constellation.is_some();
    SOFT_BITS + if has_squares { SQUARE } else { 0.0 }
}

fn header(canvas: &mut Canvas, check: &Check, listening: &Listening) {
    let (start, end) = listening.span.seconds(check.capture.sample_rate_hz);
    let keys: Vec<String> = check.keys.iter().map(rows::key).collect();
    let keys = if keys.is_empty() {
        "no key was read".to_owned()
    } else {
        keys.join("; ")
    };
    canvas.text(
        (12.0, 24.0),
        16.0,
        Anchor::Start,
        &format!("{}: {keys}", check.file),
    );
    let stretch = format!(
        "Stretch from {:.2} ms to {:.2} ms; carrier {:.1} Hz",
        1e3 * start,
        1e3 * end,
        listening.carrier_hz.value
    );
    canvas.text((12.0, 46.0), 12.0, Anchor::Start, &stretch);
}

fn both_spectra(canvas: &mut Canvas, y: f64, spectrum: &Spectrum, listening: &Listening) {
    let last_hz = spectrum.frequency_hz(spectrum.level_dbc.len().saturating_sub(1));
    let whole = (spectrum.first_hz, last_hz);
    let place = |row: f64| Place {
        x: 0.0,
        y: y + row * SPECTRUM,
        width: WIDTH,
        height: SPECTRUM,
    };
    spectrum::draw(
        canvas,
        place(0.0),
        "Spectrum of the samples",
        spectrum,
        whole,
    );
    let bit_rates = listening
        .keys
        .iter()
        .map(|read| listening.carrier_hz.value / f64::from(read.clocks_per_bit.max(1)));
    let reach_hz = match bit_rates.fold(0.0, f64::max) {
        rate if rate > 0.0 => BIT_RATES * rate,
        _ => BARE_HZ,
    };
    let centre_hz = spectrum.lines.first().map_or(0.0, |line| line.frequency_hz);
    let near = (
        (centre_hz - reach_hz).max(whole.0),
        (centre_hz + reach_hz).min(whole.1),
    );
    spectrum::draw(
        canvas,
        place(1.0),
        "The same near the carrier",
        spectrum,
        near,
    );
}

fn key(canvas: &mut Canvas, y: f64, read: &KeyRead, views: &KeyViews, sample_rate_hz: f64) {
    let place = Place {
        x: 0.0,
        y,
        width: WIDTH,
        height: SOFT_BITS,
    };
    soft_bits::draw(canvas, place, read);
    let square = |column: f64| Place {
        x: column * WIDTH / 3.0,
        y: y + SOFT_BITS,
        width: WIDTH / 3.0,
        height: SQUARE,
    };
    if let Some(view) = &views.eye {
        eye::draw(canvas, square(0.0), view, read);
    }
    if let Some(view) = &views.timing {
        timing::draw(canvas, square(1.0), view, sample_rate_hz);
    }
    if let Some(view) = &views.constellation {
        constellation::draw(canvas, square(2.0), view);
    }
}
