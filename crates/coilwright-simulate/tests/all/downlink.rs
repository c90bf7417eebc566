//! The reader's gaps as a pickup coil sees them behind a ring.

use coilwright_signal::downlink::{gaps, messages};
use coilwright_simulate::circuit::State;
use coilwright_simulate::integrate::{GatePhase, simulate};

use crate::circuits;

const CLOCK_S: f64 = 8e-6;
const GAP_CLOCKS: f64 = 8.0;
/// Field before and after a message.
const IDLE_CLOCKS: f64 = 400.0;
/// By how much a distance of two falls may be off, in carrier cycles: a quarter of the half width of a symbol.
const TOLERANCE_CLOCKS: f64 = 0.5;

/// When the field is on for a message with falls so many carrier cycles apart.
fn field_on_s(intervals: &[f64]) -> Vec<(f64, f64)> {
    let mut bursts = vec![(0.0, IDLE_CLOCKS)];
    for interval in intervals.iter().chain(&[IDLE_CLOCKS]) {
        let fall = bursts[bursts.len() - 1].1;
        bursts.push((fall + GAP_CLOCKS, fall + interval));
    }
    bursts
        .into_iter()
        .map(|(on, off)| (on * CLOCK_S, off * CLOCK_S))
        .collect()
}

/// Intervals of ISO/IEC 18000-2 type A (from memory): 0, 1 and a violation.
fn interval(symbol: char) -> f64 {
    match symbol {
        '0' => 20.0,
        '1' => 28.0,
        _ => 36.0,
    }
}

#[test]
fn pulse_intervals_are_read_behind_a_ring() {
    let sent = "V0110010110001101";
    let intervals: Vec<f64> = sent.chars().map(interval).collect();
    for gate_phase in [GatePhase::FreeRunning, GatePhase::Restarted] {
        for rate_hz in [500e3, 1e6, 2.1e6] {
            let mut schedule = circuits::square(field_on_s(&intervals));
            schedule.drive.gate_phase = gate_phase;
            let seconds = schedule.drive.field_on_s.last().unwrap().1;
            let length = (seconds * rate_hz) as usize;
            let circuit = circuits::with_key();
            let trace = simulate(&circuit, &schedule, rate_hz, length, State::PickupVoltage);
            let samples: Vec<f32> = trace.unwrap().samples.iter().map(|&v| v as f32).collect();
            let top = samples.iter().fold(0.0_f32, |top, v| v.abs().max(top));
            let cycle = CLOCK_S * rate_hz;
            let found = gaps(&samples, 1000, cycle.recip(), top);
            assert_eq!(found.len(), sent.len() + 1);
            let read = messages(&found, cycle);
            assert_eq!(read.len(), 1);
            assert_eq!(read[0].text(), sent, "{gate_phase:?} {rate_hz}");
            assert!(read[0].fits);
            assert_eq!((read[0].unfit_count, read[0].unfit_gap_count), (0, 0));
            let begin = 1000.0 + IDLE_CLOCKS * cycle;
            let late = (read[0].span.start as f64 - begin) / cycle;
            assert!((0.0..5.0).contains(&late), "{late}");
            for (found, sent) in read[0].intervals.iter().zip(&intervals) {
                assert!((found.clocks - sent).abs() < TOLERANCE_CLOCKS, "{found:?}");
            }
        }
    }
}

#[test]
fn a_key_that_switches_its_load_makes_no_gaps() {
    let answer = crate::published_answers::first_read_only();
    let samples = answer.simulated();
    let top = samples.iter().fold(0.0_f32, |top, v| v.abs().max(top));
    assert!(gaps(&samples, 0, 0.125, top).is_empty());
}
