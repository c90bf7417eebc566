use std::f64::consts::TAU;
use std::path::Path;

use coilwright_coil::{
    CoilFit, Estimate, FitError, ImpedanceNoise, ImpedanceOptions, SeriesRingFit, fit_coil,
    fit_series_ring,
};
use coilwright_signal::table::ImpedanceTable;
use num_complex::Complex64;

use super::{answer, name};
use crate::coil_args::MeasureArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::plot::{Drawn, Form};

pub(super) fn sheet(
    path: &Path,
    table: &ImpedanceTable,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let options = ImpedanceOptions {
        reference_hz: arguments.at,
        noise: arguments
            .meter_deviation()
            .map_or(ImpedanceNoise::Proportional, ImpedanceNoise::Relative),
    };
    let method = format!(
        "Impedance table, {}; Q unloaded.",
        super::frequencies(table.frequencies_hz.len())
    );
    let mut sheet = Sheet::new("impedance", name(path), &method);
    sheet.swept_hz = ends(&table.frequencies_hz);
    let fitted = fit(table, &options, &mut sheet);
    match fitted {
        Ok((curve_ohm, beside)) => {
            let measured = &table.impedances_ohm;
            sheet.drawn = parts(&table.frequencies_hz, measured, &curve_ohm, beside);
        }
        Err(FitError::TooFewPoints { found, .. }) if arguments.accuracy.is_none() => {
            return Err(CommandError::FewFrequencies {
                path: path.to_owned(),
                found,
            });
        }
        Err(source) => answer(&mut sheet, path, source)?,
    }
    sheet
        .notes
        .extend(table.warnings.iter().map(ToString::to_string));
    Ok(sheet)
}

/// What the capacitor of a series ring is called.
pub(crate) const SERIES_CAPACITANCE: &str = "series capacitance";

/// Units of inductance by size.
const UNITS: [(f64, &str); 3] = [(1.0, "H"), (1e-3, "mH"), (1e-6, "µH")];

/// Lowest and highest frequency of a rising list.
pub(super) fn ends(frequencies_hz: &[f64]) -> Option<(f64, f64)> {
    Some((*frequencies_hz.first()?, *frequencies_hz.last()?))
}

/// Adds the numbers of a ring, where the table begins below zero reactance, or of a coil; returns the fitted curve.
fn fit(
    table: &ImpedanceTable,
    options: &ImpedanceOptions<'_>,
    sheet: &mut Sheet,
) -> Result<(Vec<Complex64>, Beside), FitError> {
    let (frequencies, impedances) = (&table.frequencies_hz, &table.impedances_ohm);
    if impedances.first().is_none_or(|z| z.im >= 0.0) {
        let fit = fit_coil(frequencies, impedances, options)?;
        coil(sheet, &fit);
        return Ok((fit.curve_ohm, Beside::Inductance));
    }
    let ring = fit_series_ring(frequencies, impedances, options)?;
    let resonance = ring.resonance_hz;
    sheet.measured("resonance_hz", "resonance (unloaded)", "Hz", resonance);
    sheet.measured("q", "Q unloaded", "", ring.q);
    parts_of_ring(sheet, &ring);
    Ok((ring.curve_ohm, Beside::Reactance(resonance.value)))
}

pub(super) fn parts_of_ring(sheet: &mut Sheet, ring: &SeriesRingFit) {
    sheet.measured("inductance_henry", "inductance", "H", ring.inductance_henry);
    sheet.measured(
        "capacitance_farad",
        SERIES_CAPACITANCE,
        "F",
        ring.capacitance_farad,
    );
    sheet.measured(
        "resistance_ohm",
        "series resistance",
        "Ω",
        ring.resistance_ohm,
    );
    if let (Some(coupling), Some(corner)) = (ring.loop_coupling, ring.loop_corner_hz) {
        sheet.plain("at_hz", "both at", "Hz", ring.reference_hz);
        sheet.measured("loop_coupling", "lossy loop beside it, k²", "", coupling);
        sheet.measured("loop_corner_hz", "its corner R/2πL", "Hz", corner);
        sheet.notes.push("Inductance and resistance change with frequency as beside a lossy loop: shorted turns, metal, or the losses of the wire itself.".to_owned());
    }
}

pub(super) fn coil(sheet: &mut Sheet, fit: &CoilFit) {
    sheet.measured("inductance_henry", "inductance", "H", fit.inductance_henry);
    sheet.measured(
        "resistance_ohm",
        "series resistance",
        "Ω",
        fit.resistance_ohm,
    );
    sheet.measured("q", "Q of the coil", "", fit.q);
    sheet.plain("at_hz", "both at", "Hz", fit.reference_hz);
    let optional: [(&'static str, &'static str, &'static str, Option<Estimate>); 3] = [
        (
            "capacitance_farad",
            "capacitance across",
            "F",
            fit.capacitance_farad,
        ),
        (
            "self_resonance_hz",
            "its resonance with it",
            "Hz",
            fit.resonance_hz,
        ),
        (
            "self_resonance_q",
            "Q at that resonance",
            "",
            fit.resonance_q,
        ),
    ];
    for (key, name, unit, estimate) in optional {
        if let Some(estimate) = estimate {
            sheet.measured(key, name, unit, estimate);
        }
    }
    if !fit.residual.is_white {
        sheet.notes.push("The residuals follow a pattern: the stated deviations are too small; look at the fixture and its compensation.".to_owned());
    }
}

/// What is drawn beside the resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Beside {
    /// Apparent inductance, `X/ω`, of a coil.
    Inductance,
    /// Reactance of a ring, which rises through zero at the resonance of so many hertz.
    Reactance(f64),
}

/// Inductance or reactance, and resistance, over frequency.
pub(super) fn parts(
    frequencies_hz: &[f64],
    measured: &[Complex64],
    fitted: &[Complex64],
    beside: Beside,
) -> Vec<Drawn> {
    let inductance = |f: f64, z: &Complex64| z.im / (TAU * f);
    let largest = frequencies_hz
        .iter()
        .zip(measured)
        .map(|(f, z)| inductance(*f, z).abs())
        .fold(0.0, f64::max);
    let (scale, unit) = UNITS
        .into_iter()
        .find(|(scale, _)| largest >= *scale)
        .unwrap_or((1e-9, "nH"));
    let one = |title, y: String, of: &dyn Fn(f64, &Complex64) -> f64| {
        let points = |values: &[Complex64]| {
            let each = frequencies_hz.iter().zip(values);
            each.map(|(f, z)| (1e-3 * f, of(*f, z))).collect()
        };
        Drawn {
            form: Form::Plane,
            title,
            x: "frequency, kHz",
            y,
            measured: points(measured),
            fitted: points(fitted),
            resonance: None,
        }
    };
    let first = match beside {
        Beside::Inductance => {
            let apparent = |f: f64, z: &Complex64| inductance(f, z) / scale;
            one("Inductance", format!("reactance/ω, {unit}"), &apparent)
        }
        Beside::Reactance(resonance_hz) => Drawn {
            // Of a flank it lies elsewhere.
            resonance: ends(frequencies_hz)
                .filter(|(low, high)| (*low..=*high).contains(&resonance_hz))
                .map(|_| (1e-3 * resonance_hz, 0.0)),
            ..one("Reactance", "reactance, Ω".to_owned(), &|_, z| z.im)
        },
    };
    vec![
        first,
        one("Resistance", "resistance, Ω".to_owned(), &|_, z| z.re),
    ]
}
