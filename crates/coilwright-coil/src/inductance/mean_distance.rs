//! Geometric mean distance of a rectangle from itself.

/// Geometric mean distance of a rectangle from itself, metres; of a line, if one side is zero.
///
/// ln R = ½ ln(b² + c²) − (b²/12c²) ln(1 + c²/b²) − (c²/12b²) ln(1 + b²/c²) + (2b/3c) atan(c/b) + (2c/3b) atan(b/c) − 25/12
/// (Maxwell 1873, Treatise vol. 2 art. 692; Grover 1946 p. 21, from memory); a line of length b has b e^(−3/2).
pub(crate) fn rectangle_mean_distance_m(b: f64, c: f64) -> f64 {
    let (long, short) = (b.max(c), b.min(c));
    let ratio = short / long;
    if ratio < 1e-6 {
        return long * (-1.5_f64).exp();
    }
    let square = ratio * ratio;
    let log = 0.5 * square.ln_1p()
        - square / 12.0 * (1.0 / square).ln_1p()
        - square.ln_1p() / (12.0 * square)
        + 2.0 / (3.0 * ratio) * ratio.atan()
        + 2.0 * ratio / 3.0 * (1.0 / ratio).atan()
        - 25.0 / 12.0;
    long * log.exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn square_and_line_have_their_known_values() {
        // 0.44705 of the side (Rosa and Grover 1912, from memory); the line is the limit of thin rectangles.
        assert!((rectangle_mean_distance_m(2.0, 2.0) / 2.0 - 0.447_05).abs() < 5e-6);
        let thin = rectangle_mean_distance_m(1.0, 2e-6);
        assert!((thin / rectangle_mean_distance_m(1.0, 0.0) - 1.0).abs() < 1e-5);
    }
}
