//! From measurements to evidence and findings, one kind of evidence a file.

mod against;
mod field;
mod key;
mod recording;
mod ring;
mod ring_down;

use crate::evidence::Evidence;
use crate::measure::Measured;
use crate::result::{Comparison, Finding};

/// Evidence and findings of a capture, and how it compares with a known-good one where there is one.
pub(crate) fn assess(
    measured: &Measured,
    good: Option<&Measured>,
) -> (Evidence, Vec<Finding>, Option<Comparison>) {
    if measured.is_ring_down() {
        return ring_down::assess(measured, good);
    }
    let mut findings = Vec::new();
    let comparison = good.map(|good| against::compare(measured, good));
    let recording = recording::recording(measured, &mut findings);
    let field = field::field(measured, &mut findings);
    let evidence = Evidence {
        field,
        level_db: field::level(measured, &mut findings),
        third_harmonic_db: field::third_harmonic(measured, &mut findings),
        carrier_offset: field::carrier_offset(measured, &mut findings),
        ring: ring::ring(measured, &mut findings),
        key: key::key(measured, field, &mut findings),
        dropouts: field::dropouts(measured, field, &mut findings),
        interference: recording::interference(measured, &mut findings),
        recording,
        against: comparison
            .as_ref()
            .map(|comparison| against::evidence(comparison, &mut findings)),
    };
    findings.sort_by_key(|finding| finding.weight);
    (evidence, findings, comparison)
}
