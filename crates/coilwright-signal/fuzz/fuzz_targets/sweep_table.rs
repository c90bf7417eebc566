#![no_main]

use std::io::Cursor;

use coilwright_signal::table::read_sweep_table_from;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|file: &[u8]| {
    match read_sweep_table_from(Box::new(Cursor::new(file.to_vec())), "file") {
        Ok(table) => {
            assert!(table.frequencies_hz.windows(2).all(|pair| pair[1] > pair[0]));
            assert!(table.amplitudes.iter().all(|value| value.is_finite() && *value >= 0.0));
            assert_eq!(table.amplitudes.len(), table.frequencies_hz.len());
            assert!(table.frequencies_hz.len() <= file.len());
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
});
