//! Coils: fits take arrays and settings, models and judgements questions in their JSON form; all give JSON forms and arrays.

pub(crate) mod condition;
pub(crate) mod convert;
pub(crate) mod formula;
pub(crate) mod frequency;
pub(crate) mod injection;
pub(crate) mod model;
pub(crate) mod network;
pub(crate) mod plan;
pub(crate) mod ring_down;
pub(crate) mod tables;
pub(crate) mod tolerance;
