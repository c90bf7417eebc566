use coilwright_signal::table::{
    Parameter, TableError, TableWarning, Touchstone, read_touchstone_from,
};
use num_complex::Complex64;
use proptest::prelude::*;
use std::fmt::Write;

fn read(text: impl AsRef<[u8]>) -> Result<Touchstone, TableError> {
    read_touchstone_from(text.as_ref(), "a.s1p")
}

fn near(found: Complex64, re: f64, im: f64) -> bool {
    (found - Complex64::new(re, im)).norm() < 1e-12
}

#[test]
fn the_three_formats_say_the_same() {
    for line in [
        "# MHz S RI R 50\n0.125 0.0 -0.5\n",
        "# mhz s ma r 50\n0.125 0.5 -90\n",
        "# MHz S DB\n0.125 -6.020599913279624 -90\n",
        "#\n0.000125 0.5 -90\n",
        "! a remark\n\n#  GHZ  MA  R 50   S ! and another\n 1.25e-4\t0.5   -90 ! a point\n",
    ] {
        let table = read(line).unwrap();
        assert_eq!((table.version, table.ports), (1, 1), "{line}");
        assert!((table.frequencies_hz[0] - 125e3).abs() < 1e-6, "{line}");
        assert!(near(table.scattering[0], 0.0, -0.5), "{line}: {table:?}");
        assert_eq!((table.reference_ohm, table.warnings), (vec![50.0], vec![]));
    }
}

#[test]
fn impedances_of_version_1_are_over_the_reference_and_those_of_version_2_are_not() {
    let one = read("# kHz Z RI R 75\n125 0.4 8\n").unwrap();
    let two =
        "[Version] 2.0\n# kHz Z RI R 75\n[Number of Ports] 1\n[Network Data]\n125 30 600\n[End]\n";
    let two = read(two).unwrap();
    assert_eq!((one.parameter, two.version), (Parameter::Impedance, 2));
    assert!((one.scattering[0] - two.scattering[0]).norm() < 1e-15);
    let z = Complex64::new(30.0, 600.0);
    assert!((one.scattering[0] - (z - 75.0) / (z + 75.0)).norm() < 1e-15);
    let y = (1.0 / z) * 75.0;
    let admittance = read(format!("# kHz Y RI R 75\n125 {} {}\n", y.re, y.im)).unwrap();
    assert!((admittance.scattering[0] - one.scattering[0]).norm() < 1e-15);
}

#[test]
fn the_order_of_two_ports() {
    let row = "1 1 0 2 0 3 0 4 0\n";
    let version_1 = read(format!("# Hz S RI R 50\n{row}")).unwrap();
    assert_eq!(version_1.ports, 2);
    // 11 21 12 22
    for (to, from, expected) in [(1, 1, 1.0), (2, 1, 2.0), (1, 2, 3.0), (2, 2, 4.0)] {
        assert!(
            near(version_1.element(to, from).unwrap()[0], expected, 0.0),
            "{to}{from}"
        );
    }
    assert_eq!(version_1.element(3, 1), None);
    let version_2 = |order: &str| {
        let text = format!(
            "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] {order}\n\
             [Number of Frequencies] 1\n[Reference]\n50 75\n[Matrix Format] Full\n[Network Data]\n{row}[End]"
        );
        read(text).unwrap()
    };
    assert!(near(version_2("21_12").element(2, 1).unwrap()[0], 2.0, 0.0));
    assert!(near(version_2("12_21").element(2, 1).unwrap()[0], 3.0, 0.0));
    assert_eq!(version_2("12_21").reference_ohm, [50.0, 75.0]);
    assert_eq!(version_2("12_21").warnings, []);
}

#[test]
fn noise_parameters_and_information_are_passed_over() {
    let text = "# GHz S RI R 50\n1 1 0 2 0 3 0 4 0\n2 1 0 2 0 3 0 4 0\n1 0.5 0.3 20 0.1\n2 0.6 0.3 20 0.1\n";
    let table = read(text).unwrap();
    assert_eq!(table.frequencies_hz, [1e9, 2e9]);
    assert_eq!(table.warnings, [TableWarning::NoiseSkipped { line: 4 }]);
    let text = "[Version] 2.1\n# Hz S RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 2\n\
                [Begin Information]\n[Manufacturer] none\nany words\n[End Information]\n[Network Data]\n5 0 1\n[Noise Data]\n1 2 3\n";
    let table = read(text).unwrap();
    assert_eq!(table.frequencies_hz, [5.0]);
    assert_eq!(
        table.warnings,
        [
            TableWarning::NoiseSkipped { line: 11 },
            TableWarning::FewerPoints {
                found: 1,
                stated: 2
            },
            TableWarning::EndMissing
        ]
    );
}

