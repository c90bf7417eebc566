//! Whether the recording itself can carry an answer, and what else is in it.

use crate::evidence::{InterferenceEvidence, RecordingEvidence};
use crate::measure::Measured;
use crate::result::Finding;

pub(super) fn recording(_measured: &Measured, _findings: &mut Vec<Finding>) -> RecordingEvidence {
    RecordingEvidence::Fit
}

pub(super) fn interference(
    measured: &Measured,
    _findings: &mut Vec<Finding>,
) -> InterferenceEvidence {
    match measured.listening.strongest_line_dbc {
        Some(level) if level > -30.0 => InterferenceEvidence::Strong,
        Some(_) => InterferenceEvidence::Mild,
        None => InterferenceEvidence::None,
    }
}
