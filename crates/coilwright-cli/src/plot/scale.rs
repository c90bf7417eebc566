/// Least height of a panel over its values: digits beyond those of a measurement are not spread over it.
pub(super) const FLATTEST: f64 = 1e-4;

/// The range of the finite values with room of this part of it at either end, and never flatter than a part of the largest value.
pub(super) fn range(values: impl Iterator<Item = f64>, margin: f64, flattest: f64) -> (f64, f64) {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
    let least = flattest * low.abs().max(high.abs());
    let room = (margin * (high - low)).max(0.5 * (least - (high - low)));
    (low - room, high + room)
}

/// Maps values onto pixels in a straight line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub low: f64,
    pub high: f64,
    from: f64,
    to: f64,
}

impl Scale {
    /// `low` lies at pixel `from`, `high` at pixel `to`. An empty or unknown range becomes one of length 2.
    pub(super) fn new((low, high): (f64, f64), (from, to): (f64, f64)) -> Self {
        let usable = low.is_finite() && high.is_finite() && high > low;
        let middle = if low.is_finite() { low } else { 0.0 };
        let (low, high) = if usable {
            (low, high)
        } else {
            (middle - 1.0, middle + 1.0)
        };
        Self {
            low,
            high,
            from,
            to,
        }
    }

    /// The pixel of a value, held inside the scale.
    pub(super) fn pixel(&self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + share * (self.to - self.from)
    }

    /// Whether a value lies inside.
    pub(super) fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Round values 1, 2 or 5 · 10^n apart, about `wanted` of them, with their labels.
    pub(super) fn ticks(&self, wanted: f64) -> Vec<(f64, String)> {
        let rough = (self.high - self.low) / wanted.max(1.0);
        let power = 10.0_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|factor| factor * power)
            .find(|step| *step >= rough)
            .unwrap_or(10.0 * power);
        let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
        let first = (self.low / step).ceil() as i64;
        let last = (self.high / step).floor() as i64;
        (first..=last)
            .map(|k| {
                let value = k as f64 * step;
                (value, format!("{value:.decimals$}").replace('-', "−"))
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let scale = Scale::new((-0.013, 0.021), (0.0, 100.0));
        let labels: Vec<String> = scale.ticks(4.0).into_iter().map(|tick| tick.1).collect();
        assert_eq!(labels, ["−0.01", "0.00", "0.01", "0.02"]);
        assert!((scale.pixel(0.021) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn an_empty_range_can_be_drawn() {
        for range in [
            (3.0, 3.0),
            (f64::NAN, 1.0),
            (f64::INFINITY, f64::NEG_INFINITY),
        ] {
            let scale = Scale::new(range, (0.0, 10.0));
            assert!(scale.high > scale.low && scale.pixel(scale.low) == 0.0);
            assert!(scale.ticks(5.0).len() >= 2);
        }
    }
}
