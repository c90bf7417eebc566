//! Models of coils against published tables, an independent program, and each other.

mod circuit;
mod coupling;
mod inductance;
mod loss;
mod planning;

/// Rows of a table in `testdata/published/coil`: numbers of each line, empty fields as not a number.
fn rows(text: &str) -> Vec<Vec<f64>> {
    text.lines()
        .skip(1)
        .map(|line| {
            line.split(',')
                .map(|field| field.parse().unwrap_or(f64::NAN))
                .collect()
        })
        .collect()
}

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found / expected - 1.0).abs() <= relative,
        "found {found:e}, expected {expected:e}, off by {:.2e}",
        found / expected - 1.0
    );
}
