//! Numbers in plain words.

use coilwright_signal::Estimate;

/// A frequency such as `125.0 kHz`, with as many digits as its error leaves.
pub(crate) fn kilohertz(frequency: Estimate) -> String {
    let digits = digits_left(frequency.std_dev / 1e3).min(4);
    let uncertainty = if frequency.std_dev > 0.0 && digits < 4 {
        format!(" ± {:.digits$}", frequency.std_dev / 1e3)
    } else {
        String::new()
    };
    format!("{:.digits$}{uncertainty} kHz", frequency.value / 1e3)
}

/// A plain number with its error, such as `14.2 ± 0.3`.
pub(crate) fn number(estimate: Estimate) -> String {
    let digits = digits_left(estimate.std_dev).min(2);
    format!(
        "{:.digits$} ± {:.digits$}",
        estimate.value, estimate.std_dev
    )
}

/// A share as percent with two significant digits at least, such as `0.35 %`.
pub(crate) fn percent(share: f64) -> String {
    let value = 100.0 * share;
    let digits = if value.abs() >= 10.0 {
        0
    } else if value.abs() >= 1.0 {
        1
    } else {
        2
    };
    format!("{value:.digits$} %")
}

/// Decimal places down to the first significant digit of an error.
fn digits_left(std_dev: f64) -> usize {
    if std_dev > 0.0 {
        (-std_dev.log10().floor()).clamp(0.0, 6.0) as usize
    } else {
        4
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_error() {
        assert_eq!(
            kilohertz(Estimate::new(124_632.0, 210.0)),
            "124.6 ± 0.2 kHz"
        );
        assert_eq!(kilohertz(Estimate::new(125_003.71, 0.002)), "125.0037 kHz");
        assert_eq!(number(Estimate::new(14.23, 0.31)), "14.2 ± 0.3");
        assert_eq!(percent(0.0035), "0.35 %");
        assert_eq!(percent(-0.074), "-7.4 %");
    }
}
