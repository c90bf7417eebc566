#![no_main]

use coilwright_signal_fuzz::{check, choices};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Some((options, file)) = choices(bytes) {
        check(file, &options);
    }
});
