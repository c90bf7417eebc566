//! Verdicts on simulated captures against the truth: a confusion table in Markdown.
//!
//! `cargo run -p coilwright-diagnose --release --example accuracy -- [captures] [first seed]`
//!
//! With a third argument, the identifier of a fault, only that fault is drawn and each wrong verdict is listed with its
//! findings.

use std::collections::BTreeMap;
use std::error::Error;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

use coilwright_diagnose::{Check, CheckOptions, Fault as Verdict, Measurement};
use coilwright_signal::capture::Capture;
use coilwright_simulate::{Fault, Scenario};

/// A verdict at least this probable counts as confident.
const CONFIDENT: f64 = 0.9;

struct Outcome {
    truth: Fault,
    seed: u64,
    against: bool,
    check: Check,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let captures: u64 = arguments.next().map_or(Ok(750), |text| text.parse())?;
    let first_seed: u64 = arguments
        .next()
        .map_or(Ok(20_261_125), |text| text.parse())?;
    let only = arguments
        .next()
        .and_then(|text| Fault::from_identifier(&text));
    let outcomes = run(captures, first_seed, only);
    if only.is_some() {
        explain(&outcomes);
    }
    report(&outcomes, captures, first_seed);
    Ok(())
}

fn run(captures: u64, first_seed: u64, only: Option<Fault>) -> Vec<Outcome> {
    let next = AtomicU64::new(0);
    let outcomes = Mutex::new(Vec::new());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let index = next.fetch_add(1, Ordering::Relaxed);
                    if index >= captures {
                        return;
                    }
                    let truth = only.unwrap_or(Fault::ALL[index as usize % Fault::ALL.len()]);
                    match outcome(truth, first_seed + index) {
                        Ok(outcome) => outcomes
                            .lock()
                            .unwrap_or_else(PoisonError::into_inner)
                            .push(outcome),
                        Err(error) => eprintln!(
                            "{} seed {}: {error}",
                            truth.identifier(),
                            first_seed + index
                        ),
                    }
                }
            });
        }
    });
    let mut outcomes = outcomes
        .into_inner()
        .unwrap_or_else(PoisonError::into_inner);
    outcomes.sort_by_key(|outcome| outcome.seed);
    outcomes
}

fn outcome(truth: Fault, seed: u64) -> Result<Outcome, Box<dyn Error>> {
    let simulated = Scenario::random(truth, seed).simulate()?;
    let good = simulated.reference.map(measure).transpose()?;
    let check = measure(simulated.capture)?.conclude(good.as_ref());
    Ok(Outcome {
        truth,
        seed,
        against: good.is_some(),
        check,
    })
}

fn measure(capture: Capture) -> Result<Measurement, Box<dyn Error>> {
    Ok(Measurement::take(
        &mut capture.into_source(),
        &CheckOptions::default(),
        &mut |_| {},
    )?)
}

/// The verdict that names the truth. Open and not driven share one, since no capture can split them.
fn right(truth: Fault) -> Verdict {
    match truth {
        Fault::None => Verdict::None,
        Fault::RingOpen | Fault::NotDriven => Verdict::NoField,
        Fault::RingShorted => Verdict::RingShorted,
        Fault::TurnsShorted => Verdict::TurnsShorted,
        Fault::MetalNear => Verdict::MetalNear,
        Fault::TuningDrifted => Verdict::TuningDrifted,
        Fault::DriveWeak => Verdict::DriveWeak,
        Fault::JointIntermittent => Verdict::JointIntermittent,
        Fault::CarrierOff => Verdict::CarrierOff,
        Fault::KeySilent => Verdict::KeySilent,
        Fault::KeyWeak => Verdict::KeyWeak,
        Fault::KeysCollide => Verdict::KeysCollide,
        Fault::Interference => Verdict::Interference,
        Fault::CannotTell => Verdict::CannotTell,
    }
}

/// Verdicts that one capture cannot split belong to one group.
fn group(verdict: Verdict) -> Verdict {
    match verdict {
        Verdict::RingShorted => Verdict::NoField,
        Verdict::TurnsShorted => Verdict::MetalNear,
        other => other,
    }
}

