//! A fitted pole in the form of the result.

use coilwright_coil::RingDownFit;
use coilwright_signal::Estimate;

use crate::result::EdgePole;

/// The pole of a joint fit over `edges` records.
pub(super) fn edge_pole(ring: &RingDownFit, edges: usize) -> EdgePole {
    EdgePole {
        resonance_hz: signal(ring.mode.resonance_hz),
        q: signal(ring.mode.q),
        damped_hz: signal(ring.mode.damped_hz),
        second_resonance_hz: ring.second.map(|mode| signal(mode.resonance_hz)),
        second_q: ring.second.map(|mode| signal(mode.q)),
        edges,
        snr_db: ring.snr_db,
        misfit: ring.goodness.misfit,
        explained: ring.goodness.explained,
    }
}

pub(super) const fn signal(estimate: coilwright_coil::Estimate) -> Estimate {
    Estimate::new(estimate.value, estimate.std_dev)
}