/// Cut at every byte: an error, or the exact start of the points and a warning (none right behind a line end of version 1).
#[test]
fn cut_at_every_byte() {
    let data = "100 0.5 0.25\r\n125 0.125 -0.5\r\n150 1e-3 0\r\n";
    let version_1 = format!("! coil\r\n# kHz S RI R 50\r\n{data}");
    let version_2 = format!(
        "[Version] 2.0\r\n# kHz S RI R 50\r\n[Number of Ports] 1\r\n[Number of Frequencies] 3\r\n[Network Data]\r\n{data}[End]\r\n"
    );
    let all = [(0.5, 0.25), (0.125, -0.5), (1e-3, 0.0)];
    for (whole, version) in [(version_1, 1), (version_2, 2)] {
        let mut lengths = Vec::new();
        for length in 0..whole.len() {
            match read(&whole[..length]) {
                Ok(table) => {
                    for (found, (re, im)) in table.scattering.iter().zip(all) {
                        assert!(near(*found, re, im), "{:?}", &whole[..length]);
                    }
                    let complete = if version == 1 {
                        whole[..length].ends_with('\n')
                    } else {
                        whole[..length].contains("[End]")
                    };
                    assert_eq!(
                        table.warnings.is_empty(),
                        complete,
                        "{:?}",
                        &whole[..length]
                    );
                    lengths.push(table.scattering.len());
                }
                Err(error) => assert!(!error.to_string().is_empty()),
            }
        }
        lengths.dedup();
        assert_eq!(
            lengths,
            if version == 1 {
                vec![1, 2]
            } else {
                vec![1, 2, 3]
            }
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_was_written_is_read(
        points in prop::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64), 1..40),
        unit in 0..4_usize,
        format in 0..3_usize,
        reference in 1.0..200.0_f64,
    ) {
        let (name, factor) = [("Hz", 1.0), ("kHz", 1e3), ("MHz", 1e6), ("GHz", 1e9)][unit];
        let mut text = format!("# {name} S {} R {reference:?}\n", ["RI", "MA", "DB"][format]);
        for (n, (re, im)) in points.iter().enumerate() {
            let s = Complex64::new(*re, *im);
            let (a, b) = match format {
                0 => (*re, *im),
                1 => (s.norm(), s.arg().to_degrees()),
                _ => (20.0 * s.norm().max(1e-300).log10(), s.arg().to_degrees()),
            };
            writeln!(text, "{:?} {a:?} {b:?}", (100e3 + 10.0 * n as f64) / factor).unwrap();
        }
        let table = read(&text).unwrap();
        prop_assert_eq!(&table.reference_ohm, &vec![reference]);
        for ((found, (re, im)), (n, f)) in table.scattering.iter().zip(&points).zip(table.frequencies_hz.iter().enumerate()) {
            prop_assert!((found - Complex64::new(*re, *im)).norm() < 1e-12);
            prop_assert!((f - 100e3 - 10.0 * n as f64).abs() < 1e-6);
        }
    }

    #[test]
    fn any_bytes_give_a_table_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let seen = match read(&bytes) {
            Ok(table) => table.scattering.len() == table.frequencies_hz.len() * table.ports * table.ports,
            Err(error) => !error.to_string().is_empty(),
        };
        prop_assert!(seen);
    }

    #[test]
    fn any_lines_give_a_table_or_an_error(
        lines in prop::collection::vec(
            prop::sample::select(vec![
                "# Hz S RI R 50", "# GHz Z MA R 75", "[Version] 2.0", "[Number of Ports] 1", "[Number of Ports] 2",
                "[Two-Port Data Order] 12_21", "[Network Data]", "[Reference] 50", "[Reference]", "75", "[Noise Data]", "[End]",
                "[Begin Information]", "[End Information]", "1 0 1", "2 1 0 2 0 3 0 4 0", "3 1 1", "1 2 3 4 5", "! x", "1e999 1 1",
                "[Matrix Format] Lower", "[Number of Frequencies] 18446744073709551616", "4 nan 0",
            ]),
            0..12,
        )
    ) {
        let text = lines.join("\n") + "\n";
        match read(&text) {
            Ok(table) => {
                prop_assert!(table.scattering.iter().all(|s| s.is_finite()));
                prop_assert!(table.frequencies_hz.windows(2).all(|pair| pair[1] > pair[0]));
            }
            Err(error) => prop_assert!(error.to_string().contains(';'), "{}", error),
        }
    }
}

#[test]
fn a_point_at_zero_is_left_out_with_a_word() {
    let table = read("# kHz S RI R 50\n0 1 0\n100 0.5 0.5\n125 0.6 0.4\n").unwrap();
    assert_eq!(table.frequencies_hz, [100e3, 125e3]);
    assert_eq!(table.scattering.len(), 2);
    assert_eq!(table.warnings, [TableWarning::ZeroFrequency { line: 2 }]);
}
