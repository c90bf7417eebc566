//! Integration tests of `coilwright-signal`, in one binary.
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::panic,
        clippy::float_cmp,
        reason = "a test fails by panicking, and what must be exact is compared exactly"
    )
)]

mod activity;
mod blind;
mod bounds;
mod exports;
mod following;
mod half_duplex;
mod half_duplex_signal;
mod listening;
mod poor_captures;
mod published_codes;
mod published_frames;
mod published_timing;
mod quality;
mod readers;
mod recognising;
mod recorder;
mod soft_frames;
mod subcarrier_signal;
mod subcarriers;
mod synthetic;
mod tables;
mod views;
