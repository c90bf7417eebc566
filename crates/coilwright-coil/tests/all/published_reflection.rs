//! The measured resonators of NPL Report MAT 58.

use coilwright_coil::{
    Background, Connection, FeedLine, FitError, ResponseOptions, Weighting, fit_q_circle,
};
use num_complex::Complex64;

const FIGURE_6B: &str = include_str!("../../../../testdata/published/npl_mat58/Figure6b.txt");
const TABLE_6C: &str = include_str!("../../../../testdata/published/npl_mat58/Table6c27.txt");
const FIGURE_27: &str = include_str!("../../../../testdata/published/npl_mat58/Figure27.txt");
const FIGURE_23: &str = include_str!("../../../../testdata/published/npl_mat58/Figure23.txt");

/// The report weights the points by their place on the circle.
const AS_THE_REPORT: ResponseOptions = ResponseOptions {
    background: Background::Constant,
    feed_line: FeedLine::None,
    weighting: Weighting::Angular,
    quantity: coilwright_coil::Quantity::Current,
};

fn columns(text: &str) -> (Vec<f64>, Vec<Complex64>) {
    text.lines()
        .filter(|line| !line.starts_with('%') && !line.trim().is_empty())
        .map(|line| {
            let mut numbers = line.split_whitespace().map(|v| v.parse::<f64>().unwrap());
            let mut next = || numbers.next().unwrap();
            (next() * 1e9, Complex64::new(next(), next()))
        })
        .unzip()
}

#[test]
fn a_transmission_resonator_of_figure_6b() {
    let (f, s) = columns(FIGURE_6B);
    let connection = Connection::Transmission { scale: 1.0 / 0.874 };
    let fit = fit_q_circle(&f, &s, connection, &AS_THE_REPORT).unwrap();
    // Seven, four and four digits are stated.
    assert!(
        (fit.response.resonance_hz.value - 3.987_848e9).abs() < 500.0,
        "{:?}",
        fit.response.resonance_hz
    );
    assert!(
        (fit.response.q.value - 7454.0).abs() < 0.5,
        "{:?}",
        fit.response.q
    );
    assert!(
        (fit.unloaded_q.value - 7546.0).abs() < 0.5,
        "{:?}",
        fit.unloaded_q
    );
    assert!((fit.diameter.value - 0.0121).abs() < 5e-5);
    // scikit-rf 2.2.0 gives 7454.477 and 7545.580 with the approximate detuning, which is 1e-9 off here.
    assert!(
        (fit.response.q.value - 7454.477).abs() < 0.05,
        "{:?}",
        fit.response.q
    );
    assert!(
        (fit.unloaded_q.value - 7545.580).abs() < 0.05,
        "{:?}",
        fit.unloaded_q
    );
}

#[test]
fn a_reflection_cavity_of_table_6c() {
    let (f, s) = columns(TABLE_6C);
    let options = ResponseOptions {
        feed_line: FeedLine::Fitted,
        ..AS_THE_REPORT
    };
    let fit = fit_q_circle(&f, &s, Connection::Reflection, &options).unwrap();
    // The report's detuning 2(f − f₀)/f₀ puts the resonance f₀/8Q² too low: 909 Hz here. scikit-rf 2.2.0: 3.652938004 GHz.
    let (resonance_hz, q) = (fit.response.resonance_hz.value, fit.response.q.value);
    let approximate_hz = resonance_hz - resonance_hz / (8.0 * q * q);
    assert!(
        (approximate_hz - 3.652_938_004e9).abs() < 50.0,
        "{approximate_hz}"
    );
    // scikit-rf 2.2.0: 708.490 and 862.578. The report states 708 and 862: digits cut, not rounded.
    assert!(
        (fit.response.q.value - 708.49).abs() < 0.05,
        "{:?}",
        fit.response.q
    );
    assert!(
        (fit.unloaded_q.value - 862.58).abs() < 0.1,
        "{:?}",
        fit.unloaded_q
    );
    assert!(
        (fit.diameter.value - 0.3573).abs() < 5e-4,
        "{:?}",
        fit.diameter
    );
    let method_2 = Connection::ReflectionScaled { scale: 1.0 };
    let second = fit_q_circle(&f, &s, method_2, &options).unwrap();
    assert!(
        (second.touching_diameter - 1.990).abs() < 5e-4,
        "{}",
        second.touching_diameter
    );
    assert!(
        (second.unloaded_q.value - 862.0).abs() < 1.0,
        "{:?}",
        second.unloaded_q
    );
    // The line that scikit-rf's test expects: 57.4706 mm at 1.3 times slowness, there and back.
    let length_mm = 1e3 * second.response.delay_s.value * 299_792_458.0 / (2.0 * 1.3);
    assert!((length_mm - 57.4706).abs() < 0.05, "{length_mm}");
}

#[test]
fn a_superconducting_absorber_of_figure_27() {
    let (f, s) = columns(FIGURE_27);
    let fit = fit_q_circle(&f, &s, Connection::Absorption, &AS_THE_REPORT).unwrap();
    assert!(
        (fit.response.resonance_hz.value - 6.072_255_67e9).abs() < 10.0,
        "{:?}",
        fit.response.resonance_hz
    );
    assert!(
        (fit.response.q.value - 56_019.85).abs() < 1.0,
        "{:?}",
        fit.response.q
    );
    assert!(
        (fit.unloaded_q.value / 1_846_782.0 - 1.0).abs() < 0.01,
        "{:?}",
        fit.unloaded_q
    );
    assert!((fit.diameter.value - 0.970).abs() < 1e-3);
    // So near to the touching circle the unloaded Q is hardly known, and says so.
    assert!(
        fit.unloaded_q.std_dev > 0.05 * fit.unloaded_q.value,
        "{:?}",
        fit.unloaded_q
    );
}

#[test]
fn a_leaky_transmission_of_figure_23() {
    let (f, s) = columns(FIGURE_23);
    // 1.2 m of line are taken off, as scikit-rf's test does.
    let without_line: Vec<Complex64> = f
        .iter()
        .zip(&s)
        .map(|(f, s)| s * Complex64::cis(-std::f64::consts::TAU * f * 1.2 / 299_792_458.0))
        .collect();
    let options = ResponseOptions {
        background: Background::Sloped,
        ..AS_THE_REPORT
    };
    let connection = Connection::Transmission { scale: 1.0 / 0.949 };
    let fit = fit_q_circle(&f, &without_line, connection, &options).unwrap();
    assert!(
        (fit.response.resonance_hz.value - 9.760_155_71e9).abs() < 500.0,
        "{:?}",
        fit.response.resonance_hz
    );
    assert!(
        (fit.response.q.value - 4760.04).abs() < 0.5,
        "{:?}",
        fit.response.q
    );
    assert!(
        (fit.unloaded_q.value - 4789.49).abs() < 0.5,
        "{:?}",
        fit.unloaded_q
    );
}

#[test]
fn a_scale_that_makes_the_circle_too_large_is_refused() {
    let (f, s) = columns(FIGURE_6B);
    let connection = Connection::Transmission { scale: 200.0 };
    let error = fit_q_circle(&f, &s, connection, &AS_THE_REPORT).unwrap_err();
    assert!(matches!(error, FitError::CircleTooLarge { .. }), "{error}");
    let connection = Connection::Transmission { scale: 0.0 };
    let error = fit_q_circle(&f, &s, connection, &AS_THE_REPORT).unwrap_err();
    assert!(matches!(error, FitError::NotPositive { .. }), "{error}");
}
