//! What the benchmarks measure on: a second of a pickup coil beside a lock.

use coilwright_signal::code::manchester;
use coilwright_signal::frame::{ReadOnly64, read_only_64};

/// Samples a second.
pub const SAMPLE_RATE_HZ: f64 = 1e6;
/// The carrier, a little off its nominal frequency.
pub const CARRIER_HZ: f64 = 125_003.7;
/// The usual depth of a key's modulation.
pub const DEPTH: f64 = 0.02;

/// `seconds` of a key with some noise, or of the bare carrier at depth 0.
#[must_use]
pub fn capture(seconds: f64, depth: f64, clocks: f64) -> Vec<f32> {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    });
    let levels = manchester::encode(&frame, manchester::Convention::Thomas);
    let mut noise = 1_u32;
    (0..(seconds * SAMPLE_RATE_HZ) as u32)
        .map(|n| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let cycles = CARRIER_HZ * f64::from(n) / SAMPLE_RATE_HZ;
            let level = f64::from(levels[(2.0 * cycles / clocks) as usize % levels.len()]);
            let size = 0.5 * (1.0 + depth * (2.0 * level - 1.0));
            let uniform = f64::from(noise) / f64::from(u32::MAX) - 0.5;
            (size * (std::f64::consts::TAU * cycles).cos() + 0.01 * uniform) as f32
        })
        .collect()
}

/// One second of it.
#[must_use]
pub fn second(depth: f64, clocks: f64) -> Vec<f32> {
    capture(1.0, depth, clocks)
}
