//! What the demodulator hears in simulated captures, stretch by stretch, without the verdict: a table in Markdown.
//!
//! `cargo run -p coilwright-diagnose --release --example listening -- FAULT [captures] [first seed] [sample rate]`
//!
//! Stretches begin 1 ms after the field comes on. With a sample rate, every capture is recorded at it. A line on
//! standard error names each capture that is called a collision or modulated against the truth.

use std::collections::BTreeMap;
use std::error::Error;

use coilwright_signal::carrier::{Carrier, SignalKind};
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_simulate::{Fault, Scenario, Simulated};

/// The ring has settled and the key woken up this long after the field came on.
const SETTLED_S: f64 = 1e-3;
/// More than this adds nothing.
const LONGEST_S: f64 = 1.0;

/// What was said, over the captures of one row.
#[derive(Default)]
struct Row {
    captures: usize,
    modulated: usize,
    collisions: usize,
    /// Captures in which one, or both, of the payloads sent were read.
    one_read: usize,
    both_read: usize,
    /// Captures with a payload that nobody sent.
    wrong: usize,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let fault = arguments
        .next()
        .and_then(|text| Fault::from_identifier(&text))
        .ok_or("the first argument is a fault, such as key_silent")?;
    let captures: u64 = arguments.next().map_or(Ok(200), |text| text.parse())?;
    let first_seed: u64 = arguments.next().map_or(Ok(1), |text| text.parse())?;
    let rate_hz: Option<f64> = arguments.next().map(|text| text.parse()).transpose()?;
    let mut rows: BTreeMap<String, Row> = BTreeMap::new();
    for seed in first_seed..first_seed + captures {
        let mut scenario = Scenario::random(fault, seed);
        if let Some(rate_hz) = rate_hz {
            scenario.setup.recorder.sample_rate_hz = rate_hz;
        }
        let simulated = scenario.simulate()?;
        let Some(heard) = hear(&scenario, &simulated) else {
            continue;
        };
        let q = simulated.truth.ring.alone.map_or(0.0, |pole| pole.q);
        let rate = format!("{:.0} kS/s", scenario.setup.recorder.sample_rate_hz / 1e3);
        let quality = match q {
            q if q < 10.0 => "Q below 10",
            q if q < 20.0 => "Q 10 to 20",
            _ => "Q 20 and more",
        };
        for name in [rate, quality.to_owned(), "all".to_owned()] {
            add(rows.entry(name).or_default(), &heard, &simulated);
        }
        explain(seed, &scenario, &heard, q);
    }
    println!(
        "{captures} captures of {}, seeds from {first_seed}\n",
        fault.identifier()
    );
    println!(
        "| captures | number | modulated | called a collision | one read | both read | wrong payload |\n|{}",
        "---|".repeat(7)
    );
    for (name, row) in rows {
        println!(
            "| {name} | {} | {} | {} | {} | {} | {} |",
            row.captures, row.modulated, row.collisions, row.one_read, row.both_read, row.wrong
        );
    }
    Ok(())
}

/// What is heard in the longest stretch with the field on.
fn hear(scenario: &Scenario, simulated: &Simulated) -> Option<Listening> {
    let capture = &simulated.capture;
    let recorder = &scenario.setup.recorder;
    let rate_hz = recorder.true_rate_hz();
    let place = |time_s: f64| {
        let samples = (time_s - recorder.start_s).max(0.0) * rate_hz;
        (samples as usize).min(capture.samples.len())
    };
    let stretches = scenario.setup.drive.field_on_s.iter();
    let (start, end) = stretches
        .map(|&(on_s, off_s)| {
            (
                place(on_s + SETTLED_S),
                place((off_s - 1e-4).min(on_s + LONGEST_S)),
            )
        })
        .max_by_key(|(start, end)| end.saturating_sub(*start))?;
    let true_hz = scenario.setup.drive.frequency_hz * recorder.sample_rate_hz / rate_hz;
    let carrier = seen(true_hz, recorder.sample_rate_hz);
    let options = ListenOptions {
        clocks_per_bit: vec![64, 40, 32, 16],
        quantisation_step: recorder.bits.map(|_| recorder.step_volt()),
        ..ListenOptions::default()
    };
    Some(listen(
        capture.samples.get(start..end)?,
        capture.info.kind,
        recorder.sample_rate_hz,
        start as u64,
        &carrier,
        &options,
    ))
}

/// Where a carrier appears at a sample rate.
fn seen(true_hz: f64, rate_hz: f64) -> Carrier {
    let zone = (true_hz / (rate_hz / 2.0)) as u32 + 1;
    if zone == 1 {
        return Carrier::direct(true_hz + 1.0);
    }
    let folded_hz = true_hz.rem_euclid(rate_hz);
    let inverted = zone.is_multiple_of(2);
    Carrier {
        kind: SignalKind::Aliased { zone, inverted },
        apparent_hz: if inverted {
            rate_hz - folded_hz
        } else {
            folded_hz
        },
        true_hz,
    }
}

fn add(row: &mut Row, heard: &Listening, simulated: &Simulated) {
    let sent: Vec<&str> = simulated
        .truth
        .keys
        .iter()
        .filter_map(|key| key.frame.as_ref())
        .map(|frame| frame.payload.as_str())
        .collect();
    let mut read: Vec<&str> = heard
        .keys
        .iter()
        .flat_map(|key| &key.frames)
        .map(|read| read.frame.payload.as_str())
        .collect();
    read.sort_unstable();
    read.dedup();
    let right = sent.iter().filter(|payload| read.contains(payload)).count();
    row.captures += 1;
    row.modulated += usize::from(heard.detection.modulated);
    row.collisions += usize::from(heard.collision.is_some());
    row.one_read += usize::from(right == 1);
    row.both_read += usize::from(right == 2);
    row.wrong += usize::from(read.iter().any(|payload| !sent.contains(payload)));
}

fn explain(seed: u64, scenario: &Scenario, heard: &Listening, q: f64) {
    let answering = scenario.setup.signals.iter().flatten().count();
    let collision = heard.collision.is_some() != (answering > 1);
    let modulated = heard.detection.modulated != (answering > 0);
    if collision || modulated {
        let recorder = &scenario.setup.recorder;
        eprintln!(
            "seed {seed}: {answering} keys, Q {q:.1}, {:.0} kS/s, {:?} bits, {:.3} s: {:?}, {:?}, lines {}, keys {:?}",
            recorder.sample_rate_hz / 1e3,
            recorder.bits,
            heard.span.len() as f64 / recorder.sample_rate_hz,
            heard.detection,
            heard.collision,
            heard.lines.len(),
            heard
                .keys
                .iter()
                .map(|key| (
                    key.clocks_per_bit,
                    key.eb_n0_db,
                    key.depth.value,
                    key.repeats
                ))
                .collect::<Vec<_>>(),
        );
    }
}
