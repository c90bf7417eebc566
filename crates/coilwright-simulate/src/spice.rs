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
/// moment. `step_s` is the largest time step. There are no diodes in the netlist.
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
    if let Some(found) = circuit.driver.clamp_volt {
        let expected = "none: the netlist has no diodes";
        return Err(SimulateError::InvalidValue {
            field: "driver.clamp_volt",
            found,
            expected,
        });
    }
    let segments = schedule.segments(circuit, end_s)?;
    let mut netlist = Netlist {
        text: String::from("* coupled coils: driver, ring, keys, loops and pickup\n"),
        segments: &segments,
    };
    netlist.line(&format!(
        "Vdrive src 0 {}",
        drive_source(schedule, &segments)
    ));
    netlist.driver_and_ring(circuit);
    netlist.pickup_loops_and_keys(circuit);
    for (index, &first) in space.states.iter().enumerate() {
        for &second in &space.states[index + 1..] {
            let factor = circuit.coupling(first, second);
            if factor != 0.0 {
                let (first, second) = (inductor(first), inductor(second));
                netlist.line(&format!("K{first}_{second} L{first} L{second} {factor:e}"));
            }
        }
    }
    netlist.line(".options reltol=1e-4 abstol=1e-12 vntol=1e-9 chgtol=1e-16");
    netlist.line(&format!(".tran {step_s:e} {end_s:e} 0 {step_s:e} uic"));
    netlist.line(".end");
    Ok(netlist.text)
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

struct Netlist<'a> {
    text: String,
    segments: &'a [Segment],
}

impl Netlist<'_> {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn element(&mut self, name: &str, from: &str, to: &str, value: f64) {
        self.line(&format!("{name} {from} {to} {value:e}"));
    }

    /// A conductance that changes with the configuration: a resistor where it never does.
    fn switched(
        &mut self,
        name: &str,
        from: &str,
        to: &str,
        conductance: impl Fn(&Configuration) -> f64,
    ) {
        let values: Vec<(f64, f64)> = self
            .segments
            .iter()
            .map(|segment| (segment.start_s, conductance(&segment.configuration)))
            .collect();
        let first = values.first().map_or(1.0, |value| value.1);
        if values
            .iter()
            .all(|value| value.1.to_bits() == first.to_bits())
        {
            self.element(&format!("R{name}"), from, to, first.recip());
        } else {
            self.line(&format!("V{name} {name}_gate 0 {}", piecewise(&values)));
            self.line(&format!(
                "B{name} {from} {to} I=V({from},{to})*V({name}_gate)"
            ));
        }
    }

    fn driver_and_ring(&mut self, circuit: &Circuit) {
        let (driver, ring) = (&circuit.driver, &circuit.ring);
        self.switched("source", "src", "out", |configuration| {
            configuration.source_ohm(circuit).recip()
        });
        self.element("Ldrive", "out", "cable", driver.lead_henry);
        self.element("Ccable", "cable", "0", driver.cable_farad);
        if let Some(short_ohm) = ring.terminal_short_ohm {
            self.element("Rterminal", "cable", "0", short_ohm);
        }
        self.element("Llead", "cable", "series", ring.lead_henry);
        self.element("Cseries", "series", "joint", ring.capacitance_farad);
        self.element("Cgap", "joint", "coil", ring.joint.gap_farad);
        self.switched("joint", "joint", "coil", |configuration| {
            configuration.joint_ohm(circuit).recip()
        });
        self.element("Cstray", "coil", "0", ring.stray_farad);
        self.element("Rstray", "coil", "0", ring.stray_loss_ohm);
        if let Some(short_ohm) = ring.coil_short_ohm {
            self.element("Rshort", "coil", "0", short_ohm);
        }
        self.element("Rcoil", "coil", "turns", ring.resistance_ohm);
        self.element("Lcoil", "turns", "0", ring.inductance_henry);
    }

    fn pickup_loops_and_keys(&mut self, circuit: &Circuit) {
        let pickup = &circuit.pickup;
        self.element("Lpickup", "0", "pickup_turns", pickup.inductance_henry);
        self.element("Rpickup", "pickup_turns", "pickup", pickup.resistance_ohm);
        self.element("Cpickup", "pickup", "0", pickup.capacitance_farad);
        self.element("Rload", "pickup", "0", pickup.load_ohm);
        for (index, closed) in circuit.loops.iter().enumerate() {
            let name = format!("loop{index}");
            self.element(&format!("L{name}"), "0", &name, closed.inductance_henry);
            self.element(&format!("R{name}"), &name, "0", closed.resistance_ohm);
        }
        for (index, key) in circuit.keys.iter().enumerate() {
            let (name, turns) = (format!("key{index}"), format!("key{index}_turns"));
            self.element(&format!("L{name}"), "0", &turns, key.inductance_henry);
            self.element(&format!("R{name}"), &turns, &name, key.resistance_ohm);
            self.element(&format!("C{name}"), &name, "0", key.capacitance_farad);
            self.switched(&format!("load{index}"), &name, "0", |configuration| {
                configuration.keys[index].load_ohm(key).recip()
            });
        }
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
        if time_s > RAMP_S {
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
