//! Draws random scenarios and prints one line about each: `cargo run --release --example survey -- FAULT COUNT`.
#![expect(clippy::print_stdout, reason = "it is a command")]

use std::time::Instant;

use coilwright_simulate::{Fault, Scenario, SimulateError};

fn main() -> Result<(), SimulateError> {
    let mut arguments = std::env::args().skip(1);
    let wanted = arguments.next().unwrap_or_else(|| "all".to_owned());
    let count = arguments
        .next()
        .and_then(|text| text.parse().ok())
        .unwrap_or(3);
    for fault in Fault::ALL
        .into_iter()
        .filter(|fault| wanted == "all" || fault.identifier() == wanted)
    {
        for seed in 0..count {
            let begin = Instant::now();
            let scenario = Scenario::random(fault, seed);
            let drawn = begin.elapsed();
            let simulated = scenario.simulate()?;
            let truth = &simulated.truth;
            let peak = simulated
                .capture
                .samples
                .iter()
                .fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
            let pole = truth
                .ring
                .alone
                .map_or((0.0, 0.0), |pole| (pole.resonance_hz, pole.q));
            let depths: Vec<String> = truth
                .keys
                .iter()
                .map(|key| {
                    format!(
                        "{:.2}%{}",
                        100.0 * key.depth.total,
                        if key.frame.is_some() { "" } else { " mute" }
                    )
                })
                .collect();
            println!(
                "{:18} {seed:4} carrier {:.0} {:.3} V  f0 {:.0} Q {:.1}  snr {:5.1} bits {:?} rate {:.0}k len {:.2} bursts {} peak {peak:.3} depth {} ref {} draw {:.0?} all {:.0?}",
                fault.identifier(),
                truth.carrier_hz,
                truth.carrier_volt,
                pole.0,
                pole.1,
                truth.recorder.snr_db.unwrap_or(f64::NAN),
                truth.recorder.bits,
                truth.recorder.sample_rate_hz / 1e3,
                scenario.setup.recorder.length_s,
                scenario.setup.drive.field_on_s.len(),
                depths.join(","),
                simulated.reference.is_some(),
                drawn,
                begin.elapsed()
            );
        }
    }
    Ok(())
}
