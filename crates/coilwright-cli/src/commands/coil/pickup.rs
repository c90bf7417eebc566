use std::f64::consts::TAU;

use coilwright_coil::ModelError;
use coilwright_coil::antenna::Listener;
use coilwright_coil::pickup::{Materials, PickupPlan, RecorderInput, RingNearby, plan_pickup};

use super::{Form, Sheet, picture, print};
use crate::Status;
use crate::coil_args::PickupArgs;
use crate::output::number::quantity;
use crate::plot::{Chart, Line, Look, Picture, Shown, charts_page};
use crate::streams::Streams;

/// Diameter over the enamel, over the bare wire's.
const ENAMELLED: f64 = 1.1;
/// Points of the response, which has a narrow resonance.
const POINTS: usize = 1201;
/// How far beyond the own resonance the response is drawn.
const BEYOND: f64 = 1.3;

/// Plans the pickup coil, prints it, and draws its response where that is asked for.
pub(crate) fn run(arguments: &PickupArgs, streams: &mut Streams<'_>) -> Status {
    let picture = match picture::begin(&arguments.picture, &[]) {
        Ok(picture) => picture,
        Err(error) => return streams.refuse(&error),
    };
    let plan = match plan(arguments) {
        Ok(plan) => plan,
        Err(error) => return streams.refuse(&error),
    };
    let sheet = sheet(&plan);
    let subject = sheet.subject.clone();
    let status = print(&[sheet], Form::One, arguments.output, streams);
    let draw = |p: Picture| p.complete(&charts_page(&subject, &response(&plan, arguments)));
    picture::after(status, picture, draw, streams)
}

/// The volts at the input over frequency, decibels over one volt, with the same ampere turns in the ring at every frequency.
fn response(plan: &PickupPlan, arguments: &PickupArgs) -> Vec<Chart> {
    let carrier_hz = RingNearby::TYPICAL.carrier_hz;
    let at_carrier = &plan.listener;
    let listener = Listener {
        turns_area_m2: at_carrier.volt_per_tesla / (TAU * carrier_hz * at_carrier.gain),
        inductance_henry: plan.inductance_henry.value,
        resistance_ohm: plan.resistance_ohm.value,
        capacitance_farad: plan.capacitance_farad,
        input_ohm: arguments.input_ohm,
    };
    let decibel = |frequency_hz: f64| {
        let state = listener.at(frequency_hz).ok()?;
        let volt = plan.expected_peak_volt * state.volt_per_tesla / at_carrier.volt_per_tesla;
        Some((1e-3 * frequency_hz, 20.0 * volt.log10()))
    };
    let (low, high) = (
        0.2 * carrier_hz,
        BEYOND * at_carrier.resonance_hz.max(carrier_hz),
    );
    let step = (high - low) / (POINTS - 1) as f64;
    let points = (0..POINTS)
        .filter_map(|n| decibel(low + step * n as f64))
        .collect();
    let limit = 20.0 * arguments.full_scale.log10();
    let limit = vec![(1e-3 * low, limit), (1e-3 * high, limit)];
    let marks = [carrier_hz, at_carrier.resonance_hz];
    vec![Chart {
        title: "Expected at the input, the same current in the ring at every frequency".to_owned(),
        x: "frequency, kHz".to_owned(),
        y: "dB over 1 V peak".to_owned(),
        shown: Shown::Lines {
            lines: vec![
                Line {
                    points: limit,
                    look: Look::Other,
                },
                Line {
                    points,
                    look: Look::Main,
                },
            ],
            marks: marks.into_iter().filter_map(decibel).collect(),
        },
        notes: vec![
            format!(
                "orange squares: carrier {} and own resonance {}",
                quantity(carrier_hz, "Hz"),
                quantity(at_carrier.resonance_hz, "Hz")
            ),
            "dashed: what the input takes; resistance as at the carrier".to_owned(),
        ],
    }]
}

/// The pickup coil that wire, former and input allow.
fn plan(arguments: &PickupArgs) -> Result<PickupPlan, ModelError> {
    let materials = Materials {
        former_radius_m: 0.5 * arguments.former,
        former_length_m: arguments.length,
        wire_diameter_m: arguments.wire,
        insulated_diameter_m: ENAMELLED * arguments.wire,
        wire_length_m: arguments.wire_length,
    };
    let input = RecorderInput {
        resistance_ohm: arguments.input_ohm,
        capacitance_farad: arguments.capacitance,
        cable_farad: 0.0,
        full_scale_peak_volt: arguments.full_scale,
    };
    plan_pickup(&materials, &input, &RingNearby::TYPICAL)
}

fn sheet(plan: &PickupPlan) -> Sheet {
    let method = "As many turns as wire, former, own resonance and input allow; beside a ring of 35 mm with 10 ampere turns, 20 mm away, 125 kHz.";
    let subject = format!("pickup coil; {} turns, layers: {}", plan.turns, plan.layers);
    let mut sheet = Sheet::new("pickup", subject, method);
    sheet.plain("turns", "turns", "", plan.turns as f64);
    sheet.plain(
        "turns_per_layer",
        "turns in a layer",
        "",
        plan.turns_per_layer as f64,
    );
    sheet.plain("wire_length_m", "length of wire", "m", plan.wire_length_m);
    sheet.modelled(
        "inductance_henry",
        "inductance",
        "H",
        &plan.inductance_henry,
    );
    sheet.modelled(
        "resistance_ohm",
        "resistance at 125 kHz",
        "Ω",
        &plan.resistance_ohm,
    );
    sheet.plain(
        "capacitance_farad",
        "capacitance with input",
        "F",
        plan.capacitance_farad,
    );
    sheet.plain(
        "resonance_hz",
        "own resonance",
        "Hz",
        plan.listener.resonance_hz,
    );
    sheet.plain(
        "expected_peak_volt",
        "expected, peak",
        "V",
        plan.expected_peak_volt,
    );
    sheet.cautions = plan.cautions.iter().map(ToString::to_string).collect();
    sheet
}
