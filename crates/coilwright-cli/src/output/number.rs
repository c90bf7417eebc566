use coilwright_signal::Estimate;

const SI_PREFIXES: [(f64, &str); 7] = [
    (1e6, "M"),
    (1e3, "k"),
    (1.0, ""),
    (1e-3, "m"),
    (1e-6, "µ"),
    (1e-9, "n"),
    (1e-12, "p"),
];
/// Units that take a prefix; others, such as decibels and plain ratios, are written as they are.
const PREFIXED: [&str; 11] = ["Hz", "s", "V", "S/s", "H", "F", "Ω", "m", "A", "W", "T"];
/// An error below this share of the prefixed unit is written in the unit itself.
const FINE: f64 = 1e-3;

/// Significant digits of its value that an estimate shows at most.
const MOST_DIGITS: i32 = 9;

/// A number of at most four significant digits with its unit, prefixed where that is usual, such as `125 kHz`.
pub(crate) fn quantity(value: f64, unit: &str) -> String {
    let (scale, prefix) = prefix_for(value, unit);
    let scaled = value / scale;
    let digits = format!("{scaled:.*}", decimals(scaled, 4));
    let digits = match digits.split_once('.') {
        Some((whole, places)) if places.trim_end_matches('0').is_empty() => whole,
        Some(_) => digits.trim_end_matches('0'),
        None => &digits,
    };
    format!("{digits} {prefix}{unit}").trim_end().to_owned()
}

/// An estimate and its standard deviation in the same unit, such as `124.93 ± 0.05 kHz`.
///
/// Digits stop at the second digit of the standard deviation, or at the ninth of the value; a deviation that is too small to show is rounded up.
pub(crate) fn estimate(estimate: Estimate, unit: &str) -> String {
    let largest = estimate.value.abs().max(estimate.std_dev);
    let (scale, prefix) = match prefix_for(largest, unit) {
        (scale, _) if estimate.std_dev < FINE * scale && scale > 1.0 => (1.0, ""),
        usual => usual,
    };
    let (value, mut std_dev) = (estimate.value / scale, estimate.std_dev / scale);
    let mut places = decimals(value, 4);
    if std_dev > 0.0 && std_dev.is_finite() {
        places = decimals(std_dev, 2).min(decimals(value.abs().max(std_dev), MOST_DIGITS));
        std_dev = std_dev.max(0.1_f64.powi(i32::try_from(places).unwrap_or(0)));
    }
    format!("{value:.places$} ± {std_dev:.places$} {prefix}{unit}")
        .trim_end()
        .to_owned()
}

/// A plain ratio as a percentage with two significant digits, such as `3.1 %`.
pub(crate) fn percent(ratio: f64) -> String {
    let value = ratio * 100.0;
    format!("{value:.*} %", decimals(value, 2))
}

/// A probability as a whole percentage that never claims certainty.
pub(crate) fn probability(probability: f64) -> String {
    match (probability * 100.0).round() {
        rounded if rounded >= 100.0 => "more than 99 %".to_owned(),
        rounded if rounded < 1.0 => "less than 1 %".to_owned(),
        rounded => format!("{rounded:.0} %"),
    }
}

/// A probability in words.
pub(crate) const fn sureness(probability: f64) -> &'static str {
    match probability {
        0.99.. => "practically sure",
        0.9.. => "very likely",
        0.7.. => "likely",
        0.5.. => "more likely than not",
        _ => "only the likeliest of several",
    }
}

fn prefix_for(value: f64, unit: &str) -> (f64, &'static str) {
    let magnitude = value.abs();
    if magnitude == 0.0 || !magnitude.is_finite() || !PREFIXED.contains(&unit) {
        return (1.0, "");
    }
    let [.., smallest] = SI_PREFIXES;
    let fits = SI_PREFIXES
        .into_iter()
        .find(|(scale, _)| magnitude >= *scale);
    fits.unwrap_or(smallest)
}

/// Decimal places that show `digits` significant digits of `value`, at most 9.
fn decimals(value: f64, digits: i32) -> usize {
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let leading = value.abs().log10().floor() as i32;
    usize::try_from(digits - 1 - leading).unwrap_or(0).min(9)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_carry_a_prefix_where_that_is_usual() {
        assert_eq!(quantity(125_000.0, "Hz"), "125 kHz");
        assert_eq!(quantity(0.012_34, "s"), "12.34 ms");
        assert_eq!(quantity(0.0, "V"), "0 V");
        assert_eq!(quantity(0.03, ""), "0.03");
        assert_eq!(quantity(-20.0, "dB"), "-20 dB");
    }

    #[test]
    fn an_estimate_shows_two_digits_of_its_deviation() {
        assert_eq!(
            estimate(Estimate::new(124_931.27, 52.3), "Hz"),
            "124.931 ± 0.052 kHz"
        );
        assert_eq!(
            estimate(Estimate::new(125_003.21, 0.041), "Hz"),
            "125003.210 ± 0.041 Hz"
        );
        assert_eq!(estimate(Estimate::new(14.26, 0.31), ""), "14.26 ± 0.31");
        assert_eq!(
            estimate(Estimate::new(125_003.21, 2e-5), "Hz"),
            "125003.210 ± 0.001 Hz"
        );
    }

    #[test]
    fn a_fine_deviation_keeps_its_digits_and_small_numbers_their_prefix() {
        let shown = |value, std_dev, unit| estimate(Estimate::new(value, std_dev), unit);
        assert_eq!(shown(1.62e-3, 1e-7, "H"), "1.62000 ± 0.00010 mH");
        assert_eq!(shown(0.31e-12, 0.02e-12, "F"), "0.310 ± 0.020 pF");
        assert_eq!(shown(0.0, 4e-14, "F"), "0.000 ± 0.040 pF");
        assert_eq!(shown(0.0, 0.0, "F"), "0 ± 0 F");
        assert_eq!(quantity(0.31e-12, "F"), "0.31 pF");
    }

    #[test]
    fn no_probability_claims_certainty() {
        assert_eq!(probability(1.0), "more than 99 %");
        assert_eq!(probability(0.934), "93 %");
        assert_eq!(probability(0.0), "less than 1 %");
    }
}
