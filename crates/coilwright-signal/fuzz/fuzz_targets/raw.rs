#![no_main]

use coilwright_signal::capture::ReadOptions;
use coilwright_signal_fuzz::{check, choices};
use libfuzzer_sys::fuzz_target;

// The type up to the first line feed, then the number of channels, then the samples.
fuzz_target!(|bytes: &[u8]| {
    let Some((options, rest)) = choices(bytes) else {
        return;
    };
    let Some(end) = rest.iter().position(|&byte| byte == b'\n') else {
        return;
    };
    let Some(stored) = std::str::from_utf8(&rest[..end])
        .ok()
        .and_then(|name| name.parse().ok())
    else {
        return;
    };
    let Some((&channels, samples)) = rest[end + 1..].split_first() else {
        return;
    };
    let options = ReadOptions {
        raw_type: Some(stored),
        raw_channels: channels.checked_sub(1).map(usize::from),
        ..options
    };
    check(samples, &options);
});
