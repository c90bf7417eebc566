//! Plans a pickup coil from the wire and former at hand.

use super::caution::Caution;
use crate::antenna::{Listener, ListenerState, coaxial_volt};
use crate::capacitance::{LayerOrder, layered_farad, medhurst_farad};
use crate::inductance::{Conductor, LayerWinding, Solenoid, turn_sum_henry};
use crate::loss::{COPPER, Wire, winding_resistance};
use crate::model_error::{count, finite, positive};
use crate::{ModelError, Modelled};

/// Wire and former at hand.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct Materials {
    /// Radius of the former, metres.
    pub former_radius_m: f64,
    /// Room along the former, metres.
    pub former_length_m: f64,
    /// Diameter of the bare copper, metres.
    pub wire_diameter_m: f64,
    /// Diameter over the insulation, metres.
    pub insulated_diameter_m: f64,
    /// Length of wire at hand, metres.
    pub wire_length_m: f64,
}

/// The recorder's input and the cable to it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct RecorderInput {
    /// Input resistance, ohm.
    pub resistance_ohm: f64,
    /// Input capacitance, farad.
    pub capacitance_farad: f64,
    /// Capacitance of the cable, farad; coaxial cable has about 100 pF a metre (common practice, no source).
    pub cable_farad: f64,
    /// Peak voltage that the input takes, volts.
    pub full_scale_peak_volt: f64,
}

/// The ring that is to be heard, and from where.
#[derive(Clone, Copy, Debug, PartialEq, serde::Deserialize)]
pub struct RingNearby {
    /// Radius of the ring, metres.
    pub radius_m: f64,
    /// Peak current times turns, ampere.
    pub peak_ampere_turns: f64,
    /// Distance of the pickup coil's middle from the ring's plane, on its axis, metres.
    pub distance_m: f64,
    /// Carrier, hertz.
    pub carrier_hz: f64,
}

impl RingNearby {
    /// A ring around a lock of 35 mm diameter, 100 turns with 100 mA peak at 125 kHz, heard from 20 mm: common practice, no source.
    pub const TYPICAL: Self = Self {
        radius_m: 17.5e-3,
        peak_ampere_turns: 10.0,
        distance_m: 20e-3,
        carrier_hz: 125e3,
    };
}

/// A pickup coil to wind, and what to expect of it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PickupPlan {
    /// Turns.
    pub turns: usize,
    /// Turns in a layer.
    pub turns_per_layer: usize,
    /// Layers.
    pub layers: usize,
    /// Length of wire in the winding, metres.
    pub wire_length_m: f64,
    /// Inductance, henry.
    pub inductance_henry: Modelled,
    /// Resistance at the carrier, ohm.
    pub resistance_ohm: Modelled,
    /// The coil's own capacitance, farad; zero where no model holds for its shape.
    pub self_capacitance_farad: f64,
    /// Own, cable's and input's capacitance, farad.
    pub capacitance_farad: f64,
    /// The coil at the input, at the carrier.
    pub listener: ListenerState,
    /// Expected peak voltage at the input near the ring, volts.
    pub expected_peak_volt: f64,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// Least ratio of the coil's own resonance to the carrier: there the gain is 1/(1 − 1/16), 7 % above flat, and its ringing at switching edges is
/// filtered from the carrier's. Common practice, no source.
pub const LEAST_RESONANCE_RATIO: f64 = 4.0;
/// Part of the full scale that the carrier is let take, to leave room for switching edges.
pub const MOST_OF_FULL_SCALE: f64 = 0.5;
/// Fewer volts than this drown in the noise of common inputs; common practice, no source.
const LEAST_VOLT: f64 = 5e-3;
/// Layers beyond which a hand-wound coil is not to be planned.
const MOST_LAYERS: usize = 10;
/// Relative permittivity of enamel, about (common practice, no source).
const ENAMEL: f64 = 3.5;

