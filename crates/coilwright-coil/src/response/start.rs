use num_complex::Complex64;

/// Ratio of neighbouring Qs on the grid.
const Q_RATIO: f64 = 1.7;
/// Step of the grid in frequency, in line widths `f₀/Q`.
const STEP_WIDTHS: f64 = 0.4;
/// Most points that the grid looks at; of more, every so many-th is taken.
const MOST_POINTS: usize = 1500;

/// Between which Qs a resonance is sought.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GridLimits {
    pub(crate) least_q: f64,
    pub(crate) most_q: f64,
}

impl GridLimits {
    /// A line no wider than four bands and no narrower than the points are apart.
    pub(crate) fn of(frequencies_hz: &[f64]) -> Self {
        let low = frequencies_hz.first().copied().unwrap_or(1.0);
        let high = frequencies_hz.last().copied().unwrap_or(1.0);
        let least_step = frequencies_hz
            .windows(2)
            .map(|pair| pair[1] - pair[0])
            .fold(high - low, f64::min);
        let centre = (low * high).sqrt();
        let least_q = (0.25 * centre / (high - low)).max(0.5);
        Self {
            least_q,
            most_q: (centre / least_step).max(2.0 * least_q),
        }
    }
}

/// The best resonance of a grid: `f₀`, `Q` and the squares that it explains beyond the background columns.
///
/// `background` are real columns; `values` and the trial shapes are projected off them. `shape` gives the trial's value at
/// a point. Returns also how many trials were made.
pub(crate) fn search_grid(
    frequencies_hz: &[f64],
    values: &[Complex64],
    background: &[Vec<f64>],
    shape: impl Fn(usize, f64, f64) -> Complex64,
) -> Option<(f64, f64, f64, usize)> {
    let stride = frequencies_hz.len().div_ceil(MOST_POINTS).max(1);
    let chosen: Vec<usize> = (0..frequencies_hz.len()).step_by(stride).collect();
    let picked: Vec<f64> = chosen
        .iter()
        .filter_map(|&n| frequencies_hz.get(n).copied())
        .collect();
    let basis = orthonormal(background, &chosen);
    let data: Vec<Complex64> = chosen
        .iter()
        .filter_map(|&n| values.get(n).copied())
        .collect();
    let data = off(&basis, data);
    let (low, high) = (*picked.first()?, *picked.last()?);
    let limits = GridLimits::of(&picked);
    let mut best: Option<(f64, f64, f64)> = None;
    let mut tried = 0;
    let mut q = limits.least_q;
    while q < limits.most_q {
        let ratio = (STEP_WIDTHS / q).min(0.5) + 1.0;
        let mut resonance = low;
        while resonance <= high {
            let trial: Vec<Complex64> = chosen.iter().map(|&n| shape(n, resonance, q)).collect();
            let trial = off(&basis, trial);
            let norm: f64 = trial.iter().map(Complex64::norm_sqr).sum();
            let product: Complex64 = trial.iter().zip(&data).map(|(t, d)| t.conj() * d).sum();
            let gain = product.norm_sqr() / norm.max(f64::MIN_POSITIVE);
            tried += 1;
            if gain.is_finite() && best.is_none_or(|(_, _, most)| gain > most) {
                best = Some((resonance, q, gain));
            }
            resonance *= ratio;
        }
        q *= Q_RATIO;
    }
    best.map(|(resonance, q, gain)| (resonance, q, gain * stride as f64, tried))
}

/// Orthonormal columns with the same span, on the chosen points (Gram and Schmidt).
fn orthonormal(columns: &[Vec<f64>], chosen: &[usize]) -> Vec<Vec<f64>> {
    let mut basis: Vec<Vec<f64>> = Vec::new();
    for column in columns {
        let mut fresh: Vec<f64> = chosen
            .iter()
            .map(|&n| column.get(n).copied().unwrap_or(0.0))
            .collect();
        for known in &basis {
            let along: f64 = known.iter().zip(&fresh).map(|(a, b)| a * b).sum();
            for (value, part) in fresh.iter_mut().zip(known) {
                *value -= along * part;
            }
        }
        let norm = fresh.iter().map(|v| v * v).sum::<f64>().sqrt();
        if norm > 0.0 {
            for value in &mut fresh {
                *value /= norm;
            }
            basis.push(fresh);
        }
    }
    basis
}

/// What is left of values after their part along the basis is taken out.
fn off(basis: &[Vec<f64>], mut values: Vec<Complex64>) -> Vec<Complex64> {
    for column in basis {
        let along: Complex64 = column.iter().zip(&values).map(|(b, v)| v * *b).sum();
        for (value, part) in values.iter_mut().zip(column) {
            *value -= along * *part;
        }
    }
    values
}
