//! The files of `testdata/touchstone` as scikit-rf 2.2.0 reads them (`by_scikit_rf.py` beside them).

use coilwright_signal::table::{Parameter, read_touchstone};
use num_complex::Complex64;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../testdata/touchstone");
const TABLE: &str = include_str!("../../../../../testdata/touchstone/by_scikit_rf.csv");

/// Twelve digits are written in the files and in the table.
const TWELVE_DIGITS: f64 = 1e-10;

#[test]
fn every_element_is_what_scikit_rf_reads() {
    let mut compared = 0;
    for line in TABLE.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let [file, rest @ ..] = fields.as_slice() else {
            panic!("{line}")
        };
        let numbers: Vec<f64> = rest.iter().map(|v| v.parse().unwrap()).collect();
        let [to, from, reference_ohm, frequency_hz, re, im] = numbers[..] else {
            panic!("{line}")
        };
        let table = read_touchstone(format!("{FOLDER}/{file}")).unwrap();
        assert_eq!(table.warnings, [], "{file}");
        assert_eq!(table.reference_ohm[0], reference_ohm, "{file}");
        let near = |f: &f64| (f - frequency_hz).abs() < 1e-4;
        let index = table.frequencies_hz.iter().position(near).unwrap();
        let found = table.element(to as usize, from as usize).unwrap()[index];
        assert!(
            (found - Complex64::new(re, im)).norm() < TWELVE_DIGITS,
            "{line}: {found}"
        );
        compared += 1;
    }
    assert_eq!(compared, 36);
}

#[test]
fn admittances_of_version_1_are_over_the_reference() {
    // The ring of the other files as Y: the same reflection at 75 Ω.
    let admittance = read_touchstone(format!("{FOLDER}/ring_y_75.s1p")).unwrap();
    let reflection = read_touchstone(format!("{FOLDER}/ring_db_75.s1p")).unwrap();
    assert_eq!(admittance.parameter, Parameter::Admittance);
    for (one, other) in admittance.scattering.iter().zip(&reflection.scattering) {
        assert!((one - other).norm() < TWELVE_DIGITS, "{one} {other}");
    }
}
