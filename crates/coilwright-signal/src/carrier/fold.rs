/// Returns where `frequency_hz` appears after sampling, 0 to half the sample rate.
///
/// ```
/// use coilwright_signal::carrier::folded_hz;
/// assert_eq!(folded_hz(125_000.0, 192_000.0), 67_000.0);
/// ```
#[must_use]
pub fn folded_hz(frequency_hz: f64, sample_rate_hz: f64) -> f64 {
    (frequency_hz - (frequency_hz / sample_rate_hz).round() * sample_rate_hz).abs()
}

/// A frequency in the air that would appear at a given place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Origin {
    pub true_hz: f64,
    /// Which zone of half a sample rate it lies in, from 1.
    pub zone: u32,
}

/// Every frequency between the two limits that appears at `apparent_hz`, lowest first.
pub(super) fn origins(apparent_hz: f64, sample_rate_hz: f64, limits_hz: (f64, f64)) -> Vec<Origin> {
    let half = sample_rate_hz / 2.0;
    let last = (limits_hz.1 / half).ceil().clamp(1.0, 1e4) as u32;
    (1..=last)
        .map(|zone| {
            let base = f64::from(zone / 2) * sample_rate_hz;
            let true_hz = if zone % 2 == 1 {
                base + apparent_hz
            } else {
                base - apparent_hz
            };
            Origin { true_hz, zone }
        })
        .filter(|origin| origin.true_hz >= limits_hz.0 && origin.true_hz <= limits_hz.1)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_origins_of_a_folded_carrier_are_found_again() {
        for sample_rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0, 1e6] {
            for true_hz in [125_000.0, 134_200.0] {
                let origins = origins(
                    folded_hz(true_hz, sample_rate_hz),
                    sample_rate_hz,
                    (1e5, 1.5e5),
                );
                assert!(
                    origins
                        .iter()
                        .any(|origin| (origin.true_hz - true_hz).abs() < 1e-6)
                );
            }
        }
    }
}
