use coilwright_coil::ModelError;
use coilwright_coil::capacitance::{LayerOrder, layered_farad, medhurst_farad};
use coilwright_coil::inductance::{
    CircularLoop, Conductor, FlatSpiral, LayerWinding, RectangularLoop, Solenoid, SpiralOutline,
    circular_loop_henry, flat_spiral_henry, multilayer_henry, rectangular_loop_henry,
    solenoid_of_wire_henry, turn_sum_henry, wheeler_solenoid_1982_henry,
};
use coilwright_coil::loss::{COPPER, Wire, winding_resistance};

use super::Sheet;
use crate::coil_args::{LoopArgs, RectangleArgs, ShapeArgs, SheetArgs, SpiralArgs, WoundArgs};

/// Pitch over the wire's diameter where it is not given: enamelled wire, close wound.
const CLOSE: f64 = 1.1;
/// Temperature of the copper, degrees Celsius.
const ROOM_C: f64 = 20.0;
/// What a second formula for the same coil is called.
const QUICKER: &str = "the same, quicker";
/// Relative permittivity of enamel, about (common practice, no source).
const ENAMEL: f64 = 3.5;

/// The numbers of a shape, and how they are wanted.
pub(crate) fn sheet(shape: &ShapeArgs) -> (Result<Sheet, ModelError>, SheetArgs) {
    match shape {
        ShapeArgs::Solenoid(a) => (wound("solenoid", a), a.output),
        ShapeArgs::Multilayer(a) => (wound("multilayer coil", a), a.output),
        ShapeArgs::Loop(a) => (one_turn(a), a.output),
        ShapeArgs::Rectangle(a) => (rectangle(a), a.output),
        ShapeArgs::Spiral(a) => (spiral(a), a.output),
    }
}

fn new(shape: &str) -> Sheet {
    Sheet::new("model", shape.to_owned(), "Computed from the geometry.")
}

fn wound(shape: &str, arguments: &WoundArgs) -> Result<Sheet, ModelError> {
    let pitch = arguments.pitch.unwrap_or(CLOSE * arguments.wire);
    let layers = arguments.layers.max(1);
    let winding = LayerWinding {
        former_radius_m: 0.5 * arguments.diameter,
        turns: arguments.turns,
        turns_per_layer: arguments.turns.div_ceil(layers).max(1),
        axial_pitch_m: pitch,
        layer_pitch_m: pitch,
        conductor: Conductor::round(arguments.wire),
    };
    let mut sheet = new(&format!(
        "{shape}; {} turns, layers: {}",
        arguments.turns,
        winding.layers()?
    ));
    let inductance = turn_sum_henry(&winding)?;
    sheet.modelled("inductance_henry", "inductance", "H", &inductance);
    let solenoid = Solenoid {
        diameter_m: 2.0 * winding.layer_radius_m(0),
        length_m: arguments.turns as f64 * pitch,
        turns: arguments.turns as f64,
    };
    let single = winding.layers()? == 1;
    if single {
        quick(
            &mut sheet,
            ("inductance_quick_henry", QUICKER),
            solenoid_of_wire_henry(&solenoid, &winding.conductor),
        );
        quick(
            &mut sheet,
            ("inductance_wheeler_henry", "as a current sheet"),
            wheeler_solenoid_1982_henry(&solenoid),
        );
        sheet
            .notes
            .push("As a current sheet, the gaps between round turns are left out; the accuracy that is stated is that of the sheet.".to_owned());
    } else {
        quick(
            &mut sheet,
            ("inductance_quick_henry", QUICKER),
            multilayer_henry(&winding),
        );
    }
    let wire = Wire::Solid {
        diameter_m: arguments.wire,
    };
    let loss = winding_resistance(
        &winding,
        &wire,
        COPPER.resistivity_ohm_m(ROOM_C)?,
        arguments.frequency,
    )?;
    sheet.plain("direct_ohm", "resistance, direct", "Ω", loss.direct_ohm);
    sheet.modelled(
        "resistance_ohm",
        "resistance, alternating",
        "Ω",
        &loss.alternating_ohm,
    );
    sheet.plain("at_hz", "at", "Hz", arguments.frequency);
    let omega = std::f64::consts::TAU * arguments.frequency;
    sheet.plain(
        "q",
        "Q of the coil alone",
        "",
        omega * inductance.value / loss.alternating_ohm.value,
    );
    sheet.plain(
        "tuning_farad",
        "tuned there with",
        "F",
        (omega * omega * inductance.value).recip(),
    );
    let own = if single {
        medhurst_farad(&solenoid)
    } else {
        layered_farad(&winding, pitch, ENAMEL, LayerOrder::ThereAndBack)
    };
    match own {
        Ok(own) => sheet.modelled("self_capacitance_farad", "self-capacitance", "F", &own),
        Err(error) => sheet.notes.push(format!("No self-capacitance: {error}.")),
    }
    sheet.plain(
        "wire_length_m",
        "length of wire",
        "m",
        winding.wire_length_m()?,
    );
    Ok(sheet)
}

/// A second formula for the same coil, where it holds.
fn quick(
    sheet: &mut Sheet,
    (key, name): (&'static str, &'static str),
    number: Result<coilwright_coil::Modelled, ModelError>,
) {
    match number {
        Ok(number) => sheet.modelled(key, name, "H", &number),
        Err(error) => sheet
            .notes
            .push(format!("A second formula does not hold here: {error}.")),
    }
}

fn one_turn(arguments: &LoopArgs) -> Result<Sheet, ModelError> {
    let mut sheet = new("circular loop, one turn");
    let turn = CircularLoop {
        radius_m: 0.5 * arguments.diameter,
        conductor: Conductor::round(arguments.wire),
    };
    sheet.modelled(
        "inductance_henry",
        "inductance",
        "H",
        &circular_loop_henry(&turn)?,
    );
    Ok(sheet)
}

fn rectangle(arguments: &RectangleArgs) -> Result<Sheet, ModelError> {
    let mut sheet = new("rectangular loop, one turn");
    let turn = RectangularLoop {
        width_m: arguments.width,
        height_m: arguments.height,
        conductor: Conductor::round(arguments.wire),
    };
    sheet.modelled(
        "inductance_henry",
        "inductance",
        "H",
        &rectangular_loop_henry(&turn)?,
    );
    Ok(sheet)
}

fn spiral(arguments: &SpiralArgs) -> Result<Sheet, ModelError> {
    let mut sheet = new("flat round spiral");
    let spiral = FlatSpiral {
        outline: SpiralOutline::Circle,
        inner_diameter_m: arguments.inner,
        outer_diameter_m: arguments.outer,
        turns: arguments.turns,
    };
    sheet.modelled(
        "inductance_henry",
        "inductance",
        "H",
        &flat_spiral_henry(&spiral)?,
    );
    Ok(sheet)
}
