//! The tuned and driven circuit.

use coilwright_coil::antenna::{BitRateFit, DrivenRing, DrivenState, Tank, bit_rate_fit};
use coilwright_coil::pickup::Caution;
use coilwright_coil::{Formula, ModelError, Modelled};

use super::base::Found;
use super::bounded;
use super::refusal::explained;
use crate::coil_args::{CircuitArgs, TankArg};
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::output::number::quantity;

const CIRCUIT: Formula = Formula {
    name: "circuit theory with a sinusoidal drive",
    reference: "Terman 1943, Radio Engineers' Handbook, section 3 (from memory)",
};
const RESONANCE: Formula = Formula {
    name: "1/(2π√(LC))",
    reference: "with the coil's own capacitance where it is known",
};
const ENVELOPE: Formula = Formula {
    name: "τ = Q/(πf₀)",
    reference: "the envelope of a ring with loss, definition of Q",
};
const SIDEBANDS: Formula = Formula {
    name: "1/(1 + jQ(f/f₀ − f₀/f))",
    reference: "circuit theory, a series ring's current",
};
const HALF_BIT: Formula = Formula {
    name: "two time constants in half a bit",
    reference: "common practice, no source",
};
/// Peak volts beyond which a part counts as live: IEC 61010-1, normal condition, 42.4 V peak (from memory).
const LIVE_VOLT: f64 = 42.4;

/// How far a resonance may lie from the frequency that resistance is given for.
const FAR: f64 = 0.1;

/// The coil with its capacitor and driver.
pub(super) struct TunedCircuit {
    pub(super) ring: DrivenRing,
    /// Inductance, coil's resistance and capacitance, as sure as they are.
    inputs: [Modelled; 3],
    /// The coil's own part of the capacitance, farad.
    pub(super) own_farad: f64,
    /// Why the coil has no resistance.
    ohm: Result<(), &'static str>,
    /// Whether it is driven.
    pub(super) driven: bool,
}

impl TunedCircuit {
    fn new(found: &Found, arguments: &CircuitArgs) -> Result<Self, CommandError> {
        let omega = std::f64::consts::TAU * found.frequency_hz;
        let own = found.own_farad;
        // The coil's own capacitance lies beside the capacitor; tuned to the frequency, both together are known.
        let capacitance = match arguments.tune {
            Some(farad) => {
                let own_farad = own.map_or(0.0, |own| own.value);
                let unsure = own.map_or(0.0, |own| own.absolute_accuracy());
                let total = farad + own_farad;
                Modelled::new(total, unsure / total, RESONANCE)
            }
            None => Modelled::new(
                (omega * omega * found.inductance.value).recip(),
                0.0,
                RESONANCE,
            ),
        };
        let series = arguments.series_ohm.unwrap_or(0.0);
        let tank = match arguments.tank {
            TankArg::Series => Tank::Series { driver_ohm: series },
            TankArg::Parallel if series > 0.0 => Tank::Parallel { driver_ohm: series },
            TankArg::Parallel => return Err(CommandError::ParallelWithoutSeries),
        };
        let ohm = found.ohm.unwrap_or(Modelled::new(1.0, 0.0, CIRCUIT));
        Ok(Self {
            ring: DrivenRing {
                inductance_henry: found.inductance.value,
                coil_ohm: ohm.value,
                capacitance_farad: capacitance.value,
                tank,
                drive_peak_volt: arguments.drive.unwrap_or(1.0),
                carrier_hz: found.frequency_hz,
            },
            inputs: [found.inductance, ohm, capacitance],
            own_farad: own
                .map_or(0.0, |own| own.value)
                .min(0.999 * capacitance.value),
            ohm: found.ohm.map(|_| ()),
            driven: arguments.drive.is_some(),
        })
    }

    /// Refuses an option that needs the coil's resistance where that is not known.
    pub(super) fn needs_ohm(&self, option: &'static str) -> Result<(), CommandError> {
        self.ohm
            .map_err(|reason| CommandError::NoResistance { option, reason })
    }

    /// Whether the coil's resistance is known.
    pub(super) const fn has_ohm(&self) -> bool {
        self.ohm.is_ok()
    }

    /// Resistance of the driver and what lies in series.
    pub(super) const fn series_ohm(&self) -> f64 {
        match self.ring.tank {
            Tank::Series { driver_ohm } | Tank::Parallel { driver_ohm } => driver_ohm,
        }
    }

    /// The circuit with other values of inductance, coil's resistance and capacitance.
    pub(super) const fn with(&self, inductance: f64, ohm: f64, capacitance: f64) -> DrivenRing {
        DrivenRing {
            inductance_henry: inductance,
            coil_ohm: ohm,
            capacitance_farad: capacitance,
            ..self.ring
        }
    }

    /// A number of the circuit, as sure as inductance, resistance and own capacitance let it be.
    pub(super) fn number(
        &self,
        formula: Formula,
        of: fn(&DrivenState) -> f64,
    ) -> Result<Modelled, CommandError> {
        bounded(formula, &self.inputs, |v| {
            self.with(v[0], v[1], v[2]).state().map(|state| of(&state))
        })
        .map_err(explained)
    }

    /// A number of how bits pass.
    fn bits(
        &self,
        formula: Formula,
        rate: f64,
        of: fn(&BitRateFit) -> f64,
    ) -> Result<Modelled, CommandError> {
        bounded(formula, &self.inputs, |v| {
            let state = self.with(v[0], v[1], v[2]).state()?;
            bit_rate_fit(state.resonance_hz, state.loaded_q, rate).map(|fit| of(&fit))
        })
        .map_err(explained)
    }

