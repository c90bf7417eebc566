//! Runs ngspice in batch mode.
//!
//! Without `ngspice` on the path the tests say so and pass, unless the environment variable `CI` is set.

use std::process::Command;

use coilwright_simulate::circuit::Circuit;
use coilwright_simulate::integrate::Schedule;
use coilwright_simulate::spice;

/// Points closer than this count as one: the edges last 1 ns.
const CLOSEST_S: f64 = 3e-9;

/// Time and pickup voltage as ngspice has them; `None` where it is not installed.
pub(crate) fn pickup(
    circuit: &Circuit,
    schedule: &Schedule,
    end_s: f64,
    step_s: f64,
) -> Option<Vec<(f64, f64)>> {
    let netlist = spice::netlist(circuit, schedule, end_s, step_s).unwrap();
    let control = ".control\nset wr_singlescale\nset numdgt=12\nrun\nwrdata pickup.txt v(pickup)\nquit\n.endc\n.end\n";
    let table = run(&netlist.replace(".end\n", control), "pickup.txt")?;
    let mut points: Vec<(f64, f64)> = table
        .lines()
        .filter_map(|line| {
            let mut numbers = line.split_whitespace().map_while(|word| word.parse().ok());
            Some((numbers.next()?, numbers.next()?))
        })
        .collect();
    // Round the steep edges of its sources the times are too close to interpolate between.
    points.dedup_by(|next, kept| next.0 - kept.0 < CLOSEST_S);
    Some(points)
}

/// The voltage at a moment, by a parabola through the nearest points.
pub(crate) fn interpolated(table: &[(f64, f64)], time_s: f64) -> f64 {
    let after = table
        .partition_point(|point| point.0 < time_s)
        .clamp(1, table.len() - 2);
    let points = &table[after - 1..=after + 1];
    (0..3)
        .map(|this| {
            let weight: f64 = (0..3)
                .filter(|&other| other != this)
                .map(|other| (time_s - points[other].0) / (points[this].0 - points[other].0))
                .product();
            weight * points[this].1
        })
        .sum()
}

/// What a netlist writes to the file `written`; `None` where ngspice is not installed.
pub(crate) fn run(netlist: &str, written: &str) -> Option<String> {
    if Command::new("ngspice").arg("--version").output().is_err() {
        assert!(
            std::env::var_os("CI").is_none(),
            "ngspice is not installed: apt-get install ngspice"
        );
        println!("SKIPPED: ngspice is not installed (apt-get install ngspice)");
        return None;
    }
    let directory = tempfile::tempdir().unwrap();
    std::fs::write(directory.path().join("circuit.cir"), netlist).unwrap();
    let output = Command::new("ngspice")
        .args(["-b", "circuit.cir"])
        .current_dir(directory.path())
        .output()
        .unwrap();
    let table = std::fs::read_to_string(directory.path().join(written));
    Some(table.unwrap_or_else(|error| {
        panic!(
            "{error}\n{}\n{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        )
    }))
}
