use std::f64::consts::TAU;

use super::kernel::{UNIT, UnitSums};
use super::result::Hum;

const MAINS_HZ: [f64; 2] = [50.0, 60.0];
const HARMONICS: u32 = 6;
/// Rate of the decimated stream, at most; the sixth harmonic of 60 Hz is 360 Hz.
const STREAM_RATE_HZ: f64 = 4000.0;
/// A segment holds whole cycles of both mains frequencies, so that they and DC do not leak into each other.
const SEGMENT_S: f64 = 0.2;
/// Shortest capture that is looked at: two cycles.
const SHORTEST_S: f64 = 0.04;
/// All of the first segments are looked at, then one of eight.
const FIRST_SEGMENTS: u64 = 8;
const SEGMENT_STRIDE: u64 = 8;

/// Measures mains hum on a stream of block averages.
#[derive(Debug)]
pub(super) struct HumWatch {
    units_per_point: u32,
    rate_hz: f64,
    units: u32,
    sum: f64,
    points: Vec<f64>,
    segment: u64,
    families: [Family; 2],
}

/// Power at one mains frequency with its harmonics, and beside them.
#[derive(Clone, Copy, Debug, Default)]
struct Family {
    segments: u32,
    power: f64,
    floor: f64,
}

impl HumWatch {
    pub(super) fn new(sample_rate_hz: f64) -> Self {
        let unit_rate_hz = sample_rate_hz / UNIT as f64;
        let units_per_point = (unit_rate_hz / STREAM_RATE_HZ).ceil().clamp(1.0, 1e6);
        Self {
            units_per_point: units_per_point as u32,
            rate_hz: unit_rate_hz / units_per_point,
            units: 0,
            sum: 0.0,
            points: Vec::new(),
            segment: 0,
            families: [Family::default(); 2],
        }
    }

    pub(super) fn push(&mut self, units: &[UnitSums]) {
        for unit in units {
            self.sum += f64::from(unit.sum);
            self.units += 1;
            if self.units == self.units_per_point {
                self.points
                    .push(self.sum / f64::from(self.units) / UNIT as f64);
                (self.units, self.sum) = (0, 0.0);
                if self.points.len() as f64 >= SEGMENT_S * self.rate_hz {
                    self.end_segment();
                }
            }
        }
    }

    /// The stronger family; `signal_amplitude` is that of the whole signal.
    pub(super) fn finish(mut self, signal_amplitude: f64) -> Option<Hum> {
        if self.segment == 0 && self.points.len() as f64 >= SHORTEST_S * self.rate_hz {
            self.end_segment();
        }
        let hums = self
            .families
            .iter()
            .zip(MAINS_HZ)
            .filter(|(family, _)| family.segments > 0);
        hums.map(|(family, mains_hz)| {
            let amplitude = (family.power / f64::from(family.segments)).sqrt();
            Hum {
                mains_hz,
                amplitude,
                level_db: 20.0 * (amplitude / signal_amplitude).log10(),
                above_floor_db: 10.0 * (family.power / family.floor).log10(),
            }
        })
        .max_by(|a, b| a.above_floor_db.total_cmp(&b.above_floor_db))
    }

    fn end_segment(&mut self) {
        if self.segment < FIRST_SEGMENTS || self.segment.is_multiple_of(SEGMENT_STRIDE) {
            for (family, mains_hz) in self.families.iter_mut().zip(MAINS_HZ) {
                family.add(&self.points, self.rate_hz, mains_hz);
            }
        }
        self.segment += 1;
        self.points.clear();
    }
}

impl Family {
    fn add(&mut self, points: &[f64], rate_hz: f64, mains_hz: f64) {
        let cycles = (points.len() as f64 / rate_hz * mains_hz + 0.01).floor();
        let count = ((cycles / mains_hz * rate_hz).round() as usize).min(points.len());
        let points = points.get(..count).unwrap_or_default();
        if cycles < 2.0 || points.is_empty() {
            return;
        }
        let mean = points.iter().sum::<f64>() / count as f64;
        let beside_hz = mains_hz / cycles;
        let mut beside = Vec::new();
        for order in 1..=HARMONICS {
            let frequency_hz = f64::from(order) * mains_hz;
            if frequency_hz + beside_hz >= rate_hz / 2.0 {
                continue;
            }
            let powers = powers_at(
                points,
                mean,
                [0.0, -beside_hz, beside_hz].map(|offset_hz| (frequency_hz + offset_hz) / rate_hz),
            );
            self.power += powers[0];
            beside.extend_from_slice(&powers[1..]);
        }
        beside.sort_by(f64::total_cmp);
        let median = beside.get(beside.len() / 2).copied().unwrap_or(0.0);
        self.floor += median * beside.len() as f64 / 2.0;
        self.segments += 1;
    }
}

/// Squares of the amplitudes at three frequencies, by the Goertzel recurrence; three at once, because each step waits
/// for the one before.
fn powers_at(points: &[f64], mean: f64, cycles_per_point: [f64; 3]) -> [f64; 3] {
    let factors = cycles_per_point.map(|cycles| 2.0 * (TAU * cycles).cos());
    let (mut last, mut before) = ([0.0; 3], [0.0; 3]);
    for point in points {
        let point = point - mean;
        for index in 0..3 {
            let next = point + factors[index] * last[index] - before[index];
            before[index] = last[index];
            last[index] = next;
        }
    }
    std::array::from_fn(|index| {
        let (last, before) = (last[index], before[index]);
        let power = last * last + before * before - factors[index] * last * before;
        4.0 * power / (points.len() as f64).powi(2)
    })
}
