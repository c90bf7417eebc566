#![no_main]

use coilwright_signal::table::read_touchstone_from;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    match read_touchstone_from(bytes, "file") {
        Ok(table) => {
            assert!(matches!(table.ports, 1 | 2) && table.reference_ohm.len() == table.ports);
            assert!(table.frequencies_hz.windows(2).all(|pair| pair[1] > pair[0]));
            assert!(table.scattering.iter().all(|value| value.is_finite()));
            let matrix = table.ports * table.ports;
            assert_eq!(table.scattering.len(), table.frequencies_hz.len() * matrix);
            assert!(table.scattering.len() <= bytes.len());
            assert!(table.warnings.iter().all(|warning| !warning.to_string().is_empty()));
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
});
