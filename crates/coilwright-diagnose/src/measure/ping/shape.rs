//! Which places of an envelope are pings: an abrupt start from quiet, then nothing but decay.

/// A block is a start when it stands this many times over the block two before it, and over the quiet level.
const ABRUPT: f32 = 3.0;
/// A ping's peak over the quiet level. Peak-to-peak of noise in one block never reaches twice its usual value.
const CLEAR: f32 = 4.0;
/// Share of the loudest block under which nothing is looked at, so that a noiseless file does not ping with its rounding.
const FAINTEST: f32 = 0.02;
/// Part of the blocks that is quieter than the quiet level: even a scope file that is full of ringing ends quiet.
const QUIET_QUANTILE: usize = 5;
/// Blocks from the start to the peak at most.
const RISE_BLOCKS: usize = 3;
/// Time to fall to half, at most, in seconds: a ring of Q 85 at 60 kHz.
const LONGEST_HALF_LIFE_S: f64 = 300e-6;
/// Share that a ping has at most left after twice the time in which it fell to half: a quarter, were it noiseless and one
/// mode; ring and key together beat.
const LEFT_AFTER_TWO: f32 = 0.5;

/// A ping in an envelope, in blocks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// The block that first stands out.
    pub start: usize,
    /// The loudest block.
    pub peak: usize,
    /// Blocks from the peak to half of it.
    pub half_life: usize,
}

/// The quiet level of an envelope.
pub(super) fn quiet_level(envelope: &[f32]) -> f32 {
    let mut sorted = envelope.to_vec();
    let place = sorted.len() / QUIET_QUANTILE;
    if sorted.is_empty() {
        return 0.0;
    }
    *sorted.select_nth_unstable_by(place, f32::total_cmp).1
}

/// Whether no level of an envelope is so far above another that a ping could begin.
pub(super) fn is_steady(envelope: &[f32]) -> bool {
    let loudest = envelope.iter().copied().fold(0.0, f32::max);
    let quietest = envelope.iter().copied().fold(f32::INFINITY, f32::min);
    loudest < ABRUPT * quietest
}

/// All pings of an envelope whose blocks last `block_s` seconds. `opens` says that nothing came before its first block.
pub(super) fn pings(envelope: &[f32], block_s: f64, opens: Opening) -> Vec<Shape> {
    let loudest = envelope.iter().copied().fold(0.0, f32::max);
    let quiet = quiet_level(envelope);
    let least = (CLEAR * quiet).max(FAINTEST * loudest);
    let longest = ((LONGEST_HALF_LIFE_S / block_s).ceil() as usize).max(2);
    let mut found: Vec<Shape> = Vec::new();
    let mut index = 0;
    while index < envelope.len() {
        match ping_at(envelope, index, least, opens).filter(|shape| shape.half_life <= longest) {
            Some(shape) => {
                found.push(shape);
                index = shape.peak + shape.half_life.max(1);
            }
            None => index += 1,
        }
    }
    found
}

/// Whether anything came before the first block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Opening {
    /// The capture begins here, maybe amid a ping.
    Capture,
    /// Blocks before this were looked at already.
    Later,
}

fn ping_at(envelope: &[f32], start: usize, least: f32, opens: Opening) -> Option<Shape> {
    let level = envelope[start];
    if level < least {
        return None;
    }
    let before = match (start, opens) {
        (0, Opening::Capture) => 0.0,
        (0 | 1, _) => return None,
        _ => envelope[start - 2],
    };
    let falls = start > 0 && level < envelope[start - 1];
    if falls || level < ABRUPT * before {
        return None;
    }
    let rise = &envelope[start..envelope.len().min(start + RISE_BLOCKS + 1)];
    let peak = start
        + rise
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .map_or(0, |(offset, _)| offset);
    let top = envelope[peak];
    let half_life = envelope[peak..]
        .iter()
        .position(|&level| level < 0.5 * top)?;
    let later = peak + 2 * half_life;
    // A record that ends before is judged by what it holds.
    let decays = envelope
        .get(later)
        .is_none_or(|&left| left < LEFT_AFTER_TWO * top);
    (decays && top >= least).then_some(Shape {
        start,
        peak,
        half_life,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quiet_then(levels: &[f32]) -> Vec<f32> {
        let mut envelope = vec![0.01; 40];
        envelope.extend_from_slice(levels);
        envelope.resize(120, 0.01);
        envelope
    }

    #[test]
    fn a_decay_from_quiet_is_a_ping() {
        let found = pings(
            &quiet_then(&[0.6, 1.0, 0.7, 0.45, 0.3, 0.2, 0.13, 0.08]),
            16e-6,
            Opening::Later,
        );
        assert_eq!(
            found,
            vec![Shape {
                start: 40,
                peak: 41,
                half_life: 2
            }]
        );
    }

    #[test]
    fn a_burst_that_stays_is_none_and_its_end_is_none() {
        let found = pings(&quiet_then(&[1.0; 50]), 16e-6, Opening::Later);
        assert_eq!(found, vec![]);
    }

    #[test]
    fn a_capture_may_open_amid_a_ping() {
        let envelope: Vec<f32> = (0..60).map(|n| 0.8_f32.powi(n).max(0.01)).collect();
        let first = Shape {
            start: 0,
            peak: 0,
            half_life: 4,
        };
        assert_eq!(pings(&envelope, 16e-6, Opening::Capture), vec![first]);
        assert_eq!(pings(&envelope, 16e-6, Opening::Later), vec![]);
    }
}
