//! Writes the captures of the *Sandpiper* call: `cargo run --release -p coilwright-simulate --example sandpiper --
//! FOLDER`.
#![expect(clippy::print_stdout, reason = "it is a command")]

use coilwright_simulate::{SimulateError, demo, write};

fn main() -> Result<(), SimulateError> {
    let folder = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "testdata/sandpiper".to_owned());
    for (name, scenario) in demo::sandpiper() {
        let simulated = scenario.simulate()?;
        let truth = &simulated.truth;
        println!(
            "{name}: carrier {:.4} V, ring {:?}, depth {:?}, SNR {:?} dB",
            truth.carrier_volt,
            truth.ring.alone,
            truth.keys.first().map(|key| key.depth),
            truth.recorder.snr_db
        );
        write(&simulated, &folder, name)?;
    }
    Ok(())
}
