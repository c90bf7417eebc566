use coilwright_coil::ModelError;
use coilwright_coil::pickup::{Materials, RecorderInput, RingNearby, plan_pickup};

use super::Sheet;
use crate::coil_args::PickupArgs;

/// Diameter over the enamel, over the bare wire's.
const ENAMELLED: f64 = 1.1;

/// The pickup coil that wire, former and input allow.
pub(crate) fn sheet(arguments: &PickupArgs) -> Result<Sheet, ModelError> {
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
    let plan = plan_pickup(&materials, &input, &RingNearby::TYPICAL)?;
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
    Ok(sheet)
}
