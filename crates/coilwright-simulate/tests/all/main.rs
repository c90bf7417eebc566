//! The simulator against closed forms, energy balance and a second simulator, and its scenarios against what they
//! stand for.
#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

mod answers;
mod circuits;
mod closed_form;
mod downlink;
mod energy;
mod network_analyser;
mod ngspice;
mod phenomena;
mod properties;
mod published_answers;
mod second_simulator;
