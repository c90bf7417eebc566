use coilwright_signal::table::{
    ImpedanceReadOptions, SweepTable, TableError, TableWarning, read_impedance_table_from,
    read_sweep_table_from,
};
use proptest::prelude::*;
use std::io::Cursor;

fn read(text: impl AsRef<[u8]>) -> Result<SweepTable, TableError> {
    let bytes = text.as_ref().to_vec();
    read_sweep_table_from(Box::new(Cursor::new(bytes)), "a.csv")
}

#[test]
fn one_sweep_in_every_way() {
    let texts = [
        "Frequency (Hz),Amplitude (V)\n124000,0.1\n125000,1\n",
        "no;f (kHz);Voltage (mV);phase (deg)\n1;124,0;100,0;3\n2;125,0;1000,0;4\n",
        "freq/MHz\tMagnitude (dB)\n0.124\t-20\n0.125\t0\n",
        "Freq,Level\nkHz,dBV\n124,-20\n125,0\n",
        "freq (Hz),Vpp\n125000,1\n124000,0.1\n",
        "Freq (Hz),Re(S21),Im(S21)\n124000,0.06,-0.08\n125000,1,0\n",
        "Frequency in Hz,Gain in dB,Phase in deg\n124000,-20,9\n125000,0,0\n",
    ];
    for text in texts {
        let table = read(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        for (found, expected) in table.frequencies_hz.iter().zip([124e3, 125e3]) {
            assert!((found - expected).abs() < 1e-6, "{text}: {table:?}");
        }
        for (found, expected) in table.amplitudes.iter().zip([0.1, 1.0]) {
            assert!((found - expected).abs() < 1e-12, "{text}: {table:?}");
        }
        let turned = text.contains("125000,1\n124000");
        assert_eq!(table.warnings == [TableWarning::Reversed], turned, "{text}");
        let with_phases = ["phase", "Phase", "Re"]
            .iter()
            .any(|word| text.contains(word));
        assert_eq!(table.response.is_some(), with_phases, "{text}");
    }
}

#[test]
fn phases_and_parts_make_one_response() {
    let texts = [
        "Freq (kHz),Gain (dB),Phase (deg)\n124,-20,-53.13010235415598\n125,0,180\n",
        "Freq (kHz),Voltage (mV),Phase (rad)\n124,100,-0.927295218001612\n125,1000,3.141592653589793\n",
        "Freq (kHz),Re (mV),Im (mV)\n124,60,-80\n125,-1000,0\n",
        "Freq (kHz),Re(S21),Im(S21)\n124,0.06,-0.08\n125,-1,0\n",
    ];
    for text in texts {
        let response = read(text).unwrap().response.unwrap();
        for (found, (re, im)) in response.iter().zip([(0.06, -0.08), (-1.0, 0.0)]) {
            let off = (found.re - re).hypot(found.im - im);
            assert!(off < 1e-12, "{text}: {found}");
        }
    }
    let error = read("f,gain,phase\n100,1,inf\n").unwrap_err();
    assert_eq!(
        error.to_string(),
        "a.csv: line 2: found inf, expected numbers of a finite response; correct or delete the line"
    );
}

#[test]
fn an_impedance_is_no_amplitude_and_an_amplitude_no_impedance() {
    let error = read("freq (Hz),|Z| (Ohm)\n1000,3\n").unwrap_err();
    assert_eq!(
        error.to_string(),
        "a.csv: line 2: found columns named `freq (Hz), |Z| (Ohm)`, expected a frequency and an amplitude, or a frequency and |Z| and phase, R and X, \
         L and Q, or L and R; name the columns in the line before the first row"
    );
    let sweep = Cursor::new(b"Frequency (Hz),Amplitude (V)\n124000,0.1\n".to_vec());
    let refused =
        read_impedance_table_from(Box::new(sweep), "a.csv", &ImpedanceReadOptions::default())
            .unwrap_err();
    assert!(matches!(refused, TableError::ColumnsUnnamed { .. }));
}

#[test]
fn what_no_amplitude_can_be_is_refused() {
    let error = read("f,amplitude\n100,1\n200,-1\n").unwrap_err();
    assert_eq!(
        error.to_string(),
        "a.csv: line 3: found -1, expected an amplitude of 0 or more; correct or delete the line"
    );
    assert!(matches!(
        read("f,level (dB)\n100,1\n200,1e9\n").unwrap_err(),
        TableError::ValueInvalid { line: 3, .. }
    ));
    assert!(matches!(read("").unwrap_err(), TableError::Empty { .. }));
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..400), place in 0_usize..40) {
        let mut text = b"Freq (kHz),Level (dBV)\n124,-20\n125,0\n126,-19\n".to_vec();
        let place = place.min(text.len());
        text.splice(place..place, bytes);
        if let Ok(table) = read(&text) {
            prop_assert_eq!(table.frequencies_hz.len(), table.amplitudes.len());
            prop_assert!(table.frequencies_hz.is_sorted());
        }
    }
}
