//! The same circuit as a netlist for a SPICE-like simulator, so that a second program can be the witness.

use std::f64::consts::TAU;
use std::fmt::Write as _;

use crate::SimulateError;
use crate::circuit::{Circuit, Configuration, State, StateSpace};
use crate::integrate::{Schedule, Segment, Tone, Waveform};

/// Rise and fall time of the sources: far below every time constant that reaches the pickup.
const RAMP_S: f64 = 1e-9;
/// Logarithm of an amplitude that is nothing.
const SILENT: f64 = -100.0;

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
    netlist.drive(schedule);
    netlist.driver_and_ring(circuit);
    netlist.pickup_and_loops(circuit);
    netlist.keys(circuit, &schedule.tones);
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
            let across = if to == "0" {
                format!("V({from})")
            } else {
                format!("V({from},{to})")
            };
            self.line(&format!("B{name} {from} {to} I={across}*V({name}_gate)"));
        }
    }

    fn drive(&mut self, schedule: &Schedule) {
        let drive = &schedule.drive;
        match drive.waveform {
            Waveform::Square { .. } => {
                let mut levels = vec![(0.0, 0.0)];
                for segment in self.segments {
                    levels.extend(segment.levels(drive));
                }
                self.line(&format!("Vdrive src 0 {}", piecewise(&levels)));
            }
            Waveform::Sine { amplitude_volt } => {
                let origins = self.segments.iter().map(|segment| segment.origin_s);
                let starts = self.segments.iter().map(|segment| segment.start_s);
                let mut amplitudes = vec![(0.0, 0.0)];
                let mut delays = vec![(0.0, 0.0)];
                for (start_s, origin_s) in starts.zip(origins) {
                    amplitudes.push((start_s, origin_s.map_or(0.0, |_| amplitude_volt)));
                    delays.extend(origin_s.map(|origin_s| (start_s, origin_s)));
                }
                amplitudes.dedup_by_key(|point| point.1);
                delays.dedup_by_key(|point| point.1);
                self.line(&format!(
                    "Vdrive_size drive_size 0 {}",
                    piecewise(&amplitudes)
                ));
                self.line(&format!(
                    "Vdrive_delay drive_delay 0 {}",
                    piecewise(&delays)
                ));
                let omega = TAU * drive.frequency_hz;
                self.line(&format!(
                    "Bdrive src 0 V=V(drive_size)*sin({omega:.15e}*(time-V(drive_delay)))"
                ));
            }
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

    fn pickup_and_loops(&mut self, circuit: &Circuit) {
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
    }

    fn keys(&mut self, circuit: &Circuit, tones: &[Tone]) {
        for (index, key) in circuit.keys.iter().enumerate() {
            let (name, turns) = (format!("key{index}"), format!("key{index}_turns"));
            self.element(&format!("L{name}"), "0", &turns, key.inductance_henry);
            self.element(&format!("R{name}"), &turns, &name, key.resistance_ohm);
            self.element(&format!("C{name}"), &name, "0", key.capacitance_farad);
            let own: Vec<Tone> = tones
                .iter()
                .filter(|tone| tone.key == index)
                .copied()
                .collect();
            let behind = if own.is_empty() {
                "0".to_owned()
            } else {
                self.output_stage(&name, &own)
            };
            self.switched(&format!("load{index}"), &name, &behind, |configuration| {
                configuration.keys[index].load_ohm(key).recip()
            });
        }
    }

    /// The voltage behind the load of a key that sends by itself; returns its node. Phase and logarithm of the amplitude
    /// are straight lines over each tone.
    fn output_stage(&mut self, name: &str, tones: &[Tone]) -> String {
        let mut phase = 0.0;
        let mut phases = vec![(0.0, phase)];
        let mut logs = vec![(0.0, SILENT)];
        let mut before_s = 0.0;
        for tone in tones {
            // Each tone begins where a cycle does.
            let begin = TAU * (phase / TAU - 1e-6).ceil();
            phases.push((tone.start_s, begin));
            if tone.start_s - before_s > 2.0 * RAMP_S {
                logs.extend([(before_s + RAMP_S, SILENT), (tone.start_s - RAMP_S, SILENT)]);
            }
            let seconds = tone.end_s - tone.start_s;
            phase = begin + TAU * tone.frequency_hz * seconds;
            phases.push((tone.end_s - RAMP_S, phase));
            let log = tone.amplitude_volt.max(f64::MIN_POSITIVE).ln();
            let end_log = log - tone.decay_per_s * seconds;
            logs.extend([(tone.start_s, log), (tone.end_s - RAMP_S, end_log)]);
            before_s = tone.end_s;
        }
        logs.push((before_s + RAMP_S, SILENT));
        self.line(&format!(
            "V{name}_phase {name}_phase 0 {}",
            straight(&phases)
        ));
        self.line(&format!("V{name}_log {name}_log 0 {}", straight(&logs)));
        self.line(&format!(
            "B{name}_stage {name}_stage 0 V=exp(V({name}_log))*sin(V({name}_phase))"
        ));
        format!("{name}_stage")
    }
}

/// A source that goes straight from each point to the next.
fn straight(points: &[(f64, f64)]) -> String {
    let mut text = String::from("PWL(");
    for (time_s, value) in points {
        let _ = write!(text, "{time_s:.12e} {value:.12e} ");
    }
    text.push(')');
    text
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
