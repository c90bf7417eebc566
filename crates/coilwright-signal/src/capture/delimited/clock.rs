use super::printed::{Printed, power_of_ten};
use super::row::Digits;
use super::steps::{OddStep, Steps};
use crate::capture::ReadError;

/// Part of a step by which one step may differ from the mean, beside the rounding of the printed times: a hundredth of
/// a sample moves a 134.2 kHz carrier sampled at 1 MS/s by half a degree.
const STEP_TOLERANCE: f64 = 0.01;
/// Part of a step by which a time may lie off the even grid, beside the rounding of the printed times.
const GRID_TOLERANCE: f64 = 0.05;
/// Printed units by which a time may lie off the grid: half for rounding, the rest for the error of the fit.
const GRID_UNITS: f64 = 0.75;
/// Part of the last decimal by which two steps of printed times may differ and be the same.
const SAME_STEP: f64 = 0.25;
/// Standard deviations of the fit by which a rate may be changed to a round number.
const ROUNDING_DEVIATIONS: f64 = 3.0;
/// Relative error of the fit in double precision.
const FIT_ERROR: f64 = 1e-10;

/// The first look at a time column: are its steps even, and what is the rate?
#[derive(Clone, Debug)]
pub(super) struct Clock {
    /// Seconds in one unit of the column.
    scale: f64,
    printed: Printed,
    steps: Steps,
    rows: u64,
    first: f64,
    last: f64,
    last_line: u64,
    mean_time: f64,
    covariance: f64,
}

impl Clock {
    pub(super) const fn new(scale: f64) -> Self {
        Self {
            scale,
            printed: Printed::new(),
            steps: Steps::new(),
            rows: 0,
            first: 0.0,
            last: 0.0,
            last_line: 0,
            mean_time: 0.0,
            covariance: 0.0,
        }
    }

    /// Takes the next printed time and holds its step against the mean of those before.
    pub(super) fn note(
        &mut self,
        name: &str,
        line: u64,
        time: f64,
        digits: Digits,
    ) -> Result<(), ReadError> {
        self.printed.note(time, digits);
        if self.rows == 0 {
            self.first = time;
        } else {
            let step = time - self.last;
            let mean = self.mean_step().unwrap_or(step);
            let unit = self.printed.unit(time).max(self.printed.unit(self.last));
            let mean_error = unit / (self.rows as f64 - 1.0).max(1.0);
            let allowed = STEP_TOLERANCE * mean.abs() + unit + mean_error;
            if !(step >= 0.0 && (step - mean).abs() <= allowed) {
                return Err(self.uneven(
                    name,
                    OddStep {
                        line,
                        found: step,
                        expected: mean,
                    },
                ));
            }
            let same = (SAME_STEP * self.printed.decimal()).max(STEP_TOLERANCE * mean.abs());
            self.steps.note(self.rows, line, step, same);
        }
        self.add(time);
        self.last_line = line;
        Ok(())
    }

    /// Mean of the steps so far.
    fn mean_step(&self) -> Option<f64> {
        (self.rows >= 2).then(|| (self.last - self.first) / (self.rows - 1) as f64)
    }

    /// Running regression of time on the row number.
    fn add(&mut self, time: f64) {
        let index = self.rows as f64;
        self.rows += 1;
        let change = time - self.mean_time;
        self.mean_time += change / self.rows as f64;
        // The mean of the row numbers 0 to n is n / 2.
        self.covariance += (index - index / 2.0) * change;
        self.last = time;
    }

    /// The even grid that fits the times.
    pub(super) fn grid(&self, name: &str) -> Result<Grid, ReadError> {
        if let Some(odd) = self.steps.odd_step() {
            return Err(self.uneven(name, odd));
        }
        let rows = self.rows as f64;
        let spread = rows * (rows * rows - 1.0) / 12.0;
        let step = if self.rows < 2 {
            0.0
        } else {
            self.covariance / spread
        };
        let rate_hz = 1.0 / (step * self.scale);
        if !(step > 0.0 && rate_hz.is_finite() && rate_hz > 0.0) {
            return Err(ReadError::TimeStuck {
                path: name.to_owned(),
                line: self.last_line,
            });
        }
        let unit = self
            .printed
            .unit(self.first)
            .max(self.printed.unit(self.last));
        let error = ROUNDING_DEVIATIONS * unit / (step * rows.powf(1.5)) + FIT_ERROR;
        Ok(Grid {
            scale: self.scale,
            printed: self.printed,
            first: self.mean_time - step * (rows - 1.0) / 2.0,
            step,
            rate_hz: roundest(rate_hz, error),
            rows: self.rows,
        })
    }

    fn uneven(&self, name: &str, odd: OddStep) -> ReadError {
        ReadError::UnevenStep {
            path: name.to_owned(),
            line: odd.line,
            found_s: odd.found * self.scale,
            expected_s: odd.expected * self.scale,
        }
    }
}

