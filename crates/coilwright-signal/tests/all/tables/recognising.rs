use coilwright_signal::table::{TableKind, recognise_table};
use std::io::Cursor;

fn kind(text: impl Into<Vec<u8>>) -> Option<TableKind> {
    recognise_table(Box::new(Cursor::new(text.into())), "a").unwrap()
}

#[test]
fn every_option_line_is_seen() {
    let comments = "! a long remark about the fixture and its calibration\n".repeat(200);
    for options in [
        "#",
        "# S MA R 50",
        "# S RI R 50 Hz",
        "# r 75 khz ri",
        "#HZ S RI",
    ] {
        for before in ["", "! coil 3\n\n", &comments] {
            let text = format!("{before}{options} ! so\n100 0.5 0.5\n125 0.6 0.4\n");
            assert_eq!(kind(text), Some(TableKind::Touchstone), "{options}");
        }
    }
    let version = format!("{comments}[Version] 2.0\n# GHz S RI R 50\n");
    assert_eq!(kind(version), Some(TableKind::Touchstone));
}

#[test]
fn every_heading_of_a_table_is_seen() {
    let preamble = "Meter 5, report of the day, operator and room\n".repeat(200);
    for heading in [
        "f [Hz];|Z| [Ω];theta [°]",
        "Hz;Ohm;deg",
        "Freq;R;X",
        "Frequency (furlong);R;X",
        "FREQ (HZ);R (MOHM);X (MOHM)",
        "frequency (kHz);amplitude (V)",
    ] {
        for before in ["", &preamble] {
            let text = format!("{before}{heading}\n100;8;628\n110;8;690\n");
            assert_eq!(kind(text), Some(TableKind::Delimited), "{heading}");
        }
    }
    let old = b"f [Hz];|Z| [Ohm];theta [\xB0]\n100;628;89\n";
    assert_eq!(kind(*old), Some(TableKind::Delimited));
}

#[test]
fn a_table_whose_rows_are_broken_or_missing_is_still_one() {
    let tables = [
        "Freq (Hz),R (Ohm),X (Ohm)\n",
        "Freq (Hz),R (Ohm),X (Ohm)\n100,8\n110,8;690\n120,8,OL\n",
        "f;R;X\n100;8;OL\n",
        "no;f (kHz);Voltage (mV)\nx;100;1\ny;101;2\n",
    ];
    for text in tables {
        assert_eq!(kind(text), Some(TableKind::Delimited), "{text}");
    }
    for text in ["# Hz S RI R 50\n100 half 0.5\n", "# kHz furlong\n100 0.5\n"] {
        assert_eq!(kind(text), Some(TableKind::Touchstone), "{text}");
    }
}

#[test]
fn what_is_no_table_over_frequency_is_left_alone() {
    for text in [
        "",
        "#",
        "# a capture of the boatyard\n0,0.1\n1e-6,0.2\n",
        "time (s),V\n0,0.1\n1e-6,0.2\n",
        "Sample freq,1000000\nt,V\n0,0.1\n1e-6,0.2\n2e-6,0.1\n",
        "Sample freq;1000000\n0;0.1\n1e-6;0.2\n2e-6;0.1\n",
        "Frequency;Amplitude\n1000;0.3\n\nTime;CH1\n0;0.1\n1e-6;0.2\n2e-6;0.1\n",
        "#\n0 0.1\n1 0.2\n",
        "words only\nand more\n",
    ] {
        let expected = (text == "#").then_some(TableKind::Touchstone);
        assert_eq!(kind(text), expected, "{text}");
    }
    assert_eq!(kind(b"RIFF\0\0\0\0WAVE".to_vec()), None);
}
