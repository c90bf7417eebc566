//! Bit lengths, telegrams, tones and gaps against `testdata/published/signal/protocol_timing.csv`: each signal is made from the numbers
//! of its row, and the product must read it. For rows without a check it is said why.

mod field;
mod keys;

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::published_frames::path;

const RATE_HZ: f64 = 1e6;
/// The last digit of what the table derives.
const LAST_DIGIT: f64 = 1e-5;

/// Rows whose numbers a check takes.
type Check = (fn(&Table), &'static [&'static str]);

const CHECKED: [Check; 7] = [
    (
        keys::fdx_b,
        &[
            "FDX-B carrier",
            "FDX-B bit period",
            "FDX-B telegram",
            "FDX-B response bands",
        ],
    ),
    (
        keys::hdx,
        &[
            "HDX 0 frequency",
            "HDX 1 frequency",
            "HDX 1 frequency (older parts)",
            "HDX telegram",
            "HDX packet incl. overhead",
            "ISO/IEC 18000-2 type B carrier",
        ],
    ),
    (keys::read_only, &["EM4100 bit period", "EM4100 frame"]),
    (
        keys::annex_a,
        &[
            "ISO 11785 Annex A bit",
            "ISO 11785 Annex A ZERO",
            "ISO 11785 Annex A ONE",
        ],
    ),
    (
        keys::type_a,
        &["ISO/IEC 18000-2 type A carrier", "type A uplink"],
    ),
    (
        field::gaps_of_all_lengths,
        &[
            "T5557 start gap",
            "T5557 write gap normal",
            "T5557 write gap fast",
        ],
    ),
    (
        field::pulses,
        &[
            "ISO/IEC 18000-2 / ISO 14223 type A downlink modulation pulse",
            "type A downlink data 0 interval",
            "type A downlink data 1 interval",
            "type A downlink code violation",
            "type A downlink stop",
            "HTMS1x01 EOF falling edge to quiet end",
        ],
    ),
];

/// Rows that the product has no use for, and why.
const OUTSIDE: [(&str, &[&str]); 3] = [
    (
        "how long a reader charges is its own choice: a reply is looked for after any field that goes off",
        &["HDX charge"],
    ),
    (
        "when a reader may speak, and what its silence sets back in a chip, is between the two: the product only listens",
        &[
            "HTMS1x01 settling",
            "HTMS1x01 switch window",
            "HTMS1x01 TFp2 min",
            "HTMS1x01 field off to leave mode",
        ],
    ),
    (
        "how the memory of one chip is written: its gaps are listed, what their distances say is not read",
        &[
            "T5557 data 0 normal",
            "T5557 data 1 normal",
            "T5557 data 0 fast",
            "T5557 data 1 fast",
            "T5557 exit write mode",
        ],
    ),
];

#[test]
fn every_row_of_the_timing_table_is_checked_or_outside() {
    let table = Table::read();
    let mut known = BTreeSet::new();
    for (check, items) in CHECKED {
        check(&table);
        assert_eq!(
            table.used.take(),
            items.iter().copied().map(str::to_owned).collect()
        );
        known.extend(items);
    }
    known.extend(OUTSIDE.iter().flat_map(|(_, items)| *items));
    let rows: BTreeSet<&str> = table.rows.iter().map(|[item, ..]| item.as_str()).collect();
    assert_eq!(rows.len(), table.rows.len());
    assert_eq!(rows, known);
}

/// The rows as they stand, and those that were asked for.
struct Table {
    rows: Vec<[String; 5]>,
    used: RefCell<BTreeSet<String>>,
}

impl Table {
    fn read() -> Self {
        let text = std::fs::read_to_string(path("protocol_timing.csv")).unwrap();
        let mut lines = text.lines();
        assert_eq!(lines.next(), Some("item,value,unit,derived,provenance"));
        let row = |line: &str| {
            let cells: Vec<String> = line.split(',').map(str::to_owned).collect();
            <[String; 5]>::try_from(cells).unwrap()
        };
        Self {
            rows: lines.map(row).collect(),
            used: RefCell::default(),
        }
    }

    fn row(&self, item: &str) -> &[String; 5] {
        self.used.borrow_mut().insert(item.to_owned());
        self.rows.iter().find(|[name, ..]| name == item).unwrap()
    }

    /// The numbers in the value of a row.
    fn value(&self, item: &str) -> Vec<f64> {
        numbers(&self.row(item)[1])
    }

    /// The numbers in what follows from it.
    fn derived(&self, item: &str) -> Vec<f64> {
        numbers(&self.row(item)[3])
    }

    fn khz(&self, item: &str) -> f64 {
        assert_eq!(self.row(item)[2], "kHz", "{item}");
        1e3 * self.value(item)[0]
    }
}

fn numbers(text: &str) -> Vec<f64> {
    text.split(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .filter_map(|word| word.parse().ok())
        .collect()
}

fn near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found / expected - 1.0).abs() < relative,
        "{found} {expected}"
    );
}
