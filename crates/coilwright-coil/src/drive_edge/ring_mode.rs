use crate::ringdown::RingDownFit;

/// Energy of the weaker mode over that of the stronger from which either may be the ring.
const COMPARABLE: f64 = 0.05;
/// Modes further apart than this share of frequency are no ring and key: a pickup's own resonance, a switching transient.
const NEIGHBOURS: f64 = 0.3;
/// Q below which a mode is no ring but a switching transient.
const LEAST_RING_Q: f64 = 2.3;

/// Puts the ring's mode first where ring and key ring together.
///
/// A key coil in the field makes a second pole beside the ring's, and a pickup near the key's head sees both, sometimes the
/// key's more strongly. The driver's and the ring's own resistance damp the ring (loaded Q 5 to 20 as a rule) more than a
/// key's coil is damped (10 to 40: simulated circuits; common practice, no source), so of two comparable neighbours the
/// more damped one is the ring.
pub(super) fn ring_first(ring: &mut RingDownFit) {
    let Some(second) = ring.second.as_mut() else {
        return;
    };
    let first = &mut ring.mode;
    // Energy of a decaying oscillation: A² τ / 4.
    let energy = |amplitude: f64, tau: f64| amplitude * amplitude * tau;
    let ratio = energy(second.amplitude, second.time_constant_s())
        / energy(first.amplitude, first.time_constant_s());
    let apart = (second.resonance_hz.value / first.resonance_hz.value)
        .ln()
        .abs();
    let ring_is_second = ratio > COMPARABLE
        && apart < NEIGHBOURS
        && second.q.value > LEAST_RING_Q
        && second.q.value < first.q.value;
    if ring_is_second {
        ring.snr_db += 20.0 * (second.amplitude / first.amplitude).log10();
        ring.goodness.misfit /= ratio.sqrt();
        std::mem::swap(first, second);
    }
}
