//! What a model's picture shows.

use coilwright_coil::antenna::{DrivenRing, Tank};
use coilwright_coil::coupling::TunedState;

use super::circuit::TunedCircuit;
use super::coil::{Coil, Resistance};
use super::refusal::explained;
use super::spread::Scattered;
use crate::coil_args::CircuitArgs;
use crate::error::CommandError;
use crate::output::number::quantity;
use crate::plot::{Chart, Histogram, Line, Look, Shown};

/// Points of a curve.
const POINTS: usize = 61;
/// Points of a resonance, which is narrow.
const FINE: usize = 601;
/// Bandwidths that a resonance curve reaches to either side of what it shows.
const BANDWIDTHS: f64 = 4.0;

/// How the results scatter.
pub(super) fn histograms(scattered: &[Scattered]) -> Vec<Chart> {
    scattered
        .iter()
        .map(|one| {
            let (scale, unit) = match one.what.unit {
                "Hz" => (1e-3, ", kHz"),
                "A" => (1e3, ", mA peak"),
                _ => (1.0, ""),
            };
            let result = &one.result;
            Chart {
                title: format!(
                    "{} of {} circuits",
                    capital(one.what.name),
                    result.trials.len()
                ),
                x: format!("{}{unit}", one.what.name),
                y: "circuits".to_owned(),
                shown: Shown::Histogram(Histogram {
                    values: result.trials.iter().map(|v| scale * v).collect(),
                    nominal: scale * result.nominal,
                    central: (scale * result.central_95.0, scale * result.central_95.1),
                    worst: (scale * one.worst.0, scale * one.worst.1),
                }),
                notes: Vec::new(),
            }
        })
        .collect()
}

/// The coil's current over frequency where a circuit or metal is asked for, without metal and beside it.
pub(super) fn resonance(
    tank: &TunedCircuit,
    near: Option<&TunedState>,
    circuit: &CircuitArgs,
) -> Result<Option<Chart>, CommandError> {
    if !tank.has_ohm() || !(circuit.is_given() || near.is_some()) {
        return Ok(None);
    }
    let beside = near.map(|near| {
        tank.with(
            near.inductance_henry,
            near.resistance_ohm,
            tank.ring.capacitance_farad,
        )
    });
    let rings: Vec<&DrivenRing> = std::iter::once(&tank.ring).chain(&beside).collect();
    let (mut low, mut high) = (circuit.frequency, circuit.frequency);
    for ring in &rings {
        let state = ring.state().map_err(explained)?;
        let reach = BANDWIDTHS * state.bandwidth_hz;
        low = low.min((state.resonance_hz - reach).max(0.2 * state.resonance_hz));
        high = high.max(state.resonance_hz + reach.min(state.resonance_hz));
    }
    let current = |ring: &DrivenRing, carrier_hz: f64| {
        let at = DrivenRing {
            carrier_hz,
            ..*ring
        };
        at.state().ok().map(|state| state.coil_peak_ampere)
    };
    // Without a drive only the shape of the curve means something.
    let unit = if tank.driven {
        1e3
    } else {
        let state = tank.ring.state().map_err(explained)?;
        let most = current(&tank.ring, state.resonance_hz).unwrap_or(1.0);
        100.0 / most
    };
    let curve = |ring: &DrivenRing| -> Vec<(f64, f64)> {
        steps(low, high, FINE)
            .filter_map(|f| Some((1e-3 * f, unit * current(ring, f)?)))
            .collect()
    };
    let looks = [Look::Main, Look::Other];
    let lines = rings
        .iter()
        .zip(looks)
        .map(|(ring, look)| Line {
            points: curve(ring),
            look,
        })
        .collect();
    let carrier = rings
        .iter()
        .filter_map(|ring| {
            Some((
                1e-3 * circuit.frequency,
                unit * current(ring, circuit.frequency)?,
            ))
        })
        .collect();
    let mut notes = vec![format!(
        "orange squares: at {}",
        quantity(circuit.frequency, "Hz")
    )];
    if near.is_some() {
        notes.insert(0, "blue: without metal; dashed: beside it".to_owned());
    }
    Ok(Some(Chart {
        title: match tank.ring.tank {
            Tank::Series { .. } => "Current in the coil, series tank".to_owned(),
            Tank::Parallel { .. } => "Current in the coil, parallel tank".to_owned(),
        },
        x: "frequency, kHz".to_owned(),
        y: if tank.driven {
            "mA peak".to_owned()
        } else {
            "% of that at resonance".to_owned()
        },
        shown: Shown::Lines {
            lines,
            marks: carrier,
        },
        notes,
    }))
}

/// What a coil alone is at a frequency.
struct Alone {
    frequency_hz: f64,
    henry: Option<f64>,
    ohm: Option<f64>,
}

impl Alone {
    /// A resistance that was measured is known at its frequency only, so no curve of it is drawn.
    fn of(coil: &dyn Coil, frequency_hz: f64, circuit: &CircuitArgs) -> Self {
        let ohm = match (circuit.coil_ohm, coil.resistance(frequency_hz)) {
            (None, Ok(Resistance::Known(ohm))) => Some(ohm.value),
            _ => None,
        };
        Self {
            frequency_hz,
            henry: coil.inductance(frequency_hz).ok().map(|l| l.value),
            ohm,
        }
    }

    fn q(&self) -> Option<f64> {
        Some(std::f64::consts::TAU * self.frequency_hz * self.henry? / self.ohm?)
    }
}

/// Inductance, resistance and Q of the coil alone, from a twentieth of the frequency to twice it.
pub(super) fn over_frequency(coil: &dyn Coil, circuit: &CircuitArgs) -> Vec<Chart> {
    let middle = circuit.frequency;
    let there = Alone::of(coil, middle, circuit);
    let all: Vec<Alone> = steps(0.05 * middle, 2.0 * middle, POINTS)
        .map(|f| Alone::of(coil, f, circuit))
        .collect();
    let chart = |title: &str, y: &str, of: fn(&Alone) -> Option<f64>| {
        let point = |one: &Alone| Some((1e-3 * one.frequency_hz, of(one)?));
        let points: Vec<(f64, f64)> = all.iter().filter_map(point).collect();
        (!points.is_empty()).then(|| Chart {
            title: title.to_owned(),
            x: "frequency, kHz".to_owned(),
            y: y.to_owned(),
            shown: Shown::Lines {
                lines: vec![Line {
                    points,
                    look: Look::Main,
                }],
                marks: point(&there).into_iter().collect(),
            },
            notes: vec![format!("orange square: at {}", quantity(middle, "Hz"))],
        })
    };
    [
        chart("Inductance", "µH", |one| Some(1e6 * one.henry?)),
        chart("Resistance", "Ω", |one| one.ohm),
        chart("Q of the coil alone", "Q", Alone::q),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Frequencies evenly apart.
fn steps(low: f64, high: f64, count: usize) -> impl Iterator<Item = f64> {
    let step = (high - low) / (count - 1) as f64;
    (0..count).map(move |n| low + step * n as f64)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