/// Plans a pickup coil with as many turns as the wire, the former, the coil's own resonance and the input's full scale allow.
///
/// Turns stand close, at most ten layers. The most turns are sought with which the own resonance with all capacitance is at least four
/// times the carrier and the carrier takes at most half the full scale; cautions say where even few turns miss that.
///
/// # Errors
///
/// If a size is not positive or no turn fits wire and former.
///
/// ```
/// use coilwright_coil::pickup::{Materials, RecorderInput, RingNearby, plan_pickup};
/// let shelf = Materials { former_radius_m: 10e-3, former_length_m: 5e-3, wire_diameter_m: 0.2e-3,
///     insulated_diameter_m: 0.22e-3, wire_length_m: 10.0 };
/// let input = RecorderInput { resistance_ohm: 1e6, capacitance_farad: 20e-12, cable_farad: 100e-12,
///     full_scale_peak_volt: 10.0 };
/// let plan = plan_pickup(&shelf, &input, &RingNearby::TYPICAL)?;
/// assert!(plan.listener.resonance_hz >= 500e3 && plan.expected_peak_volt <= 5.0);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn plan_pickup(
    materials: &Materials,
    input: &RecorderInput,
    ring: &RingNearby,
) -> Result<PickupPlan, ModelError> {
    let full_scale = positive("full scale of the input", input.full_scale_peak_volt, "V")?;
    let most = most_turns(materials)?;
    let fits = |plan: &PickupPlan| {
        plan.listener.resonance_hz >= LEAST_RESONANCE_RATIO * ring.carrier_hz
            && plan.expected_peak_volt <= MOST_OF_FULL_SCALE * full_scale
    };
    // More turns lower the resonance and raise the voltage, so the limit is found by halving.
    let (mut low, mut high) = (1, most + 1);
    while high - low > 1 {
        let middle = low.midpoint(high);
        if fits(&pickup_of_turns(materials, input, ring, middle)?) {
            low = middle;
        } else {
            high = middle;
        }
    }
    pickup_of_turns(materials, input, ring, low)
}

/// What to expect of a pickup coil with a given number of turns, close wound.
///
/// # Errors
///
/// If a size is not positive or the turns do not fit wire and former.
pub fn pickup_of_turns(
    materials: &Materials,
    input: &RecorderInput,
    ring: &RingNearby,
    turns: usize,
) -> Result<PickupPlan, ModelError> {
    count("turns of the pickup coil", turns, most_turns(materials)?)?;
    let winding = winding(materials, turns);
    let wire = Wire::Solid {
        diameter_m: materials.wire_diameter_m,
    };
    let inductance_henry = turn_sum_henry(&winding)?;
    let carrier = positive("carrier", ring.carrier_hz, "Hz")?;
    let copper = COPPER.resistivity_ohm_m(20.0)?;
    let resistance_ohm = winding_resistance(&winding, &wire, copper, carrier)?.alternating_ohm;
    let own = self_capacitance_farad(&winding, materials.insulated_diameter_m)?;
    let capacitance_farad = own
        + finite("capacitance of the input", input.capacitance_farad, "F")?
        + finite("capacitance of the cable", input.cable_farad, "F")?;
    let listener = Listener {
        turns_area_m2: winding.turns_area_m2()?,
        inductance_henry: inductance_henry.value,
        resistance_ohm: resistance_ohm.value,
        capacitance_farad,
        input_ohm: input.resistance_ohm,
    }
    .at(carrier)?;
    let expected_peak_volt = listener.gain * induced_volt(&winding, ring)?;
    let mut plan = PickupPlan {
        turns,
        turns_per_layer: winding.turns_per_layer,
        layers: winding.layers()?,
        wire_length_m: winding.wire_length_m()?,
        inductance_henry,
        resistance_ohm,
        self_capacitance_farad: own,
        capacitance_farad,
        listener,
        expected_peak_volt,
        cautions: Vec::new(),
    };
    plan.cautions = cautions(&plan, input, carrier);
    Ok(plan)
}

