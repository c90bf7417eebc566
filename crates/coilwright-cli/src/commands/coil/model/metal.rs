//! A metal ring or plate near the coil: where its resonance goes and what is left of Q.

use std::f64::consts::TAU;

use coilwright_coil::coupling::{
    ClosedLoop, HalfSpace, Placement, SectionCoil, TunedCoil, TunedState, coils_henry,
    half_space_change,
};
use coilwright_coil::inductance::{
    CircularLoop, Conductor, CurrentSpread, Section, WireShape, circular_loop_henry,
};
use coilwright_coil::loss::{Wire, skin_effect, thin_loop_resistance};
use coilwright_coil::{Formula, ModelError, Modelled};

use super::base::Found;
use super::bounded;
use super::circuit::TunedCircuit;
use super::refusal::{explained, of_metal};
use crate::coil_args::MetalArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::output::number::quantity;

const RING: Formula = Formula {
    name: "reflected impedance of a closed loop, ω²M²/(R + jωL)",
    reference: "Terman 1943, Radio Engineers' Handbook, p. 149 (from memory)",
};
const PLATE: Formula = Formula {
    name: "Dodd and Deeds, coil over a half-space",
    reference: "Dodd and Deeds 1968, J. Appl. Phys. 39, 2829 (from memory)",
};

/// The body.
enum Body {
    Ring(ClosedLoop),
    Plate(SectionCoil, HalfSpace),
}

impl Body {
    fn of(
        arguments: &MetalArgs,
        coil: SectionCoil,
        frequency_hz: f64,
    ) -> Result<Option<Self>, ModelError> {
        if let Some(gap_m) = arguments.plate_gap {
            let plate = HalfSpace {
                gap_m,
                resistivity_ohm_m: arguments.metal_resistivity,
                relative_permeability: arguments.metal_permeability,
            };
            return Ok(Some(Self::Plate(coil, plate)));
        }
        let Some(diameter_m) = arguments.ring_diameter else {
            return Ok(None);
        };
        ring(arguments, diameter_m, coil, frequency_hz)
            .map(Self::Ring)
            .map(Some)
    }

    fn beside(&self, tuned: &TunedCoil) -> Result<TunedState, ModelError> {
        match self {
            Self::Ring(ring) => tuned.beside_loop(ring),
            Self::Plate(coil, plate) => tuned.over_half_space(coil, plate),
        }
    }

    /// Change of inductance and resistance at a frequency, henry and ohm.
    fn change(&self, frequency_hz: f64) -> Result<(f64, f64), ModelError> {
        match self {
            Self::Ring(ring) => {
                let omega = TAU * frequency_hz;
                let (own, ohm) = (omega * ring.inductance_henry, ring.resistance_ohm);
                let part = (omega * ring.mutual_henry).powi(2) / (ohm * ohm + own * own);
                Ok((-part * ring.inductance_henry, part * ohm))
            }
            Self::Plate(coil, plate) => {
                let change = half_space_change(coil, plate, frequency_hz)?;
                Ok((change.inductance_henry.value, change.resistance_ohm.value))
            }
        }
    }

    const fn formula(&self) -> Formula {
        match self {
            Self::Ring(_) => RING,
            Self::Plate(..) => PLATE,
        }
    }
}

/// The ring as a closed loop, its skin effect that of the working frequency.
fn ring(
    arguments: &MetalArgs,
    diameter_m: f64,
    coil: SectionCoil,
    frequency_hz: f64,
) -> Result<ClosedLoop, ModelError> {
    let (radius_m, wire_m) = (0.5 * diameter_m, arguments.ring_wire);
    let rho = arguments.metal_resistivity;
    let skin = skin_effect(wire_m, rho, frequency_hz)?;
    let turn = CircularLoop {
        radius_m,
        conductor: Conductor {
            shape: WireShape::Round { diameter_m: wire_m },
            spread: CurrentSpread::Partial {
                internal_ratio: skin.internal_inductance_ratio.min(1.0),
            },
        },
    };
    let inductance_henry = circular_loop_henry(&turn)?.value;
    let wire = Wire::Solid { diameter_m: wire_m };
    let resistance = thin_loop_resistance(TAU * radius_m, radius_m, &wire, rho, frequency_hz)?;
    // The ring has its thickness, so that it cannot run through the winding.
    let body = SectionCoil {
        section: Section {
            mean_radius_m: radius_m,
            axial_length_m: wire_m,
            radial_depth_m: wire_m,
        },
        turns: 1.0,
    };
    let placement = Placement::coaxial(arguments.ring_distance);
    Ok(ClosedLoop {
        inductance_henry,
        resistance_ohm: resistance.alternating_ohm.value,
        mutual_henry: coils_henry(&coil, &body, &placement)?.value,
    })
}

