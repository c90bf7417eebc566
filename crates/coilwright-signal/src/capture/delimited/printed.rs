use super::row::Digits;

/// Units of the last digit by which a printed number may differ from the one meant: half, and a little for a tie.
const PRINTED_ERROR: f64 = 0.51;

/// How finely times are printed: tells how far a printed time can be from the true one.
///
/// Formats have a fixed number of decimals or of significant digits, and some strip zeros at the end, so both are
/// learnt from the finest number so far.
#[derive(Clone, Copy, Debug)]
pub(super) struct Printed {
    significant: i32,
    last_power: i32,
    /// Whether all times so far are single-precision numbers, which some exporters print with more digits than these
    /// hold.
    single: bool,
}

impl Printed {
    pub(super) const fn new() -> Self {
        Self {
            significant: 1,
            last_power: i32::MAX,
            single: true,
        }
    }

    pub(super) fn note(&mut self, time: f64, digits: Digits) {
        self.significant = self.significant.max(digits.significant);
        self.last_power = self.last_power.min(digits.last_power);
        let single = f64::from(time as f32);
        self.single &= (single - time).abs() <= PRINTED_ERROR * power_of_ten(digits.last_power);
    }

    /// One unit of the last decimal.
    pub(super) fn decimal(&self) -> f64 {
        power_of_ten(self.last_power)
    }

    /// One unit of the last digit that the format can show at this time.
    pub(super) fn unit(&self, time: f64) -> f64 {
        if time == 0.0 {
            return self.decimal();
        }
        let leading = time.abs().log10().floor() as i32;
        let by_digits = power_of_ten(leading.saturating_add(1).saturating_sub(self.significant));
        let by_precision = if self.single {
            time.abs() * f64::from(f32::EPSILON)
        } else {
            0.0
        };
        self.decimal().max(by_digits).max(by_precision)
    }
}

/// The power of ten.
pub(super) fn power_of_ten(power: i32) -> f64 {
    10_f64.powi(power)
}