/// The number with the fewest digits within a relative distance.
fn roundest(value: f64, distance: f64) -> f64 {
    let leading = value.log10().floor() as i32;
    (0..16)
        .map(|digits| {
            // Powers of ten are exact up to 10^22, their inverses are not.
            let unit = power_of_ten((leading - digits).abs());
            if digits > leading {
                (value * unit).round() / unit
            } else {
                (value / unit).round() * unit
            }
        })
        .find(|round| (round - value).abs() <= distance * value)
        .unwrap_or(value)
}

/// An even grid of times.
#[derive(Clone, Copy, Debug)]
pub(super) struct Grid {
    scale: f64,
    printed: Printed,
    first: f64,
    step: f64,
    pub(super) rate_hz: f64,
    /// Rows that were seen.
    pub(super) rows: u64,
}

impl Grid {
    /// Holds the printed time of a row, counted from 0, against the grid.
    pub(super) fn check(
        &self,
        name: &str,
        line: u64,
        row: u64,
        time: f64,
    ) -> Result<(), ReadError> {
        let expected = self.first + self.step * row as f64;
        let allowed = GRID_TOLERANCE * self.step + GRID_UNITS * self.printed.unit(time);
        if (time - expected).abs() <= allowed {
            return Ok(());
        }
        Err(ReadError::OffGrid {
            path: name.to_owned(),
            line,
            found_s: time * self.scale,
            expected_s: expected * self.scale,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(times: impl IntoIterator<Item = String>) -> Result<Grid, ReadError> {
        let mut clock = Clock::new(1.0);
        let times: Vec<String> = times.into_iter().collect();
        let number = |text: &str| text.parse::<f64>().unwrap_or(f64::NAN);
        for (line, text) in (1..).zip(&times) {
            clock.note("a.csv", line, number(text), Digits::of(text.as_bytes()))?;
        }
        let grid = clock.grid("a.csv")?;
        for (row, text) in (0..).zip(&times) {
            grid.check("a.csv", row + 1, row, number(text))?;
        }
        Ok(grid)
    }

    /// A rate of the finest printed times is exact, one of coarse ones within the rounding over the length.
    #[test]
    fn rates_of_rounded_times() {
        for (rate_hz, decimals) in [
            (1e6, 6),
            (1e6, 9),
            (8e5, 7),
            (3e6, 7),
            (2.5e6, 6),
            (44_100.0, 5),
            (312_500.0, 6),
        ] {
            let times = (0..5000).map(|row| format!("{:.*}", decimals, f64::from(row) / rate_hz));
            let found = grid(times).map_or(f64::NAN, |grid| grid.rate_hz);
            assert!(
                (found - rate_hz).abs() <= 1e-9 * rate_hz,
                "{rate_hz} {decimals}: {found}"
            );
        }
    }

    #[test]
    fn rates_of_times_with_few_significant_digits() {
        for rate_hz in [1e6, 2e6, 500e3] {
            let times = (0..20_000).map(|row| format!("{:.4e}", f64::from(row - 7000) / rate_hz));
            let found = grid(times).map_or(f64::NAN, |grid| grid.rate_hz);
            assert!(
                (found - rate_hz).abs() <= 1e-9 * rate_hz,
                "{rate_hz}: {found}"
            );
        }
    }

    #[test]
    fn single_precision_times_printed_with_nine_digits() {
        let times = (0..20_000).map(|row| format!("{:.9e}", (f64::from(row) * 1e-7 + 1.0) as f32));
        let found = grid(times).map_or(f64::NAN, |grid| grid.rate_hz);
        assert!((found - 1e7).abs() <= 1e-4 * 1e7, "{found}");
    }

    #[test]
    fn a_row_lost_from_times_in_units_of_the_step_is_found() {
        for lost in [3_u32, 500, 998] {
            let times = (0..1000_u32)
                .filter(|&row| row != lost)
                .map(|row| format!("{:.6}", f64::from(row) * 1e-6));
            let error = grid(times).map(|grid| grid.rate_hz);
            assert!(
                matches!(error, Err(ReadError::UnevenStep { line, .. }) if line == u64::from(lost) + 1),
                "{lost}: {error:?}"
            );
        }
    }

    #[test]
    fn a_clock_that_drifts_is_refused() {
        let times = (0..1000_u32).map(|row| {
            format!(
                "{:.9}",
                f64::from(row) * 1e-6 * (1.0 + f64::from(row) * 1e-6)
            )
        });
        assert!(matches!(grid(times), Err(ReadError::OffGrid { .. })));
    }

    #[test]
    fn times_that_stand_still_or_run_back_are_refused() {
        let still = (0..100).map(|_| "0.5".to_owned());
        assert!(matches!(
            grid(still),
            Err(ReadError::TimeStuck { line: 100, .. })
        ));
        let back = ["0", "1", "2", "1"].map(str::to_owned);
        assert!(matches!(
            grid(back),
            Err(ReadError::UnevenStep { line: 4, .. })
        ));
    }
}
