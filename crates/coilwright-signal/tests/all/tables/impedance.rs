use coilwright_signal::table::{
    ImpedanceLayout, ImpedanceReadOptions, ImpedanceTable, TableError, TableWarning,
    read_impedance_table_from,
};
use num_complex::Complex64;
use proptest::prelude::*;
use std::f64::consts::TAU;
use std::fmt::Write;
use std::io::Cursor;

fn read_with(
    text: impl AsRef<[u8]>,
    options: ImpedanceReadOptions,
) -> Result<ImpedanceTable, TableError> {
    let bytes = text.as_ref().to_vec();
    read_impedance_table_from(Box::new(Cursor::new(bytes)), "a.csv", &options)
}

fn read(text: impl AsRef<[u8]>) -> Result<ImpedanceTable, TableError> {
    read_with(text, ImpedanceReadOptions::default())
}

/// 8 Ω and 1 mH at 125 kHz, in every way in which meters show it.
#[test]
fn one_coil_in_every_layout() {
    let z = Complex64::new(8.0, TAU * 125e3 * 1e-3);
    let (magnitude, degrees, q) = (z.norm(), z.arg().to_degrees(), z.im / z.re);
    let parallel_mh = 1.0 + 1.0 / (q * q);
    let texts = [
        format!("Frequency (Hz),|Z| (Ohm),Phase (deg)\n125000,{magnitude},{degrees}\n"),
        format!(
            "Meter 5\nserial;7\nFreq (kHz);R (Ω);X (kΩ)\n125,0;8,0;{}\n",
            (z.im / 1e3).to_string().replace('.', ",")
        ),
        format!(
            "f/MHz\ttheta (rad)\tZ (kOhm)\n0.125\t{}\t{}\n",
            z.arg(),
            magnitude / 1e3
        ),
        format!("Freq,Ls,Q\nHz,uH,\n125000,1000,{q}\n"),
        format!("no,freq (kHz),Lp (mH),Q\n1,125,{parallel_mh},{q}\n"),
        "freq (Hz),Ls (H),Rs (Ohm)\n125000,0.001,8\n".to_owned(),
        format!("freq_hz,inductance_henry,D\n125000,0.001,{}\n", 1.0 / q),
        format!("F (kHz);Lp (mH);D\n125;{parallel_mh};{}\n", 1.0 / q),
        format!(
            "freq (Hz),Lp (H),Rp (kOhm)\n125000,{},{}\n",
            parallel_mh * 1e-3,
            TAU * 125e3 * parallel_mh * 1e-3 * q / 1e3
        ),
        format!("Hz,Ohm,deg\n125000,{magnitude},{degrees}\n"),
        format!("f [Hz];|Z| [Ω];theta [°]\n125000;{magnitude};{degrees}\n"),
        format!("f (Hz),R (mOhm),X (MOhm)\n125000,8000,{}\n", z.im / 1e6),
    ];
    let layouts = [
        ImpedanceLayout::MagnitudePhase,
        ImpedanceLayout::ResistanceReactance,
        ImpedanceLayout::MagnitudePhase,
        ImpedanceLayout::SeriesInductanceQ,
        ImpedanceLayout::ParallelInductanceQ,
        ImpedanceLayout::SeriesInductanceResistance,
        ImpedanceLayout::SeriesInductanceDissipation,
        ImpedanceLayout::ParallelInductanceDissipation,
        ImpedanceLayout::ParallelInductanceResistance,
        ImpedanceLayout::MagnitudePhase,
        ImpedanceLayout::MagnitudePhase,
        ImpedanceLayout::ResistanceReactance,
    ];
    for (text, layout) in texts.iter().zip(layouts) {
        let table = read(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!((table.layout, &table.warnings), (layout, &vec![]), "{text}");
        assert!((table.frequencies_hz[0] - 125e3).abs() < 1e-6, "{text}");
        let found = table.impedances_ohm[0];
        assert!((found - z).norm() < 1e-9 * z.norm(), "{text}: {found}");
    }
}

#[test]
fn a_falling_table_is_turned_round() {
    let table = read("f,R,X\n300,1,3\n200,1,2\n100,1,1\n").unwrap();
    assert_eq!(table.frequencies_hz, [100.0, 200.0, 300.0]);
    assert_eq!(table.impedances_ohm[2].im, 3.0);
    assert_eq!(table.warnings, [TableWarning::Reversed]);
}

#[test]
fn a_unit_that_may_be_milli_or_mega_is_refused() {
    for (heading, unit) in [
        ("Freq (mHz),R (Ohm),X (Ohm)", "mHz"),
        ("FREQ (HZ),R (MOHM),X (MOHM)", "MOHM"),
        ("FREQ,R,X\nHZ,MOHM,MOHM", "MOHM"),
    ] {
        let error = read(format!("{heading}\n125,8,785\n")).unwrap_err();
        let TableError::UnitAmbiguous { found, .. } = &error else {
            panic!("{heading}: {error}")
        };
        assert_eq!(found, unit);
        assert!(error.to_string().contains("write MHz for megahertz"));
    }
    let table = read("FREQ (KHZ),R (OHM),X (OHM)\n125,8,785\n").unwrap();
    assert!((table.frequencies_hz[0] - 125e3).abs() < 1e-6);
}

#[test]
fn the_degree_sign_may_be_of_an_old_code_page() {
    let table = read(b"f [Hz];|Z| [Ohm];theta [\xB0]\n125000;628.5;90\n").unwrap();
    assert!((table.impedances_ohm[0] - Complex64::new(0.0, 628.5)).norm() < 1e-9);
}

#[test]
fn what_is_doubtful_is_said() {
    let table = read("f,R,X\n0,8,0\n100,8,6\n110,-1,7\n120,-2,8").unwrap();
    assert_eq!(table.frequencies_hz, [100.0, 110.0, 120.0]);
    assert_eq!(
        table.warnings,
        [
            TableWarning::ZeroFrequency { line: 2 },
            TableWarning::LastLineUnended { line: 5 },
            TableWarning::NegativeResistance {
                points: 2,
                first_hz: 110.0
            },
        ]
    );
    let cut = read("f,R,X\n100,8,6\n110,8").unwrap();
    assert_eq!(cut.frequencies_hz, [100.0]);
    assert_eq!(cut.warnings, [TableWarning::PartialLine { line: 3 }]);
}

#[test]
fn without_names_the_layout_must_be_stated() {
    let text = "100000,500,89\n125000,630,89.3\n";
    let error = read(text).unwrap_err();
    assert!(
        matches!(error, TableError::ColumnsUnnamed { line: 1, .. }),
        "{error}"
    );
    let options = ImpedanceReadOptions {
        layout: Some(ImpedanceLayout::MagnitudePhase),
    };
    let table = read_with(text, options).unwrap();
    assert!(
        (table.impedances_ohm[1] - Complex64::from_polar(630.0, 89.3_f64.to_radians())).norm()
            < 1e-9
    );
}

#[test]
fn a_broken_row_is_named_wherever_it_stands() {
    let rows = ["100,8,6", "110,8,7", "120,9,7", "130,9,8", "140,9,9"];
    for at in 0..rows.len() {
        for broken in ["105,over,7", "105,8", "over,8,7", "over"] {
            // Under the names such a line may be one of units.
            if at == 0 && broken.starts_with("over") {
                continue;
            }
            let mut lines = vec!["f,R,X"];
            lines.extend(rows);
            lines.insert(1 + at, broken);
            let error = read(&(lines.join("\n") + "\n")).unwrap_err();
            let named = format!("line {}: found `{broken}`, expected 3 numbers", at + 2);
            assert!(error.to_string().contains(&named), "{error}");
        }
    }
}

#[test]
fn cut_at_every_byte() {
    let whole =
        "Freq (Hz),R (Ohm),X (Ohm)\r\n100000,8,628.5\r\n125000,9.5,785.25\r\n150000,11,942\r\n";
    let all = [(8.0, 628.5), (9.5, 785.25), (11.0, 942.0)];
    let mut lengths = Vec::new();
    for length in 0..whole.len() {
        match read(&whole[..length]) {
            Ok(table) => {
                let unended = matches!(table.warnings[..], [TableWarning::LastLineUnended { .. }]);
                let certain = table.impedances_ohm.len() - usize::from(unended);
                for (found, (re, im)) in table.impedances_ohm.iter().take(certain).zip(all) {
                    assert_eq!(*found, Complex64::new(re, im), "{:?}", &whole[..length]);
                }
                assert_eq!(
                    table.warnings.is_empty(),
                    whole[..length].ends_with('\n'),
                    "{:?}",
                    &whole[..length]
                );
                lengths.push(table.impedances_ohm.len());
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    lengths.dedup();
    // A row counts from the first byte of its last number on.
    assert_eq!(lengths, [1, 2, 3]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn what_was_written_is_read(
        points in prop::collection::vec((0.1..1e3_f64, 1.0..1e5_f64), 2..40),
        delimiter in prop::sample::select(vec![',', ';', '\t']),
    ) {
        let mut text = format!("f (kHz){delimiter}R (Ohm){delimiter}X (kOhm)\n");
        for (n, (r, x)) in points.iter().enumerate() {
            writeln!(text, "{}{delimiter}{r:?}{delimiter}{:?}", 10 + n, x / 1e3).unwrap();
        }
        let table = read(&text).unwrap();
        prop_assert_eq!(table.impedances_ohm.len(), points.len());
        for (found, (r, x)) in table.impedances_ohm.iter().zip(&points) {
            prop_assert!((found - Complex64::new(*r, *x)).norm() < 1e-9 * x);
        }
    }

    #[test]
    fn any_bytes_give_a_table_or_an_error(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let seen = match read(&bytes) {
            Ok(table) => table.impedances_ohm.len() == table.frequencies_hz.len(),
            Err(error) => !error.to_string().is_empty(),
        };
        prop_assert!(seen);
    }
}
