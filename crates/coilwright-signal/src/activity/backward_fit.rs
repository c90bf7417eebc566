use super::waveforms::orthonormal_columns;

/// Least squares over the last values of a stretch, extended backwards value by value.
///
/// Recursive least squares: Haykin, *Adaptive Filter Theory*, chapter on the RLS algorithm; the sum of squares grows
/// by the product of the errors before and after each update.
pub(super) struct BackwardFit {
    columns: usize,
    /// For each value from the last to the first: its row of the columns, then its gain.
    rows: Vec<f64>,
    /// Error after the update over error before it.
    conversion: Vec<f64>,
}

/// Variance of the unknown amplitudes before the first value, in units of the noise.
const UNKNOWN: f64 = 1e12;

impl BackwardFit {
    pub(super) fn new(columns: Vec<Vec<f64>>) -> Self {
        let values = columns.first().map_or(0, Vec::len);
        let columns = orthonormal_columns(columns, values, 0.0);
        let count = columns.len();
        let mut spread: Vec<Vec<f64>> = (0..count)
            .map(|i| {
                (0..count)
                    .map(|j| if i == j { UNKNOWN } else { 0.0 })
                    .collect()
            })
            .collect();
        let (mut rows, mut conversion) = (
            Vec::with_capacity(2 * count * values),
            Vec::with_capacity(values),
        );
        for index in (0..values).rev() {
            let row: Vec<f64> = columns
                .iter()
                .filter_map(|column| column.get(index).copied())
                .collect();
            let spread_row: Vec<f64> = spread
                .iter()
                .map(|line| line.iter().zip(&row).map(|(p, x)| p * x).sum())
                .collect();
            let scale = 1.0 + row.iter().zip(&spread_row).map(|(x, v)| x * v).sum::<f64>();
            for (line, v) in spread.iter_mut().zip(&spread_row) {
                line.iter_mut()
                    .zip(&spread_row)
                    .for_each(|(p, w)| *p -= v * w / scale);
            }
            rows.extend_from_slice(&row);
            rows.extend(spread_row.iter().map(|v| v / scale));
            conversion.push(1.0 / scale);
        }
        Self {
            columns: count,
            rows,
            conversion,
        }
    }

    /// For each position the energy that a fit of all values from there on leaves.
    pub(super) fn unexplained_from(&self, values: &[f32]) -> Vec<f64> {
        let mut amplitudes = vec![0.0; self.columns];
        let mut energy = 0.0;
        let mut unexplained = vec![0.0; values.len()];
        let rows = self
            .rows
            .chunks_exact(2 * self.columns)
            .zip(&self.conversion);
        for ((row, conversion), (value, unexplained)) in
            rows.zip(values.iter().zip(&mut unexplained).rev())
        {
            let (row, gain) = row.split_at(self.columns);
            let expected: f64 = row.iter().zip(&amplitudes).map(|(x, a)| x * a).sum();
            let error = f64::from(*value) - expected;
            energy += error * error * conversion;
            amplitudes
                .iter_mut()
                .zip(gain)
                .for_each(|(amplitude, gain)| *amplitude += gain * error);
            *unexplained = energy;
        }
        unexplained
    }
}
