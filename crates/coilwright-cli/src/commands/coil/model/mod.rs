//! `coil model`: from the geometry of a coil to its numbers, and to what they mean in a circuit, at a key and beside metal.

mod base;
mod circuit;
mod coil;
mod curves;
mod metal;
mod partner;
mod rectangle;
mod refusal;
mod rod;
mod round_loop;
mod spiral;
mod spread;
mod winding;
mod wire;

use coilwright_coil::{Formula, ModelError, Modelled};

use super::{Form, Sheet, picture, print};
use crate::Status;
use crate::coil_args::{CircuitArgs, RoundArgs, ShapeArgs, WorkArgs};
use crate::error::CommandError;
use crate::plot::{Chart, charts_page};
use crate::streams::Streams;
use coil::Coil;
use refusal::explained;

/// Computes what is asked of a shape, prints it, and draws it where that is asked for.
pub(crate) fn run(shape: &ShapeArgs, streams: &mut Streams<'_>) -> Status {
    let (coil, circuit, round, work) = match shape {
        ShapeArgs::Solenoid(a) => (winding::solenoid(a), &a.circuit, Some(&a.round), &a.work),
        ShapeArgs::Multilayer(a) => (winding::multilayer(a), &a.circuit, Some(&a.round), &a.work),
        ShapeArgs::Loop(a) => (round_loop::of(a), &a.circuit, Some(&a.round), &a.work),
        ShapeArgs::Rectangle(a) => (rectangle::of(a), &a.circuit, None, &a.work),
        ShapeArgs::Spiral(a) => (spiral::of(a), &a.circuit, Some(&a.round), &a.work),
        ShapeArgs::Rod(a) => {
            let sheet = rod::sheet(a).map_err(explained);
            return super::one(sheet, a.output, streams);
        }
    };
    let made = picture::begin(&work.picture, &[]).and_then(|picture| {
        let asked = Asked {
            circuit,
            round,
            work,
        };
        Ok((picture, asked.of(coil?.as_ref())?))
    });
    match made {
        Ok((picture, (sheet, charts))) => {
            let sheets = [sheet];
            let status = print(&sheets, Form::One, work.output, streams);
            let [sheet] = &sheets;
            let draw = |p: crate::plot::Picture| p.complete(&charts_page(&sheet.subject, &charts));
            picture::after(status, picture, draw, streams)
        }
        Err(error) => streams.refuse(&error),
    }
}

/// What is asked of a coil.
struct Asked<'a> {
    circuit: &'a CircuitArgs,
    round: Option<&'a RoundArgs>,
    work: &'a WorkArgs,
}

impl Asked<'_> {
    fn of(&self, coil: &dyn Coil) -> Result<(Sheet, Vec<Chart>), CommandError> {
        let circuit = self.circuit;
        let mut sheet = Sheet::new("model", coil.subject(), "Computed from the geometry.");
        let found = base::numbers(&mut sheet, coil, circuit)?;
        let tank = circuit::numbers(&mut sheet, &found, circuit)?;
        let mut near = None;
        if let Some(round) = self.round {
            partner::numbers(&mut sheet, &found, &round.partner, &tank)?;
            near = metal::numbers(&mut sheet, &found, &round.metal, &tank)?;
        }
        let spreads = spread::numbers(&mut sheet, &tank, &self.work.tolerance)?;
        if self.work.picture.plot.is_none() {
            return Ok((sheet, Vec::new()));
        }
        let charts = if !spreads.is_empty() {
            curves::histograms(&spreads)
        } else if let Some(resonance) = curves::resonance(&tank, near.as_ref(), circuit)? {
            vec![resonance]
        } else {
            curves::over_frequency(coil, circuit)
        };
        Ok((sheet, charts))
    }
}

/// A number that follows from modelled ones: the most that it changes, relatively, over all ends of what those are good to.
fn bounded(
    formula: Formula,
    inputs: &[Modelled],
    result: impl Fn(&[f64]) -> Result<f64, ModelError>,
) -> Result<Modelled, ModelError> {
    let nominal: Vec<f64> = inputs.iter().map(|input| input.value).collect();
    let value = result(&nominal)?;
    let mut most = 0.0_f64;
    for corner in 0_u32..(1 << inputs.len()) {
        let moved: Vec<f64> = inputs
            .iter()
            .enumerate()
            .map(|(i, input)| {
                let sign = if corner >> i & 1 == 1 { 1.0 } else { -1.0 };
                input.value + sign * input.absolute_accuracy()
            })
            .collect();
        // An end at which there is no number says nothing.
        if let Ok(moved) = result(&moved) {
            most = most.max((moved - value).abs());
        }
    }
    Ok(Modelled::new(
        value,
        most / value.abs().max(f64::MIN_POSITIVE),
        formula,
    ))
}