fn explain(outcomes: &[Outcome]) {
    for outcome in outcomes {
        let check = &outcome.check;
        if check.verdict.fault == right(outcome.truth) {
            continue;
        }
        println!(
            "\nseed {} {}: {} {:.2}, others {:?}",
            outcome.seed,
            if outcome.against { "(against)" } else { "" },
            check.verdict.fault.id(),
            check.verdict.probability,
            check
                .verdict
                .others
                .iter()
                .map(|other| format!("{} {:.2}", other.fault.id(), other.probability))
                .collect::<Vec<_>>()
        );
        println!(
            "  {} at {} S/s, {:.2} s, {:?}, carrier {:?}, ring {:?} {:?} {:?}",
            check.capture.format,
            check.capture.sample_rate_hz,
            check.capture.duration_s,
            check.signal.kind,
            check.carrier,
            check.ring.resonance_hz,
            check.ring.q,
            check.ring.tail
        );
        for finding in &check.findings {
            println!("  - {:?} {}", finding.weight, finding.text);
        }
    }
}

fn report(outcomes: &[Outcome], captures: u64, first_seed: u64) {
    let total = outcomes.len() as f64;
    let share = |count: usize| 100.0 * count as f64 / total;
    let correct = outcomes
        .iter()
        .filter(|o| o.check.verdict.fault == right(o.truth))
        .count();
    let grouped = outcomes
        .iter()
        .filter(|o| group(o.check.verdict.fault) == group(right(o.truth)))
        .count();
    let confident: Vec<&Outcome> = outcomes
        .iter()
        .filter(|o| o.check.verdict.probability >= CONFIDENT)
        .collect();
    let wrong: Vec<&&Outcome> = confident
        .iter()
        .filter(|o| o.check.verdict.fault != right(o.truth))
        .collect();
    println!("\n{captures} captures, seeds from {first_seed}\n");
    println!("- right: {correct} ({:.1} %)", share(correct));
    println!(
        "- right up to what one capture cannot split (open/shorted ring, shorted turns/metal): {grouped} ({:.1} %)",
        share(grouped)
    );
    println!(
        "- confident (probability 0.9 and more): {} ({:.1} %)",
        confident.len(),
        share(confident.len())
    );
    println!(
        "- confident and wrong: {} ({:.2} %)",
        wrong.len(),
        share(wrong.len())
    );
    for outcome in &wrong {
        println!(
            "  - seed {}: {} called {} at {:.3}",
            outcome.seed,
            outcome.truth.identifier(),
            outcome.check.verdict.fault.id(),
            outcome.check.verdict.probability
        );
    }
    calibration(outcomes);
    confusion(outcomes);
}

fn calibration(outcomes: &[Outcome]) {
    println!(
        "\n| stated probability | captures | mean stated | right |\n| --- | --- | --- | --- |"
    );
    for (low, high) in [
        (0.0, 0.3),
        (0.3, 0.5),
        (0.5, 0.7),
        (0.7, 0.9),
        (0.9, 0.99),
        (0.99, 1.01),
    ] {
        let bin: Vec<&Outcome> = outcomes
            .iter()
            .filter(|o| (low..high).contains(&o.check.verdict.probability))
            .collect();
        if bin.is_empty() {
            continue;
        }
        let count = bin.len() as f64;
        let stated: f64 = bin.iter().map(|o| o.check.verdict.probability).sum::<f64>() / count;
        let right = bin
            .iter()
            .filter(|o| o.check.verdict.fault == right(o.truth))
            .count() as f64
            / count;
        println!(
            "| {low:.2} to {:.2} | {} | {stated:.2} | {right:.2} |",
            high.min(1.0),
            bin.len()
        );
    }
}

fn confusion(outcomes: &[Outcome]) {
    let mut table: BTreeMap<(Fault, Verdict), usize> = BTreeMap::new();
    let mut columns: Vec<Verdict> = Vec::new();
    for outcome in outcomes {
        let verdict = outcome.check.verdict.fault;
        *table.entry((outcome.truth, verdict)).or_default() += 1;
        if !columns.contains(&verdict) {
            columns.push(verdict);
        }
    }
    columns.sort();
    println!("\nRows: truth. Columns: verdict.\n");
    let header: Vec<&str> = columns.iter().map(|verdict| verdict.id()).collect();
    println!("| truth | {} |", header.join(" | "));
    println!("|{}", " --- |".repeat(columns.len() + 1));
    for truth in Fault::ALL {
        let cells: Vec<String> = columns
            .iter()
            .map(|&verdict| {
                table
                    .get(&(truth, verdict))
                    .map_or_else(String::new, ToString::to_string)
            })
            .collect();
        if cells.iter().any(|cell| !cell.is_empty()) {
            println!("| {} | {} |", truth.identifier(), cells.join(" | "));
        }
    }
}