/// Puts what metal does on the sheet, where it is asked for, and returns the tuned coil beside it.
pub(super) fn numbers(
    sheet: &mut Sheet,
    found: &Found,
    arguments: &MetalArgs,
    tank: &TunedCircuit,
) -> Result<Option<TunedState>, CommandError> {
    let option = match (arguments.ring_diameter, arguments.plate_gap) {
        (None, None) => return Ok(None),
        (Some(_), _) => "--ring-diameter",
        (None, Some(_)) => "--plate-gap",
    };
    let coil = found.section.ok_or(CommandError::RoundOnly { option })?;
    let ohm = found.ohm_for(option)?;
    let Some(body) = Body::of(arguments, coil, found.frequency_hz).map_err(of_metal)? else {
        return Ok(None);
    };
    let beside = Beside {
        body,
        inputs: [found.inductance, ohm],
        added_ohm: tank.total_ohm().map_err(explained)? - ohm.value,
        tank,
    };
    sheet.part("Metal nearby");
    beside.put(sheet).map(Some)
}

/// A tuned coil and the body beside it.
struct Beside<'a> {
    body: Body,
    /// The coil's inductance and resistance.
    inputs: [Modelled; 2],
    /// What the driver adds to the resistance, ohm.
    added_ohm: f64,
    tank: &'a TunedCircuit,
}

impl Beside<'_> {
    /// The tuned coil with this inductance and resistance of its own.
    fn tuned(&self, values: &[f64]) -> TunedCoil {
        TunedCoil {
            inductance_henry: values[0],
            resistance_ohm: values[1] + self.added_ohm,
            capacitance_farad: self.tank.ring.capacitance_farad,
        }
    }

    fn number(&self, of: fn(&TunedState) -> f64) -> Result<Modelled, CommandError> {
        bounded(self.body.formula(), &self.inputs, |values| {
            let state = self.body.beside(&self.tuned(values))?;
            Ok(of(&state))
        })
        .map_err(of_metal)
    }

    /// Current in the driven coil at the carrier.
    fn ampere(&self) -> Result<Modelled, CommandError> {
        let ring = &self.tank.ring;
        let (henry, ohm) = self.body.change(ring.carrier_hz).map_err(of_metal)?;
        bounded(self.body.formula(), &self.inputs, |values| {
            let (henry, ohm) = (values[0] + henry, values[1] + ohm);
            let state = self.tank.with(henry, ohm, ring.capacitance_farad).state()?;
            Ok(state.coil_peak_ampere)
        })
        .map_err(of_metal)
    }

    /// Puts the numbers on the sheet and returns the coil beside the body, the driver's resistance left out.
    fn put(&self, sheet: &mut Sheet) -> Result<TunedState, CommandError> {
        let nominal = self.tuned(&[self.inputs[0].value, self.inputs[1].value]);
        let alone = nominal.alone().map_err(explained)?;
        let state = self.body.beside(&nominal).map_err(of_metal)?;
        let hertz = alone.resonance_hz;
        sheet.plain("resonance_alone_hz", "resonance without it", "Hz", hertz);
        let resonance = self.number(|s| s.resonance_hz)?;
        sheet.modelled("resonance_metal_hz", "resonance with it", "Hz", &resonance);
        sheet.plain("q_alone", "Q without it", "", alone.q);
        let q = self.number(|s| s.q)?;
        sheet.modelled("q_metal", "Q with it", "", &q);
        let henry = state.inductance_henry;
        sheet.plain("inductance_metal_henry", "inductance with it", "H", henry);
        let ohm = state.resistance_ohm - self.added_ohm;
        sheet.plain("resistance_metal_ohm", "coil's resistance then", "Ω", ohm);
        if self.tank.driven {
            let key = "coil_peak_ampere_metal";
            sheet.modelled(key, "in the coil then, peak", "A", &self.ampere()?);
        }
        sheet.notes.push(format!(
            "Metal moves the resonance by {} % and leaves {} % of Q.",
            signed(100.0 * (state.resonance_hz / alone.resonance_hz - 1.0)),
            quantity(100.0 * state.q / alone.q, "")
        ));
        Ok(TunedState {
            resistance_ohm: ohm,
            ..state
        })
    }
}

/// A number with its sign and at most four digits.
fn signed(value: f64) -> String {
    let sign = if value < 0.0 { "−" } else { "+" };
    format!("{sign}{}", quantity(value.abs(), ""))
}
