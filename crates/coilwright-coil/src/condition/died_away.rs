use crate::Estimate;

/// Q below which a decay has no resonance to speak of.
const LEAST_Q: f64 = 1.0;
/// Such a decay is known to a third at best: what is left of the pulse lasts as long.
const LEAST_RELATIVE: f64 = 0.3;

/// Returns what resonance and Q of a decay that dies within a cycle, as [`FitError::NoRingDown`](crate::FitError::NoRingDown) holds them, are worth as
/// evidence: the same values with a third of deviation at least; `None` for a Q of one and less, or numbers that are none.
///
/// ```
/// use coilwright_coil::Estimate;
/// use coilwright_coil::condition::died_away;
/// let [resonance_hz, q] = died_away(Estimate::new(380e3, 500.0), Estimate::new(1.9, 0.02)).unwrap();
/// assert_eq!((resonance_hz.value, q.value), (380e3, 1.9));
/// assert!((q.std_dev - 0.57).abs() < 1e-12);
/// ```
#[must_use]
pub fn died_away(resonance_hz: Estimate, q: Estimate) -> Option<[Estimate; 2]> {
    let rough = |estimate: Estimate| {
        let least = LEAST_RELATIVE * estimate.value;
        let std_dev = estimate.std_dev.max(least).min(estimate.value);
        (estimate.value > 0.0).then(|| Estimate::new(estimate.value, std_dev))
    };
    if q.value > LEAST_Q {
        Some([rough(resonance_hz)?, rough(q)?])
    } else {
        None
    }
}
