#![no_main]

use std::io::Cursor;

use coilwright_signal::table::{ImpedanceLayout, ImpedanceReadOptions, read_impedance_table_from};
use libfuzzer_sys::fuzz_target;

// The first byte chooses the layout of a table without names, the rest is the file.
fuzz_target!(|bytes: &[u8]| {
    let Some((&choice, file)) = bytes.split_first() else {
        return;
    };
    let layout = match choice {
        1 => Some(ImpedanceLayout::MagnitudePhase),
        2 => Some(ImpedanceLayout::ResistanceReactance),
        3 => Some(ImpedanceLayout::SeriesInductanceQ),
        4 => Some(ImpedanceLayout::ParallelInductanceQ),
        5 => Some(ImpedanceLayout::SeriesInductanceResistance),
        6 => Some(ImpedanceLayout::SeriesInductanceDissipation),
        7 => Some(ImpedanceLayout::ParallelInductanceDissipation),
        8 => Some(ImpedanceLayout::ParallelInductanceResistance),
        _ => None,
    };
    let options = ImpedanceReadOptions { layout };
    match read_impedance_table_from(Box::new(Cursor::new(file.to_vec())), "file", &options) {
        Ok(table) => {
            assert!(table.frequencies_hz.windows(2).all(|pair| pair[1] > pair[0]));
            assert!(table.impedances_ohm.iter().all(|value| value.is_finite()));
            assert_eq!(table.impedances_ohm.len(), table.frequencies_hz.len());
            assert!(table.frequencies_hz.len() <= file.len());
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
});
