//! Tests of the coil crate through its public interface.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod signals;

mod bounds;
mod closed_form;
mod condition;
mod disturbed;
mod edges;
mod errors;
mod frequency_domain;
mod injection;
mod models;
mod naive;
mod one_port;
mod properties;
mod published;
mod published_reflection;
mod response_background;
mod statistics;
