//! The same circuit as a netlist for a SPICE-like simulator, so that a second program can be the witness.

use std::fmt::Write as _;

use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, State, StateSpace};
use crate::integrate::{Schedule, Segment, Waveform};

/// Rise and fall time of the sources: far below every time constant that reaches the pickup.
const RAMP_S: f64 = 1e-9;

/// Returns a transient netlist of the circuit under a schedule, from rest at 0 until `end_s`.
///
/// The pickup's voltage is that of node `pickup`. Square edges and switches are ramps of 1 ns centred on the true
/// moment. `step_s` is the largest time step.
///
/// # Errors
/// When a value of the circuit or the schedule makes no sense.
pub fn netlist(
    circuit: &Circuit,
    schedule: &Schedule,
    end_s: f64,
    step_s: f64,
) -> Result<String, SimulateError> {
    let space = StateSpace::new(circuit, &Configuration::resting(circuit))?;
    let segments = schedule.segments(circuit, end_s)?;
    let mut text = String::from("* coupled coils: driver, ring, keys, loops and pickup\n");
    write_all(&mut text, circuit, schedule, &segments);
    for (index, &first) in space.states.iter().enumerate() {
        for &second in &space.states[index + 1..] {
            let factor = circuit.coupling(first, second);
            if factor != 0.0 {
                let (first, second) = (inductor(first), inductor(second));
                line(
                    &mut text,
                    format_args!("K{first}_{second} L{first} L{second} {factor:e}"),
                );
            }
        }
    }
    line(
        &mut text,
        format_args!(".options reltol=1e-6 abstol=1e-13 vntol=1e-10 chgtol=1e-18 trtol=1"),
    );
    line(
        &mut text,
        format_args!(".tran {step_s:e} {end_s:e} 0 {step_s:e} uic"),
    );
    text.push_str(".end\n");
    Ok(text)
}

fn line(text: &mut String, arguments: std::fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{arguments}");
}

fn inductor(state: State) -> String {
    match state {
        State::DriverCurrent => "drive".to_owned(),
        State::RingLeadCurrent => "lead".to_owned(),
        State::CoilCurrent => "coil".to_owned(),
        State::PickupCurrent => "pickup".to_owned(),
        State::LoopCurrent(index) => format!("loop{index}"),
        State::KeyCurrent(index) => format!("key{index}"),
        other => format!("{other:?}"),
    }
}

