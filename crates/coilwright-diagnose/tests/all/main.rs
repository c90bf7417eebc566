//! The check of whole captures against what is true about them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod lost_samples;
mod ring_down;
