//! The numbers of the coil alone.

use std::f64::consts::TAU;

use coilwright_coil::coupling::SectionCoil;
use coilwright_coil::{Formula, Modelled};

use super::coil::{Coil, Resistance};
use super::refusal::explained;
use crate::coil_args::CircuitArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;

const GIVEN: Formula = Formula {
    name: "as measured",
    reference: "--coil-ohm",
};
const REACTANCE: Formula = Formula {
    name: "ωL/R",
    reference: "from inductance and resistance",
};
const TUNED: Formula = Formula {
    name: "1/(ω²L)",
    reference: "from the inductance",
};

/// The coil alone at its working frequency.
pub(super) struct Found {
    pub(super) frequency_hz: f64,
    pub(super) inductance: Modelled,
    /// Alternating resistance, or why there is none.
    pub(super) ohm: Result<Modelled, &'static str>,
    /// Its own capacitance, where a formula holds.
    pub(super) own_farad: Option<Modelled>,
    /// Its section, where it is round.
    pub(super) section: Option<SectionCoil>,
}

impl Found {
    /// The resistance, which an option cannot do without.
    pub(super) fn ohm_for(&self, option: &'static str) -> Result<Modelled, CommandError> {
        self.ohm
            .map_err(|reason| CommandError::NoResistance { option, reason })
    }
}

/// Puts the coil's own numbers on the sheet.
pub(super) fn numbers(
    sheet: &mut Sheet,
    coil: &dyn Coil,
    circuit: &CircuitArgs,
) -> Result<Found, CommandError> {
    let at = circuit.frequency;
    let inductance = coil.inductance(at).map_err(explained)?;
    sheet.modelled("inductance_henry", "inductance", "H", &inductance);
    for second in coil.second(at).map_err(explained)? {
        match second.number {
            Ok(number) => sheet.modelled(second.key, second.name, "H", &number),
            Err(error) => sheet
                .notes
                .push(format!("A second formula does not hold here: {error}.")),
        }
    }
    sheet
        .notes
        .extend(coil.notes().into_iter().map(str::to_owned));
    let wire = coil.wire().map_err(explained)?;
    if let Some(wire) = &wire {
        sheet.plain("direct_ohm", "resistance, direct", "Ω", wire.direct_ohm);
    }
    let ohm = match circuit.coil_ohm {
        Some(ohm) => Ok(Modelled::new(ohm, 0.0, GIVEN)),
        None => match coil.resistance(at).map_err(explained)? {
            Resistance::Known(ohm) => Ok(ohm),
            Resistance::Unknown(reason) => Err(reason),
        },
    };
    let omega = TAU * at;
    match (&ohm, circuit.coil_ohm) {
        (_, Some(ohm)) => sheet.plain("resistance_ohm", "resistance, as measured", "Ω", ohm),
        (Ok(ohm), None) => {
            sheet.modelled("resistance_ohm", "resistance, alternating", "Ω", ohm);
        }
        (Err(reason), None) => sheet
            .notes
            .push(format!("No alternating resistance: {reason}.")),
    }
    sheet.plain("at_hz", "at", "Hz", at);
    if let Ok(ohm) = &ohm {
        let q = omega * inductance.value / ohm.value;
        let accuracy = inductance.relative_accuracy + ohm.relative_accuracy;
        let q = Modelled::new(q, accuracy, REACTANCE);
        sheet.modelled("q", "Q of the coil alone", "", &q);
    } else if let Some(wire) = &wire {
        let most = omega * inductance.value / wire.direct_ohm;
        sheet.plain("most_q", "Q of the coil, at most", "", most);
    }
    let total = (omega * omega * inductance.value).recip();
    let tuned = Modelled::new(total, inductance.relative_accuracy, TUNED);
    sheet.modelled("tuning_farad", "tuned there with", "F", &tuned);
    let own_farad = own(sheet, coil, total);
    if let Some(wire) = &wire {
        sheet.plain("wire_length_m", "length of wire", "m", wire.metres);
    }
    Ok(Found {
        frequency_hz: at,
        inductance,
        ohm,
        own_farad,
        section: coil.section().map_err(explained)?,
    })
}

/// The coil's own capacitance, and what is left for the capacitor.
fn own(sheet: &mut Sheet, coil: &dyn Coil, total: f64) -> Option<Modelled> {
    match coil.own_farad()? {
        Ok(own) => {
            sheet.modelled("self_capacitance_farad", "self-capacitance", "F", &own);
            let left = total - own.value;
            if left > 0.0 {
                sheet.plain("capacitor_farad", "capacitor beside that", "F", left);
            } else {
                sheet.notes.push(
                    "The coil's own capacitance tunes it below this frequency: it is no inductance there."
                        .to_owned(),
                );
            }
            Some(own)
        }
        Err(error) => {
            sheet.notes.push(format!("No self-capacitance: {error}."));
            None
        }
    }
}
