use super::spectrum::Spectrum;

/// A line stands out by this many decibels over the median of its neighbourhood: the largest of a hundred bins of
/// noise reaches 8 dB over their median (ln 100 / ln 2 = 6.6 times its power).
pub(super) const STANDS_OUT_DB: f64 = 10.0;
/// The neighbourhood reaches this many half widths of a line.
const NEIGHBOURHOOD: f64 = 12.0;

/// The largest level of a part of a spectrum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Peak {
    pub frequency_hz: f64,
    pub level_dbc: f64,
    /// Decibels over the median of the neighbourhood.
    pub over_db: f64,
}

/// The largest level between two frequencies; `None` where the spectrum does not reach that far.
pub(super) fn largest(spectrum: &Spectrum, low_hz: f64, high_hz: f64) -> Option<Peak> {
    let first = index(spectrum, low_hz).ceil().max(1.0) as usize;
    let last = index(spectrum, high_hz).floor();
    if last < first as f64 {
        return None;
    }
    let last = (last as usize).min(spectrum.level_dbc.len().checked_sub(2)?);
    let best =
        (first..=last).max_by(|&a, &b| spectrum.level_dbc[a].total_cmp(&spectrum.level_dbc[b]))?;
    Some(at(spectrum, best))
}

/// The line at a bin: the top of the parabola through it and its neighbours.
fn at(spectrum: &Spectrum, bin: usize) -> Peak {
    let level = |bin: usize| f64::from(spectrum.level_dbc[bin]);
    let (left, centre, right) = (level(bin - 1), level(bin), level(bin + 1));
    let curvature = left - 2.0 * centre + right;
    let offset = if curvature < 0.0 {
        (0.5 * (left - right) / curvature).clamp(-0.5, 0.5)
    } else {
        0.0
    };
    let level_dbc = centre - 0.25 * (left - right) * offset;
    Peak {
        frequency_hz: spectrum.first_hz + (bin as f64 + offset) * spectrum.step_hz,
        level_dbc,
        over_db: level_dbc - around(spectrum, bin),
    }
}

/// The median level round a bin, without the line that may stand there.
fn around(spectrum: &Spectrum, bin: usize) -> f64 {
    let half_width = (spectrum.line_half_width_hz / spectrum.step_hz).ceil();
    let reach = (NEIGHBOURHOOD * half_width) as usize;
    let inner = half_width as usize;
    let last = (bin + reach).min(spectrum.level_dbc.len() - 1);
    let mut levels: Vec<f32> = (bin.saturating_sub(reach)..=last)
        .filter(|&other| other.abs_diff(bin) > inner)
        .map(|other| spectrum.level_dbc[other])
        .collect();
    if levels.is_empty() {
        return f64::NEG_INFINITY;
    }
    let middle = levels.len() / 2;
    let (_, median, _) = levels.select_nth_unstable_by(middle, f32::total_cmp);
    f64::from(*median)
}

fn index(spectrum: &Spectrum, frequency_hz: f64) -> f64 {
    (frequency_hz - spectrum.first_hz) / spectrum.step_hz
}
