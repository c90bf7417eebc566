//! The forms of a result: text for people, JSON for programs.

mod downlink;
pub(crate) mod keys;
pub(crate) mod number;
pub(crate) mod page;
pub(crate) mod report;
pub(crate) mod rows;
pub(crate) mod text;
mod words;
