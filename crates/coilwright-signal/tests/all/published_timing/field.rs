//! Gaps of the reader's field that are made from the numbers of the timing table.

use coilwright_signal::downlink::{Gap, gaps, messages};

use super::{LAST_DIGIT, RATE_HZ, Table, near};

/// An edge between two levels is found this near, in carrier cycles: the field comes back at any phase.
const EDGE_CLOCKS: f64 = 0.5;

/// A carrier with one gap of so many cycles.
fn with_a_gap(clocks: f64) -> Vec<f32> {
    let cycle = RATE_HZ / 125e3;
    let gap = 4_000.0..4_000.0 + clocks * cycle;
    (0..8_000)
        .map(f64::from)
        .map(|n| {
            if gap.contains(&n) {
                0.0
            } else {
                (n / cycle * std::f64::consts::TAU).cos() as f32
            }
        })
        .collect()
}

pub(super) fn gaps_of_all_lengths(table: &Table) {
    for item in [
        "T5557 start gap",
        "T5557 write gap normal",
        "T5557 write gap fast",
    ] {
        let range = table.value(item);
        for (k, &clocks) in range.iter().enumerate() {
            if let Some(us) = table.derived(item).get(k) {
                near(1e6 * clocks / 125e3, *us, LAST_DIGIT);
            }
            let found = gaps(&with_a_gap(clocks), 0, 125e3 / RATE_HZ, 1.0);
            assert_eq!(found.len(), 1, "{item} {clocks}");
            let length = (found[0].end - found[0].start) * 125e3 / RATE_HZ;
            assert!(
                (length - clocks).abs() < EDGE_CLOCKS,
                "{item} {clocks} {length}"
            );
        }
    }
}

/// Falls so many carrier cycles apart, each the start of a gap of `gap` cycles; 8 samples a cycle.
fn falls(intervals: &[f64], gap: f64) -> Vec<Gap> {
    let mut at = 0.0;
    let starts = std::iter::once(0.0).chain(intervals.iter().map(|interval| {
        at += interval;
        at
    }));
    starts
        .map(|start| Gap {
            start: 8.0 * start,
            end: 8.0 * (start + gap),
            level_ratio: 0.1,
        })
        .collect()
}

pub(super) fn pulses(table: &Table) {
    let pulse = "ISO/IEC 18000-2 / ISO 14223 type A downlink modulation pulse";
    for (letter, item) in [
        ("0", "type A downlink data 0 interval"),
        ("1", "type A downlink data 1 interval"),
        ("V", "type A downlink code violation"),
    ] {
        for &interval in &table.value(item) {
            for &gap in &table.value(pulse) {
                let found = messages(&falls(&[interval; 4], gap), 8.0);
                assert_eq!(found[0].text(), letter.repeat(4), "{interval}");
                assert_eq!(found[0].unfit_gap_count, 0, "{gap}");
            }
        }
        // An edge may be off by a cycle, no more: between the symbols and beside the pulses nothing is read.
        let [least, most] = table.value(item)[..] else {
            panic!("two numbers")
        };
        for interval in [least - 1.5, most + 1.5] {
            let found = messages(&falls(&[interval; 4], 7.0), 8.0);
            assert_eq!(found[0].text(), "????", "{interval}");
        }
    }
    let [least, most] = table.value(pulse)[..] else {
        panic!("two numbers")
    };
    for gap in [least - 1.5, most + 1.5] {
        let found = messages(&falls(&[20.0; 4], gap), 8.0);
        assert_eq!(found[0].unfit_gap_count, 5, "{gap}");
    }
    for item in [
        "type A downlink stop",
        "HTMS1x01 EOF falling edge to quiet end",
    ] {
        let stop = table.value(item)[0];
        let apart = |clocks: f64| {
            let intervals = [20.0, 20.0, 28.0, clocks, 20.0, 28.0, 20.0];
            messages(&falls(&intervals, 7.0), 8.0).len()
        };
        assert_eq!((apart(stop), apart(stop - 0.1)), (2, 1), "{item}");
    }
}