fn write_all(text: &mut String, circuit: &Circuit, schedule: &Schedule, segments: &[Segment]) {
    let (driver, ring, pickup) = (&circuit.driver, &circuit.ring, &circuit.pickup);
    line(
        text,
        format_args!("Vdrive src 0 {}", drive_source(schedule, segments)),
    );
    switched(text, "source", ("src", "out"), segments, |configuration| {
        configuration.source_ohm(circuit).recip()
    });
    line(
        text,
        format_args!("Ldrive out cable {:e}", driver.lead_henry),
    );
    line(
        text,
        format_args!("Ccable cable 0 {:e}", driver.cable_farad),
    );
    if let Some(short_ohm) = ring.terminal_short_ohm {
        line(text, format_args!("Rterminal cable 0 {short_ohm:e}"));
    }
    line(
        text,
        format_args!("Llead cable series {:e}", ring.lead_henry),
    );
    line(
        text,
        format_args!("Cseries series joint {:e}", ring.capacitance_farad),
    );
    line(
        text,
        format_args!("Cgap joint coil {:e}", ring.joint.gap_farad),
    );
    switched(
        text,
        "joint",
        ("joint", "coil"),
        segments,
        |configuration| configuration.joint_ohm(circuit).recip(),
    );
    line(text, format_args!("Cstray coil 0 {:e}", ring.stray_farad));
    line(
        text,
        format_args!("Rstray coil 0 {:e}", ring.stray_loss_ohm),
    );
    if let Some(short_ohm) = ring.coil_short_ohm {
        line(text, format_args!("Rshort coil 0 {short_ohm:e}"));
    }
    line(
        text,
        format_args!("Rcoil coil turns {:e}", ring.resistance_ohm),
    );
    line(
        text,
        format_args!("Lcoil turns 0 {:e}", ring.inductance_henry),
    );
    line(
        text,
        format_args!("Lpickup 0 pickup_turns {:e}", pickup.inductance_henry),
    );
    line(
        text,
        format_args!("Rpickup pickup_turns pickup {:e}", pickup.resistance_ohm),
    );
    line(
        text,
        format_args!("Cpickup pickup 0 {:e}", pickup.capacitance_farad),
    );
    line(text, format_args!("Rload pickup 0 {:e}", pickup.load_ohm));
    for (index, closed) in circuit.loops.iter().enumerate() {
        line(
            text,
            format_args!("Lloop{index} 0 loop{index} {:e}", closed.inductance_henry),
        );
        line(
            text,
            format_args!("Rloop{index} loop{index} 0 {:e}", closed.resistance_ohm),
        );
    }
    for (index, key) in circuit.keys.iter().enumerate() {
        line(
            text,
            format_args!("Lkey{index} 0 key_turns{index} {:e}", key.inductance_henry),
        );
        line(
            text,
            format_args!(
                "Rkey{index} key_turns{index} key{index} {:e}",
                key.resistance_ohm
            ),
        );
        line(
            text,
            format_args!("Ckey{index} key{index} 0 {:e}", key.capacitance_farad),
        );
        let name = format!("load{index}");
        switched(
            text,
            &name,
            (&format!("key{index}"), "0"),
            segments,
            |configuration| configuration.keys[index].load_ohm(key).recip(),
        );
    }
}

/// A conductance that changes with the configuration: a resistor where it never does.
fn switched(
    text: &mut String,
    name: &str,
    (from, to): (&str, &str),
    segments: &[Segment],
    conductance: impl Fn(&Configuration) -> f64,
) {
    let values: Vec<(f64, f64)> = segments
        .iter()
        .map(|segment| (segment.start_s, conductance(&segment.configuration)))
        .collect();
    let constant = values.windows(2).all(|pair| pair[0].1 == pair[1].1);
    if let (true, Some(first)) = (constant, values.first()) {
        line(
            text,
            format_args!("R{name} {from} {to} {:e}", first.1.recip()),
        );
    } else {
        line(
            text,
            format_args!("V{name} {name}_gate 0 {}", piecewise(&values)),
        );
        line(
            text,
            format_args!("B{name} {from} {to} I=V({from},{to})*V({name}_gate)"),
        );
    }
}

fn drive_source(schedule: &Schedule, segments: &[Segment]) -> String {
    let drive = &schedule.drive;
    match drive.waveform {
        Waveform::Square { .. } => {
            let mut levels = vec![(0.0, 0.0)];
            for segment in segments {
                levels.extend(segment.levels(drive));
            }
            piecewise(&levels)
        }
        Waveform::Sine { amplitude_volt } => {
            // One burst only: the source knows a delay but no end.
            let start_s = drive.field_on_s.first().map_or(0.0, |burst| burst.0);
            format!(
                "SIN(0 {amplitude_volt:e} {:e} {start_s:e})",
                drive.frequency_hz
            )
        }
    }
}

/// A source that jumps to each value at its time.
fn piecewise(values: &[(f64, f64)]) -> String {
    let mut text = String::from("PWL(");
    let mut before = values.first().map_or(0.0, |value| value.1);
    let _ = write!(text, "0 {before:e}");
    for &(time_s, value) in values {
        if value != before && time_s > RAMP_S {
            let _ = write!(
                text,
                " {:.12e} {before:e} {:.12e} {value:e}",
                time_s - RAMP_S / 2.0,
                time_s + RAMP_S / 2.0
            );
        }
        before = value;
    }
    text.push(')');
    text
}
