//! Windings that meet an aim: every wire on the shelf in every number of layers.

use super::aim::{Aim, Room, ShelfWire};
use super::pareto::pareto_front;
use crate::antenna::tuning_farad;
use crate::coupling::{SectionCoil, coupling_coefficient};
use crate::inductance::{
    Conductor, LayerWinding, MOST_TURNS, Solenoid, multilayer_henry, solenoid_of_wire_henry,
};
use crate::loss::winding_resistance;
use crate::model_error::count;
use crate::{ModelError, Modelled, NearestMiss};

/// One winding that meets the aim.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Candidate {
    /// Index of the wire on the shelf.
    pub wire: usize,
    /// Layers.
    pub layers: usize,
    /// Turns in a layer.
    pub turns_per_layer: usize,
    /// Turns in all.
    pub turns: usize,
    /// Length of the winding, metres.
    pub length_m: f64,
    /// Outer radius of the winding, metres.
    pub outer_radius_m: f64,
    /// Inductance, henry.
    pub inductance_henry: Modelled,
    /// Resistance to direct current, ohm.
    pub direct_ohm: f64,
    /// Resistance at the frequency, ohm.
    pub alternating_ohm: Modelled,
    /// Q of the coil alone at the frequency.
    pub q: f64,
    /// Capacitance that tunes it to the frequency, farad, its own included.
    pub tuning_farad: f64,
    /// Coupling coefficient with the partner, if there is one.
    pub coupling: Option<f64>,
    /// Length of wire, metres, without its ends.
    pub wire_length_m: f64,
    /// Volume of metal, cubic metres.
    pub metal_m3: f64,
    /// Whether no other candidate is as good in coupling, Q and metal at once.
    pub on_front: bool,
}

/// More layers than a winding of this kind has.
const MOST_LAYERS: usize = 40;
/// Most wires on a shelf.
const MOST_WIRES: usize = 200;

/// Windings that meet an aim, as a table: those that nothing beats first, then by falling coupling and Q.
///
/// For every wire and number of layers that fit the room, the turns per layer whose inductance is nearest to the aim are found by halving
/// (the inductance rises with them); full layers, turns close. What is within the aim's inductance, Q and coupling is kept. `on_front` marks the Pareto
/// front over coupling, Q of the coil alone (more leaves more choice: a resistor lowers it), and metal (less is better).
///
/// # Errors
///
/// If room, aim or a wire make no sense, or no winding meets the aim ([`ModelError::NoWinding`] names what came nearest).
///
/// ```
/// use coilwright_coil::{design::{Aim, Room, ShelfWire, find_windings}, loss::{COPPER, Wire}};
/// let shelf = [0.15e-3, 0.25e-3].map(|d| ShelfWire {
///     wire: Wire::Solid { diameter_m: d }, insulated_diameter_m: 1.1 * d });
/// let room = Room { former_radius_m: 16e-3, most_radius_m: 20e-3, most_length_m: 8e-3 };
/// let aim = Aim { frequency_hz: 125e3, inductance_henry: 700e-6, inductance_tolerance: 0.03, q: (20.0, 80.0),
///     partner: None, metal: COPPER, temperature_c: 25.0 };
/// let windings = find_windings(&room, &shelf, &aim)?;
/// assert!(windings[0].on_front && (windings[0].inductance_henry.value / 700e-6 - 1.0).abs() <= 0.03);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn find_windings(
    room: &Room,
    shelf: &[ShelfWire],
    aim: &Aim,
) -> Result<Vec<Candidate>, ModelError> {
    room.checked()?;
    aim.checked()?;
    count("wires on the shelf", shelf.len(), MOST_WIRES)?;
    let mut found = Vec::new();
    let mut nearest: Option<(f64, NearestMiss)> = None;
    let mut tried = 0;
    for (index, wire) in shelf.iter().enumerate() {
        wire.wire.metal_area_m2()?;
        crate::model_error::positive("insulated diameter", wire.insulated_diameter_m, "m")?;
        for layers in 1..=most_layers(room, wire) {
            for turns_per_layer in around_aim(room, wire, layers, aim)? {
                let candidate = candidate(room, wire, (index, layers, turns_per_layer), aim)?;
                tried += 1;
                let miss = miss(&candidate, aim);
                if miss <= 0.0 {
                    found.push(candidate);
                } else if nearest.as_ref().is_none_or(|(least, _)| miss < *least) {
                    nearest = Some((miss, summary(&candidate)));
                }
            }
        }
    }
    if found.is_empty() {
        let none = NearestMiss {
            turns: 0,
            inductance_henry: 0.0,
            q: 0.0,
        };
        let nearest = nearest.map_or(none, |(_, miss)| miss);
        return Err(ModelError::NoWinding { tried, nearest });
    }
    mark_front(&mut found);
    Ok(found)
}

fn most_layers(room: &Room, wire: &ShelfWire) -> usize {
    let depth = room.most_radius_m - room.former_radius_m;
    ((depth / wire.insulated_diameter_m * (1.0 + 1e-9)) as usize).min(MOST_LAYERS)
}

