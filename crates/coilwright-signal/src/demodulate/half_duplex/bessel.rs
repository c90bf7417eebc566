/// ln I₀(x), to 2e-7 of I₀ (Abramowitz and Stegun, 9.8.1 and 9.8.2).
pub(super) fn log_bessel_i0(x: f64) -> f64 {
    let t = x / 3.75;
    if t < 1.0 {
        let t2 = t * t;
        let sum = [
            0.004_581_3,
            0.036_076_8,
            0.265_973_2,
            1.206_749_2,
            3.089_942_4,
            3.515_622_9,
            1.0,
        ];
        return sum.into_iter().fold(0.0, |value, c| value * t2 + c).ln();
    }
    let u = 1.0 / t;
    let sum = [
        0.003_923_77,
        -0.016_476_33,
        0.026_355_37,
        -0.020_577_06,
        0.009_162_81,
        -0.001_575_65,
        0.002_253_19,
        0.013_285_92,
        0.398_942_28,
    ];
    let value: f64 = sum.into_iter().fold(0.0, |value, c| value * u + c);
    x - 0.5 * x.ln() + value.ln()
}

#[cfg(test)]
mod tests {
    use super::log_bessel_i0;

    #[test]
    fn the_bessel_function_matches_its_table() {
        // Abramowitz and Stegun, table 9.8: e^-x I0(x) at 1 is 0.46575 96077, at 5 0.18354 08126, at 10 0.12783 33372.
        for (x, scaled) in [
            (1.0, 0.465_759_607_7_f64),
            (5.0, 0.183_540_812_6),
            (10.0, 0.127_833_337_2),
        ] {
            approx::assert_abs_diff_eq!(log_bessel_i0(x) - x, scaled.ln(), epsilon = 1e-6);
        }
    }
}
