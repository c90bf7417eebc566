//! What the number of edges, the sample rate and the length of the record change.

use crate::case::{Case, Kind};
use crate::cell::run;

pub(crate) fn several_edges(trials: usize, seed: u64) {
    println!("\n## Several edges jointly\n\nQ 20, 20 dB; the bound is that of one edge over √K.\n");
    println!(
        "| edges | turn-off f0 / Q | turn-on f0 / Q | bound of Q (turn-off) |\n|---|---|---|---|"
    );
    for records in [1, 4, 16] {
        let cell = |kind| {
            run(
                &Case {
                    records,
                    ..Case::new(kind, 20.0, 20.0)
                },
                trials / 4,
                seed ^ records as u64,
            )
        };
        let (off, on) = (cell(Kind::TurnOff), cell(Kind::TurnOn));
        println!(
            "| {records} | {:.2} / {:.2} | {:.2} / {:.2} | {:.2} % |",
            off.resonance,
            off.q,
            on.resonance,
            on.q,
            100.0 * off.bound_q / 20.0
        );
    }
}

pub(crate) fn rates(trials: usize, seed: u64) {
    println!(
        "\n## Sample rates\n\nFree decay, 40 dB, 5 τ; f0 / Q. At 192 and 96 kS/s the ring is seen at its alias.\n"
    );
    println!("| rate | Q 5 | Q 10 | Q 30 | Q 100 |\n|---|---|---|---|---|");
    for sample_rate_hz in [96e3, 192e3, 384e3, 500e3, 2e6, 10e6] {
        let cells: Vec<String> = [5.0, 10.0, 30.0, 100.0]
            .iter()
            .map(|&q| {
                let case = Case {
                    sample_rate_hz,
                    ..Case::new(Kind::RingDown, q, 40.0)
                };
                let cell = run(&case, trials / 4, seed ^ sample_rate_hz as u64);
                format!("{:.2} / {:.2}", cell.resonance, cell.q)
            })
            .collect();
        println!("| {} kS/s | {} |", sample_rate_hz / 1e3, cells.join(" | "));
    }
}

pub(crate) fn lengths(trials: usize, seed: u64) {
    println!(
        "\n## Length of the record\n\nFree decay, Q 30, 40 dB; f0 / Q over the bound of that length, and that bound.\n"
    );
    println!("| length | f0 / Q | bound of f0, Hz | bound of Q, % |\n|---|---|---|---|");
    for length_tau in [0.5, 1.0, 2.0, 3.0, 5.0, 8.0, 20.0] {
        let case = Case {
            length_tau,
            ..Case::new(Kind::RingDown, 30.0, 40.0)
        };
        let cell = run(&case, trials / 4, seed ^ (10.0 * length_tau) as u64);
        println!(
            "| {length_tau} τ | {:.2} / {:.2} | {:.1} | {:.2} |",
            cell.resonance,
            cell.q,
            cell.bound_hz,
            100.0 * cell.bound_q / 30.0
        );
    }
}
