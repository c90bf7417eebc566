//! Resonance and Q of the ring beside a key, against the circuit's own pole: a report in Markdown.
//!
//! `cargo run -p coilwright-diagnose --release --example ring_pole -- [captures] [first seed]`
//!
//! Captures with a key in the field only. The truth is the pole in which the ring's capacitor takes part most, with the driver
//! on and the key in place, from the circuit's eigenvalues.

use std::error::Error;

use coilwright_diagnose::{CheckOptions, check};
use coilwright_simulate::{Fault, Scenario};

/// Faults whose captures hold a ring that rings and, mostly, a key.
const FAULTS: [Fault; 5] = [
    Fault::None,
    Fault::KeySilent,
    Fault::KeyWeak,
    Fault::TuningDrifted,
    Fault::MetalNear,
];

/// One ring beside a key, errors as natural logarithms of found over true.
struct Found {
    seed: u64,
    ln_resonance: f64,
    ln_q: f64,
    /// Stated standard deviation of `ln_resonance`.
    stated: f64,
    /// Distance of the other pole of the pair, where one was fitted.
    second: Option<f64>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let captures: u64 = arguments.next().map_or(Ok(400), |text| text.parse())?;
    let first_seed: u64 = arguments
        .next()
        .map_or(Ok(7_200_000), |text| text.parse())?;
    let list = std::env::args().len() > 3;
    let mut found = Vec::new();
    let (mut without_key, mut unmeasured) = (0, 0);
    for index in 0..captures {
        let seed = first_seed + index;
        let scenario = Scenario::random(FAULTS[index as usize % FAULTS.len()], seed);
        if scenario.setup.circuit.keys.is_empty() {
            without_key += 1;
            continue;
        }
        match one(&scenario, seed)? {
            Some(one) => found.push(one),
            None => unmeasured += 1,
        }
    }
    if list {
        for one in found.iter().filter(|one| one.ln_resonance.abs() > 0.004) {
            println!(
                "seed {}: resonance {:+.2} % (stated {:.2} %), Q {:+.0} %, other pole {:+.2} %",
                one.seed,
                100.0 * one.ln_resonance,
                100.0 * one.stated,
                100.0 * one.ln_q,
                100.0 * one.second.unwrap_or(f64::NAN)
            );
        }
    }
    println!(
        "{captures} captures, seeds from {first_seed}: {} rings beside a key measured, {unmeasured} not, {without_key} without a key.\n",
        found.len()
    );
    report(&found);
    Ok(())
}

fn one(scenario: &Scenario, seed: u64) -> Result<Option<Found>, Box<dyn Error>> {
    let simulated = scenario.simulate()?;
    let Some(truth) = simulated.truth.ring.with_keys else {
        return Ok(None);
    };
    let check = check(
        &mut simulated.capture.into_source(),
        &CheckOptions::default(),
    )?;
    let (Some(resonance), Some(q)) = (check.ring.resonance_hz, check.ring.q) else {
        return Ok(None);
    };
    let ln = |found: f64| (found / truth.resonance_hz).ln();
    Ok(Some(Found {
        seed,
        ln_resonance: ln(resonance.value),
        ln_q: (q.value / truth.q).ln(),
        stated: resonance.std_dev / resonance.value,
        second: check
            .ring
            .turn_on
            .or(check.ring.turn_off)
            .and_then(|pole| pole.second_resonance_hz)
            .map(|second| ln(second.value)),
    }))
}

fn report(found: &[Found]) {
    let sorted = |value: &dyn Fn(&Found) -> f64| {
        let mut values: Vec<f64> = found.iter().map(value).collect();
        values.sort_by(f64::total_cmp);
        values
    };
    let resonance = sorted(&|one| one.ln_resonance.abs());
    let q = sorted(&|one| one.ln_q.abs());
    let at = |values: &[f64], share: f64| {
        let place = (share * values.len() as f64) as usize;
        100.0
            * values
                .get(place.min(values.len().saturating_sub(1)))
                .copied()
                .unwrap_or(f64::NAN)
    };
    println!("| error | median | 90 % | 95 % | largest |\n| --- | --- | --- | --- | --- |");
    for (name, values) in [("resonance", &resonance), ("Q", &q)] {
        println!(
            "| {name} | {:.3} % | {:.2} % | {:.2} % | {:.1} % |",
            at(values, 0.5),
            at(values, 0.9),
            at(values, 0.95),
            at(values, 1.0)
        );
    }
    let share = |holds: &dyn Fn(&Found) -> bool| {
        100.0 * found.iter().filter(|one| holds(one)).count() as f64 / found.len().max(1) as f64
    };
    println!(
        "\n- resonance off by more than 0.5 %: {:.1} %, by more than 1 %: {:.1} %",
        share(&|one| one.ln_resonance.abs() > 0.005),
        share(&|one| one.ln_resonance.abs() > 0.01)
    );
    println!(
        "- off by more than 0.5 % and by more than three stated standard deviations: {:.1} %",
        share(&|one| one.ln_resonance.abs() > (3.0 * one.stated).max(0.005))
    );
    println!(
        "- two poles fitted: {:.1} %; the other one nearer the truth: {:.1} %",
        share(&|one| one.second.is_some()),
        share(&|one| one
            .second
            .is_some_and(|second| second.abs() < one.ln_resonance.abs()))
    );
}
