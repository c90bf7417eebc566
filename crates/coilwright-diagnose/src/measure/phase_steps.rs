//! Where the phase of the carrier steps within a stretch: the recorder lost samples, and with them the bit clock.

use std::f64::consts::{PI, TAU};
use std::ops::Range;

/// A key swings the phase by at most 0.17 rad; a lost sample moves that of 125 kHz at 1 MS/s by 0.79 rad.
const STEP_RAD: f64 = 0.35;
/// Steps must stand out of the noise of the phase by so many standard deviations.
const ABOVE_NOISE: f64 = 4.5;
/// Median of the absolute value over the standard deviation, for a normal distribution.
const MEDIAN_OF_NORMAL: f64 = 0.6745;
/// Readings on each side of a step that are compared, and that are left out round it.
const BESIDE: usize = 2;
/// Shorter parts are not worth demodulating, in level readings: about 10 ms.
const SHORTEST: usize = 20;

/// The parts of a stretch between steps of the carrier's phase.
///
/// `phases` holds one phase for each `hop` samples, none where there is no carrier; `advance` is the carrier's cycles in a hop.
pub(super) fn without_steps(
    stretch: Range<usize>,
    phases: &[f32],
    hop: usize,
    advance: f64,
) -> Vec<Range<usize>> {
    let (first, last) = (stretch.start / hop, stretch.end / hop);
    let found = phases
        .get(first..last)
        .map_or_else(Vec::new, |phases| steps(phases, advance));
    if found.is_empty() {
        return vec![stretch];
    }
    let begins = std::iter::once(first).chain(found.iter().map(|step| first + step + BESIDE));
    let ends = found.iter().map(|step| first + step - BESIDE);
    begins
        .zip(ends.chain([last]))
        .filter(|&(begin, end)| end >= begin + SHORTEST)
        .map(|(begin, end)| begin * hop..end * hop)
        .collect()
}

/// The readings from which a new phase holds.
fn steps(phases: &[f32], advance: f64) -> Vec<usize> {
    let turned = |a: f64| (a + PI).rem_euclid(TAU) - PI;
    let advance = TAU * advance.fract();
    let turns: Vec<f64> = phases
        .windows(2)
        .map(|pair| turned(f64::from(pair[1]) - f64::from(pair[0]) - advance))
        .collect();
    if turns.len() < 2 * BESIDE {
        return Vec::new();
    }
    let drift = median(turns.clone());
    let mut level = 0.0;
    let levels: Vec<f64> = std::iter::once(0.0)
        .chain(turns.iter().map(|turn| {
            level += turned(turn - drift);
            level
        }))
        .collect();
    // Change k compares the readings from k on with those before k + BESIDE.
    let changes: Vec<f64> = levels
        .windows(2 * BESIDE)
        .map(|window| {
            let (before, after) = window.split_at(BESIDE);
            ((after.iter().sum::<f64>() - before.iter().sum::<f64>()) / BESIDE as f64).abs()
        })
        .collect();
    let noise = median(changes.clone()) / MEDIAN_OF_NORMAL;
    let limit = f64::max(STEP_RAD, ABOVE_NOISE * noise);
    let is_peak = |at: usize| {
        let near = at.saturating_sub(BESIDE)..(at + BESIDE + 1).min(changes.len());
        changes[at] > limit && near.into_iter().all(|other| changes[other] <= changes[at])
    };
    let mut found: Vec<usize> = Vec::new();
    for at in (0..changes.len()).filter(|&at| is_peak(at)) {
        if found
            .last()
            .is_none_or(|last| at + BESIDE > last + 2 * BESIDE)
        {
            found.push(at + BESIDE);
        }
    }
    found
}

fn median(mut values: Vec<f64>) -> f64 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Phases with a drift of 0.02 rad a reading, a ripple of ±0.08, and a step.
    fn phases(step_at: usize, step: f64) -> Vec<f32> {
        (0..200)
            .map(|k| {
                let ripple = if k % 3 == 0 { 0.08 } else { -0.08 };
                let stepped = if k >= step_at { step } else { 0.0 };
                let phase = TAU * 0.3 * k as f64 + 0.02 * k as f64 + ripple + stepped;
                ((phase + PI).rem_euclid(TAU) - PI) as f32
            })
            .collect()
    }

    #[test]
    fn a_stretch_is_parted_where_the_phase_steps() {
        for step in [0.8, -2.0, 3.0] {
            let parts = without_steps(0..200 * 512, &phases(90, step), 512, 0.3);
            assert_eq!(parts.len(), 2, "{step}");
            assert!((86..=90).contains(&(parts[0].end / 512)), "{parts:?}");
            assert!((90..=94).contains(&(parts[1].start / 512)), "{parts:?}");
        }
    }

    #[test]
    fn drift_and_ripple_part_nothing() {
        let whole = 0..200 * 512;
        let parts = without_steps(whole.clone(), &phases(500, 0.0), 512, 0.3);
        assert_eq!(parts, std::slice::from_ref(&whole));
    }

    #[test]
    fn without_phases_nothing_is_parted() {
        let whole = 0..51_200;
        let parts = without_steps(whole.clone(), &[], 512, 0.3);
        assert_eq!(parts, std::slice::from_ref(&whole));
    }
}
