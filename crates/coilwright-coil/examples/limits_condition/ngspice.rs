//! ngspice in batch mode on a coil's circuit, between the nodes `c` and `0`.

use crate::bench::{Grid, SAMPLE_RATE_HZ, SAMPLES};
use num_complex::Complex64;
use std::process::Command;

/// Longest step of the integration: the trapezoidal rule's frequency is off by (ωh)²/12, 3e-5 here.
const STEP_S: f64 = 25e-9;
/// Samples that are left out after the capacitor is connected: the low-pass before the recorder settles.
const LATE: usize = 4;

/// Whether ngspice is on the path.
pub(crate) fn is_installed() -> bool {
    Command::new("ngspice").arg("--version").output().is_ok()
}

/// Current of the ring, sampled behind a low-pass of two poles at 480 kHz; the capacitor was charged to 1 V.
pub(crate) fn ring_down(coil: &str, capacitance_farad: f64, driver_ohm: f64) -> Vec<f64> {
    let step_s = SAMPLE_RATE_HZ.recip();
    let end_s = (SAMPLES + LATE) as f64 * step_s;
    let deck = format!(
        "{coil}Ctune a 0 {capacitance_farad:.12e} ic=1\nRdriver a b {:.9e}\nVsense b c 0\n\
         Hsense x 0 Vsense 1\nRlow1 x y 1k\nClow1 y 0 330p\nElow z 0 y 0 1\nRlow2 z w 1k\nClow2 w 0 330p\n",
        driver_ohm.max(1e-3)
    );
    let control = format!(
        "option reltol=1e-5\ntran {step_s:e} {end_s:e} 0 {STEP_S:e} uic\nlinearize v(w)\nwrdata out.txt v(w)"
    );
    let rows = run(&deck, &control, "out.txt");
    let current = rows.iter().map(|row| row[1]).skip(LATE);
    current.take(SAMPLES).collect()
}

/// Impedances at the instrument's frequencies, its clips beside the coil.
pub(crate) fn impedances(coil: &str, grid: &Grid) -> Vec<Complex64> {
    let Grid {
        low_hz,
        high_hz,
        count,
        clips_farad,
    } = grid;
    let deck = format!("{coil}Cclips c 0 {clips_farad:e}\nImeter 0 c dc 0 ac 1\n");
    let control = format!("ac lin {count} {low_hz:e} {high_hz:e}\nwrdata out.txt v(c)");
    let rows = run(&deck, &control, "out.txt");
    rows.iter().map(|r| Complex64::new(r[1], r[2])).collect()
}

/// Resistance to a current that hardly changes.
pub(crate) fn direct_ohm(coil: &str) -> f64 {
    let deck = format!("{coil}Imeter 0 c dc 0 ac 1\n");
    let rows = run(&deck, "ac lin 1 1m 1m\nwrdata out.txt v(c)", "out.txt");
    rows[0][1]
}

/// Rows of numbers that the commands write.
fn run(deck: &str, control: &str, written: &str) -> Vec<Vec<f64>> {
    let directory = tempfile::tempdir().expect("a directory");
    let netlist = format!(
        "a coil on the bench\n{deck}.control\nset wr_singlescale\nset numdgt=12\n{control}\nquit\n.endc\n.end\n"
    );
    std::fs::write(directory.path().join("coil.cir"), netlist).expect("a netlist");
    let output = Command::new("ngspice")
        .args(["-b", "coil.cir"])
        .current_dir(directory.path())
        .output()
        .expect("ngspice");
    let said = String::from_utf8_lossy(&output.stderr);
    let table = std::fs::read_to_string(directory.path().join(written));
    let table = table.map_err(|error| format!("{error}: {said}\n{deck}"));
    let table = table.expect("what ngspice writes");
    let numbers = |line: &str| {
        line.split_whitespace()
            .map_while(|w| w.parse().ok())
            .collect()
    };
    table.lines().map(numbers).collect()
}