    /// All resistance as if it lay in series with the coil, ohm.
    pub(super) fn total_ohm(&self) -> Result<f64, ModelError> {
        let state = self.ring.state()?;
        let omega = std::f64::consts::TAU * state.resonance_hz;
        Ok(omega * self.ring.inductance_henry / state.loaded_q)
    }
}

/// Puts the circuit's numbers on the sheet, where it is asked for.
pub(super) fn numbers(
    sheet: &mut Sheet,
    found: &Found,
    arguments: &CircuitArgs,
) -> Result<TunedCircuit, CommandError> {
    let tank = TunedCircuit::new(found, arguments)?;
    if !arguments.is_given() {
        return Ok(tank);
    }
    sheet.part("Tuned circuit");
    let capacitor = tank.ring.capacitance_farad;
    sheet.plain("capacitance_farad", "capacitance in all", "F", capacitor);
    let resonance = tank.number(RESONANCE, |s| s.resonance_hz)?;
    sheet.modelled("resonance_hz", "resonance", "Hz", &resonance);
    let off = (resonance.value / found.frequency_hz - 1.0).abs();
    if off > FAR {
        sheet.notes.push(format!(
            "The tuned coil resonates at {}, far from {}, for which its resistance and with it Q are given; --frequency {:.0} gives them there.",
            quantity(resonance.value, "Hz"),
            quantity(found.frequency_hz, "Hz"),
            resonance.value
        ));
    }
    for (given, option) in [
        (arguments.drive.is_some(), "--drive"),
        (arguments.bit_rate.is_some(), "--bit-rate"),
        (arguments.series_ohm.is_some(), "--series-ohm"),
    ] {
        if given {
            tank.needs_ohm(option)?;
        }
    }
    if tank.has_ohm() {
        let q = tank.number(CIRCUIT, |s| s.loaded_q)?;
        sheet.modelled("loaded_q", "Q with the driver", "", &q);
        let bandwidth = tank.number(CIRCUIT, |s| s.bandwidth_hz)?;
        sheet.modelled("bandwidth_hz", "bandwidth, 3 dB", "Hz", &bandwidth);
    }
    if arguments.drive.is_some() {
        driven(sheet, &tank)?;
    }
    if let Some(rate) = arguments.bit_rate {
        bits(sheet, &tank, rate)?;
    }
    Ok(tank)
}

fn driven(sheet: &mut Sheet, tank: &TunedCircuit) -> Result<(), CommandError> {
    let number = |of| tank.number(CIRCUIT, of);
    let ampere = number(|s| s.coil_peak_ampere)?;
    sheet.modelled("coil_peak_ampere", "in the coil, peak", "A", &ampere);
    let volt = number(|s| s.capacitor_peak_volt)?;
    sheet.modelled("capacitor_peak_volt", "across capacitor, peak", "V", &volt);
    if matches!(tank.ring.tank, Tank::Parallel { .. }) {
        let ampere = number(|s| s.driver_peak_ampere)?;
        sheet.modelled("driver_peak_ampere", "from the driver, peak", "A", &ampere);
    }
    let watt = number(|s| s.coil_watt)?;
    sheet.modelled("coil_watt", "heat in the coil", "W", &watt);
    if volt.value > LIVE_VOLT {
        sheet.cautions.push(format!(
            "about {} peak stand across coil and capacitor while driven, more than the {LIVE_VOLT} V that count as safe to touch (IEC 61010-1, from memory): switch off before you touch or clip anything, cover the ends, and take a capacitor rated for it",
            quantity(volt.value, "V")
        ));
    }
    sheet.cautions.push(Caution::Implants.to_string());
    Ok(())
}

fn bits(sheet: &mut Sheet, tank: &TunedCircuit, rate: f64) -> Result<(), CommandError> {
    let time = tank.bits(ENVELOPE, rate, |fit| fit.time_constant_s)?;
    sheet.modelled("time_constant_s", "envelope's time constant", "s", &time);
    let in_half = tank.bits(ENVELOPE, rate, |fit| fit.time_constants_per_half_bit)?;
    let key = "time_constants_per_half_bit";
    sheet.modelled(key, "of them in half a bit", "", &in_half);
    let full = tank.bits(SIDEBANDS, rate, |fit| fit.full_rate_sideband_db)?;
    let key = "full_rate_sideband_db";
    sheet.modelled(key, "sidebands at the rate", "dB", &full);
    let half = tank.bits(SIDEBANDS, rate, |fit| fit.half_rate_sideband_db)?;
    let key = "half_rate_sideband_db";
    sheet.modelled(key, "sidebands at half of it", "dB", &half);
    let most = tank.bits(HALF_BIT, rate, |fit| fit.most_q)?;
    sheet.modelled("most_q_for_rate", "Q at most for the rate", "", &most);
    let state = tank.ring.state().map_err(explained)?;
    if state.loaded_q <= most.value {
        return Ok(());
    }
    let mut note = format!(
        "Q {} smears bits of this rate into each other",
        quantity(state.loaded_q, "")
    );
    if matches!(tank.ring.tank, Tank::Series { .. }) {
        let total = tank.total_ohm().map_err(explained)? * state.loaded_q / most.value;
        let series = total - tank.ring.coil_ohm;
        let more = format!("; --series-ohm {series:.1} brings it down to the most");
        note.push_str(&more);
    }
    sheet.notes.push(note + ".");
    Ok(())
}
