use std::path::Path;

use coilwright_coil::{
    Connection, FitError, OnePort, ReflectionOptions, ResponseOptions, TwoPort, fit_coupled_coils,
    fit_one_port, fit_q_circle, reflection_to_impedance,
};
use coilwright_signal::table::Touchstone;
use num_complex::Complex64;

use super::circle::drawn;
use super::impedance::{Beside, coil, ends, parts, parts_of_ring};
use super::{answer, name, unfitted};
use crate::coil_args::MeasureArgs;
use crate::commands::coil::Sheet;
use crate::error::CommandError;
use crate::output::number::quantity;
use crate::plot::Form;

pub(super) fn sheet(
    path: &Path,
    file: &Touchstone,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let notes = file.warnings.iter().map(ToString::to_string);
    let mut sheet = if file.ports == 2 {
        two_ports(path, file)?
    } else {
        one_port(path, file, arguments)?
    };
    sheet.notes.extend(notes);
    Ok(sheet)
}

/// A resonance in the sweep makes it a ring; without one it is a coil.
fn one_port(
    path: &Path,
    file: &Touchstone,
    arguments: &MeasureArgs,
) -> Result<Sheet, CommandError> {
    let reference = file.reference_ohm.first().copied().unwrap_or(50.0);
    let (frequencies, scattering) = (&file.frequencies_hz, &file.scattering);
    let options = ReflectionOptions {
        reference_hz: arguments.at,
        ..ReflectionOptions::default()
    };
    let what = |what| format!("Reflection against {reference:.0} Ω{what}.");
    let sheet = |method: &str| Sheet::new("reflection", name(path), method);
    let impedances = || -> Vec<Complex64> {
        let each = scattering.iter();
        each.map(|s| reflection_to_impedance(*s, reference))
            .collect()
    };
    match fit_one_port(frequencies, scattering, reference, &options) {
        Ok(OnePort::Ring { circle, series }) => {
            let mut sheet = sheet(&what(", resonance circle"));
            let response = &circle.response;
            sheet.drawn = drawn(frequencies, scattering, response, Form::SmithChart);
            let resonance = response.resonance_hz;
            sheet.measured("resonance_hz", "resonance (loaded)", "Hz", resonance);
            sheet.measured("q", "Q unloaded", "", circle.unloaded_q);
            sheet.measured("loaded_q", "Q loaded by the port", "", response.q);
            sheet.measured("coupling", "coupling factor", "", circle.coupling);
            if let Some(ring) = series {
                parts_of_ring(&mut sheet, &ring);
            }
            Ok(sheet)
        }
        Ok(OnePort::Flank(ring)) => {
            let mut sheet = sheet(&what(", a ring by its parts"));
            sheet.swept_hz = ends(frequencies);
            parts_of_ring(&mut sheet, &ring);
            sheet.notes.push(format!(
                "No resonance stands out. By its parts the ring resonates at {} with a Q of {}: outside the sweep, or damped by the port.",
                quantity(ring.resonance_hz.value, "Hz"),
                quantity(ring.q.value, "")
            ));
            let beside = Beside::Reactance(ring.resonance_hz.value);
            sheet.drawn = parts(frequencies, &impedances(), &ring.curve_ohm, beside);
            Ok(sheet)
        }
        Ok(OnePort::Coil(fit)) => {
            let mut sheet = sheet(&what(" of an untuned coil"));
            sheet.swept_hz = ends(frequencies);
            coil(&mut sheet, &fit);
            sheet.drawn = parts(
                frequencies,
                &impedances(),
                &fit.curve_ohm,
                Beside::Inductance,
            );
            Ok(sheet)
        }
        Err(source) => {
            let mut sheet = sheet(&what(" in which nothing resonates"));
            sheet.swept_hz = ends(frequencies);
            answer(&mut sheet, path, source)?;
            Ok(sheet)
        }
    }
}

/// A resonance between the ports makes it a ring; without one they are two coils near each other.
fn two_ports(path: &Path, file: &Touchstone) -> Result<Sheet, CommandError> {
    let through = file.element(2, 1).unwrap_or_default();
    let connection = Connection::Transmission { scale: 1.0 };
    let options = ResponseOptions::default();
    let circle = match fit_q_circle(&file.frequencies_hz, &through, connection, &options) {
        Ok(circle) => circle,
        Err(FitError::NoResonance { .. } | FitError::ResonanceOutside { .. }) => {
            return coupled(path, file);
        }
        Err(source) => return Err(unfitted(path, source)),
    };
    let method = "Transmission from port 1 to port 2, taken as calibrated.";
    let mut sheet = Sheet::new("transmission", name(path), method);
    sheet.drawn = drawn(
        &file.frequencies_hz,
        &through,
        &circle.response,
        Form::Plane,
    );
    let resonance = circle.response.resonance_hz;
    sheet.measured("resonance_hz", "resonance (loaded)", "Hz", resonance);
    sheet.measured("q", "Q unloaded", "", circle.unloaded_q);
    sheet.measured("loaded_q", "Q loaded by the ports", "", circle.response.q);
    Ok(sheet)
}

fn coupled(path: &Path, file: &Touchstone) -> Result<Sheet, CommandError> {
    let ports: Vec<TwoPort> = file
        .scattering
        .chunks_exact(4)
        .filter_map(|m| match *m {
            [s11, s12, s21, s22] => Some(TwoPort { s11, s21, s12, s22 }),
            _ => None,
        })
        .collect();
    let reference = |port| file.reference_ohm.get(port).copied().unwrap_or(50.0);
    let references = [reference(0), reference(1)];
    let coils = fit_coupled_coils(&file.frequencies_hz, &ports, references)
        .map_err(|source| unfitted(path, source))?;
    let method = "Two ports: two coils near each other.";
    let mut sheet = Sheet::new("coupled_coils", name(path), method);
    sheet.measured(
        "primary_henry",
        "inductance at port 1",
        "H",
        coils.primary_henry,
    );
    sheet.measured(
        "secondary_henry",
        "inductance at port 2",
        "H",
        coils.secondary_henry,
    );
    sheet.measured("mutual_henry", "mutual inductance", "H", coils.mutual_henry);
    sheet.measured(
        "coupling_coefficient",
        "coupling coefficient",
        "",
        coils.coefficient,
    );
    Ok(sheet)
}
