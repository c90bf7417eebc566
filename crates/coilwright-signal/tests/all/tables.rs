//! Readers of tables over frequency, against files written by hand from the definitions.

mod broken;
mod impedance;
mod recognising;
mod scikit_rf;
mod sweep;
mod touchstone;
