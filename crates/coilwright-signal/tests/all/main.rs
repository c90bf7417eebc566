//! Integration tests of the signal crate.
#![expect(clippy::unwrap_used, reason = "a failed unwrap is a failed test")]

mod published_codes;
mod published_frames;