/// The turns per layer just below and just above the aimed inductance, those that fit.
fn around_aim(
    room: &Room,
    wire: &ShelfWire,
    layers: usize,
    aim: &Aim,
) -> Result<Vec<usize>, ModelError> {
    let fit = (room.most_length_m / wire.insulated_diameter_m * (1.0 + 1e-9)) as usize;
    let most = fit.min(MOST_TURNS / layers);
    if most == 0 {
        return Ok(Vec::new());
    }
    let (mut low, mut high) = (0, most + 1);
    while high - low > 1 {
        let middle = low.midpoint(high);
        let winding = winding(room, wire, layers, middle);
        if inductance(&winding)?.value < aim.inductance_henry {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok([low, high]
        .into_iter()
        .filter(|n| (1..=most).contains(n))
        .collect())
}

fn winding(room: &Room, wire: &ShelfWire, layers: usize, turns_per_layer: usize) -> LayerWinding {
    LayerWinding {
        former_radius_m: room.former_radius_m,
        turns: layers * turns_per_layer,
        turns_per_layer,
        axial_pitch_m: wire.insulated_diameter_m,
        layer_pitch_m: wire.insulated_diameter_m,
        conductor: Conductor::round(wire.wire.outer_diameter_m()),
    }
}

/// Inductance by Rosa's corrections: of a sheet for one layer, of a section for more.
fn inductance(winding: &LayerWinding) -> Result<Modelled, ModelError> {
    if winding.layers()? > 1 {
        return multilayer_henry(winding);
    }
    let sheet = Solenoid {
        diameter_m: 2.0 * winding.layer_radius_m(0),
        length_m: winding.turns as f64 * winding.axial_pitch_m,
        turns: winding.turns as f64,
    };
    solenoid_of_wire_henry(&sheet, &winding.conductor)
}

fn candidate(
    room: &Room,
    shelf: &ShelfWire,
    (wire, layers, turns_per_layer): (usize, usize, usize),
    aim: &Aim,
) -> Result<Candidate, ModelError> {
    let winding = winding(room, shelf, layers, turns_per_layer);
    let inductance_henry = inductance(&winding)?;
    let resistivity = aim.metal.resistivity_ohm_m(aim.temperature_c)?;
    let loss = winding_resistance(&winding, &shelf.wire, resistivity, aim.frequency_hz)?;
    let reactance = std::f64::consts::TAU * aim.frequency_hz * inductance_henry.value;
    let section = winding.section()?;
    let coil = SectionCoil {
        section,
        turns: winding.turns as f64,
    };
    let coupling = match &aim.partner {
        Some((partner, _)) => {
            let coupling = coupling_coefficient(&coil, &partner.coil, &partner.placement)?;
            Some(coupling.coefficient.value.abs())
        }
        None => None,
    };
    let wire_length_m = winding.wire_length_m()?;
    Ok(Candidate {
        wire,
        layers,
        turns_per_layer,
        turns: winding.turns,
        length_m: section.axial_length_m,
        outer_radius_m: section.mean_radius_m + 0.5 * section.radial_depth_m,
        inductance_henry,
        direct_ohm: loss.direct_ohm,
        alternating_ohm: loss.alternating_ohm,
        q: reactance / loss.alternating_ohm.value,
        tuning_farad: tuning_farad(inductance_henry.value, aim.frequency_hz)?,
        coupling,
        wire_length_m,
        metal_m3: wire_length_m * shelf.wire.metal_area_m2()?,
        on_front: false,
    })
}

/// By how much a candidate misses the aim, relative; zero or less if it meets it.
fn miss(candidate: &Candidate, aim: &Aim) -> f64 {
    let off = (candidate.inductance_henry.value / aim.inductance_henry - 1.0).abs();
    let (low, high) = aim.q;
    let q = (low / candidate.q).max(candidate.q / high) - 1.0;
    let coupling = match (&aim.partner, candidate.coupling) {
        (Some((_, least)), Some(found)) => least / found - 1.0,
        _ => 0.0,
    };
    [off - aim.inductance_tolerance, q, coupling]
        .into_iter()
        .map(|part| part.max(0.0))
        .sum()
}

fn summary(candidate: &Candidate) -> NearestMiss {
    NearestMiss {
        turns: candidate.turns,
        inductance_henry: candidate.inductance_henry.value,
        q: candidate.q,
    }
}

/// Marks the front and sorts: front first, then by coupling and Q.
fn mark_front(found: &mut [Candidate]) {
    let scores: Vec<Vec<f64>> = found
        .iter()
        .map(|c| vec![c.coupling.unwrap_or(0.0), c.q, -c.metal_m3])
        .collect();
    for (candidate, front) in found.iter_mut().zip(pareto_front(&scores)) {
        candidate.on_front = front;
    }
    found.sort_by(|a, b| {
        (b.on_front.cmp(&a.on_front))
            .then(
                b.coupling
                    .unwrap_or(0.0)
                    .total_cmp(&a.coupling.unwrap_or(0.0)),
            )
            .then(b.q.total_cmp(&a.q))
    });
}
