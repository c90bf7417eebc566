//! How near the radio comes to its bounds: a Monte Carlo report in Markdown on standard output.
//!
//! ```text
//! cargo run --release -p coilwright-signal --example limits_signal -- [SEED] [SHARE] [SECTION]
//! ```
//!
//! `SEED` is 1 unless given; `SHARE` scales the number of trials (0.1 for a quick look). `SECTION` prints one section
//! alone: `carrier`, `bits`, `ring`, `subcarrier`, `class`, `half-duplex`, `detection`, `frames`, `repeats` or
//! `fold`. A fourth argument after `class` or `subcarrier` is a part of the names of the classes or keys to run, such as `FSK`,
//! `manchester` or `RF/2 at`.

mod bits;
mod carrier;
mod class;
mod detection;
mod frames;
mod half_duplex;
#[path = "../../tests/all/half_duplex_signal.rs"]
mod half_duplex_signal;
#[path = "../../tests/all/recorder.rs"]
mod recorder;
mod repeats;
mod ring;
mod subcarrier;
#[path = "../../tests/all/subcarrier_signal.rs"]
mod subcarrier_signal;
#[path = "../../tests/all/synthetic.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod synthetic;

/// What a run is made with.
#[derive(Clone, Copy)]
struct Run {
    seed: u64,
    share: f64,
}

impl Run {
    fn trials(self, full: usize) -> usize {
        ((full as f64 * self.share) as usize).max(2)
    }
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let seed = arguments
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1);
    let share = arguments
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(1.0);
    let run = Run { seed, share };
    println!("# Limits of the radio\n");
    println!(
        "Monte Carlo of {}, seed {seed}, {share} of the full number of trials, made by\n",
        today()
    );
    println!(
        "    cargo run --release -p coilwright-signal --example limits_signal -- {seed} {share}\n"
    );
    let section = arguments.next();
    let sections: [Section; 10] = [
        ("carrier", carrier::report),
        ("bits", bits::report),
        ("ring", ring::report),
        ("subcarrier", subcarrier::report_bits),
        ("class", class::report),
        ("half-duplex", half_duplex::report),
        ("detection", detection::report),
        ("frames", frames::report),
        ("repeats", repeats::report_rates),
        ("fold", repeats::report_folding),
    ];
    for (name, report) in sections {
        if section.as_ref().is_none_or(|section| section == name) {
            report(run);
        }
    }
}

/// The name of a section and what prints it.
type Section = (&'static str, fn(Run));

/// Today's date as year-month-day, in UTC.
fn today() -> String {
    let since_epoch = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .unwrap_or_default();
    let mut days = since_epoch.as_secs() / 86_400;
    let mut year = 1970;
    let length = |year: u64| {
        if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) {
            366
        } else {
            365
        }
    };
    while days >= length(year) {
        days -= length(year);
        year += 1;
    }
    let february = length(year) - 337;
    let mut month = 1;
    for days_in_month in [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] {
        if days < days_in_month {
            break;
        }
        days -= days_in_month;
        month += 1;
    }
    format!("{year}-{month:02}-{:02}", days + 1)
}
