#![no_main]

use std::io::Cursor;

use coilwright_signal::capture::{SigmfMetadata, open_sigmf};
use coilwright_signal_fuzz::{check_outcome, choices, read};
use libfuzzer_sys::fuzz_target;

// The description up to the first zero byte, then the data.
fuzz_target!(|bytes: &[u8]| {
    let Some((options, rest)) = choices(bytes) else {
        return;
    };
    let end = rest
        .iter()
        .position(|&byte| byte == 0)
        .unwrap_or(rest.len());
    let data = rest.get(end + 1..).unwrap_or_default();
    let outcome = SigmfMetadata::from_json(&rest[..end], "description")
        .and_then(|metadata| {
            open_sigmf(
                &metadata,
                Box::new(Cursor::new(data.to_vec())),
                "data",
                &options,
            )
        })
        .and_then(read);
    check_outcome(&outcome, data.len());
});
