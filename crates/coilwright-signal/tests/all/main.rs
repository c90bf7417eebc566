//! Integration tests of the signal crate.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a failed unwrap is a failed test"
)]

mod activity;
mod listening;
mod published_codes;
mod published_frames;
mod readers;
mod recognising;
mod synthetic;