fn winding(materials: &Materials, turns: usize) -> LayerWinding {
    let fit = (materials.former_length_m / materials.insulated_diameter_m * (1.0 + 1e-9)) as usize;
    LayerWinding {
        former_radius_m: materials.former_radius_m,
        turns,
        turns_per_layer: fit.clamp(1, turns.max(1)),
        axial_pitch_m: materials.insulated_diameter_m,
        layer_pitch_m: materials.insulated_diameter_m,
        conductor: Conductor::round(materials.wire_diameter_m),
    }
}

/// The most turns that former and wire hold.
fn most_turns(materials: &Materials) -> Result<usize, ModelError> {
    let outer = positive(
        "diameter over the insulation",
        materials.insulated_diameter_m,
        "m",
    )?;
    positive("diameter of the wire", materials.wire_diameter_m, "m")?;
    positive("radius of the former", materials.former_radius_m, "m")?;
    let length = positive("length of the former", materials.former_length_m, "m")?;
    let wire = positive("length of the wire", materials.wire_length_m, "m")?;
    if length < outer {
        return Err(ModelError::NoRoom {
            first: "the former",
            second: "one turn",
            found_m: length,
            needed_m: outer,
        });
    }
    let per_layer = ((length / outer * (1.0 + 1e-9)) as usize).min(500);
    let (mut low, mut high) = (0, per_layer * MOST_LAYERS + 1);
    while high - low > 1 {
        let middle = low.midpoint(high);
        if winding(materials, middle).wire_length_m()? <= wire {
            low = middle;
        } else {
            high = middle;
        }
    }
    if low == 0 {
        return Err(ModelError::NoRoom {
            first: "the wire",
            second: "one turn",
            found_m: wire,
            needed_m: winding(materials, 1).wire_length_m()?,
        });
    }
    Ok(low)
}

/// Own capacitance by the model that holds for the shape; zero where none does (a few turns: far below the cable's).
fn self_capacitance_farad(winding: &LayerWinding, insulated_m: f64) -> Result<f64, ModelError> {
    let modelled = if winding.layers()? > 1 {
        layered_farad(winding, insulated_m, ENAMEL, LayerOrder::ThereAndBack)
    } else {
        let section = winding.section()?;
        medhurst_farad(&Solenoid {
            diameter_m: 2.0 * section.mean_radius_m,
            length_m: section.axial_length_m,
            turns: winding.turns as f64,
        })
    };
    match modelled {
        Ok(capacitance) => Ok(capacitance.value),
        Err(ModelError::OutsideValidity { .. }) => Ok(0.0),
        Err(other) => Err(other),
    }
}

/// Peak voltage that the ring induces, layer by layer, the winding taken together at its middle.
fn induced_volt(winding: &LayerWinding, ring: &RingNearby) -> Result<f64, ModelError> {
    (0..winding.layers()?)
        .map(|layer| {
            coaxial_volt(
                ring.radius_m,
                ring.peak_ampere_turns,
                winding.layer_radius_m(layer),
                winding.turns_in_layer(layer) as f64,
                ring.distance_m,
                ring.carrier_hz,
            )
        })
        .sum()
}

fn cautions(plan: &PickupPlan, input: &RecorderInput, carrier_hz: f64) -> Vec<Caution> {
    let mut cautions = Vec::new();
    let resonance_hz = plan.listener.resonance_hz;
    if resonance_hz < LEAST_RESONANCE_RATIO * carrier_hz {
        cautions.push(Caution::ResonanceNearCarrier {
            resonance_hz,
            least_hz: LEAST_RESONANCE_RATIO * carrier_hz,
        });
    }
    if plan.expected_peak_volt > MOST_OF_FULL_SCALE * input.full_scale_peak_volt {
        cautions.push(Caution::InputOverdriven {
            expected_peak_volt: plan.expected_peak_volt,
            full_scale_peak_volt: input.full_scale_peak_volt,
        });
    }
    if plan.expected_peak_volt < LEAST_VOLT {
        cautions.push(Caution::Weak {
            expected_peak_volt: plan.expected_peak_volt,
            least_volt: LEAST_VOLT,
        });
    }
    cautions.extend([
        Caution::DrivenRing,
        Caution::RestraintSystem,
        Caution::Implants,
        Caution::MetalNear,
    ]);
    cautions
}
