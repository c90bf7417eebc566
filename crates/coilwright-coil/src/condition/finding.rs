use super::number::Number;
use crate::{Estimate, OhmmeterEvidence};
use serde::Serialize;

/// Where a number lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Under the lower limit.
    Below,
    /// Between the limits.
    Within,
    /// Over the upper limit.
    Above,
}

/// Something that was seen, with what it is held against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[non_exhaustive]
pub enum Finding {
    /// A number against the standard.
    Number {
        /// Which.
        number: Number,
        /// What was measured, in the number's unit.
        measured: Estimate,
        /// What a sound coil has.
        expected: Estimate,
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
        /// Where it lies.
        side: Side,
        /// Where the limits come from.
        origin: &'static str,
        /// What physics makes of it.
        physics: &'static str,
        /// What would confirm it.
        confirm: &'static str,
    },
    /// What the ohmmeter says, where it is more than a number.
    Ohmmeter {
        /// The evidence.
        evidence: OhmmeterEvidence,
        /// What physics makes of it.
        physics: &'static str,
        /// What would confirm it.
        confirm: &'static str,
    },
    /// Impedance or reflection shows the capacitance of leads and no conduction.
    OpenCircuit {
        /// What physics makes of it.
        physics: &'static str,
        /// What would confirm it.
        confirm: &'static str,
    },
    /// Nothing rings.
    NoRing {
        /// What physics makes of it.
        physics: &'static str,
        /// What would confirm it.
        confirm: &'static str,
    },
}

impl Finding {
    /// Whether it speaks against a sound coil.
    #[must_use]
    pub const fn is_deviation(&self) -> bool {
        match self {
            Self::Number { side, .. } => !matches!(side, Side::Within),
            Self::Ohmmeter { evidence, .. } => {
                !matches!(evidence, OhmmeterEvidence::Winding { .. })
            }
            Self::OpenCircuit { .. } | Self::NoRing { .. } => true,
        }
    }

    pub(super) const fn open_circuit() -> Self {
        Self::OpenCircuit {
            physics: "What is connected carries current as the capacitance of leads does, and conducts nothing: the winding, a joint or the connection to it is broken.",
            confirm: "Measure a good coil on the same leads; an ohmmeter across the coil alone shows whether the winding or the lead is broken.",
        }
    }

    pub(super) const fn no_ring() -> Self {
        Self::NoRing {
            physics: "A circuit rings when it holds energy longer than a cycle: this one is open, shorted, or damped by shorted turns to a Q near one.",
            confirm: "An ohmmeter parts open from shorted; the same pulse on a good coil shows whether the test itself works.",
        }
    }

    pub(super) const fn ohmmeter(evidence: OhmmeterEvidence) -> Self {
        let (physics, confirm) = match evidence {
            OhmmeterEvidence::Open { .. } => (
                "No direct current flows: a broken wire or joint, or a capacitor in series that was left in.",
                "Touch the tips together to test the meter, bridge or take out a series capacitor, and read again.",
            ),
            OhmmeterEvidence::Shorted { .. } => (
                "What is left after the leads is no more than their uncertainty, or far less than the winding has: a bridge across the terminals, or a winding of few \
                 thick turns.",
                "Compare with a good coil on the same meter; a four-wire reading shows milliohms.",
            ),
            OhmmeterEvidence::Winding { .. } => (
                "A path through wire: neither open nor shorted at the terminals.",
                "Against a good coil at the same temperature, 1 % less may be shorted turns.",
            ),
        };
        Self::Ohmmeter {
            evidence,
            physics,
            confirm,
        }
    }
}

/// What physics makes of a number on one side of its limits, and what would confirm it.
pub(super) const fn meaning(number: Number, side: Side) -> (&'static str, &'static str) {
    use Side::{Above, Below};
    match (number, side) {
        (_, Side::Within) => (
            "As a sound coil has it.",
            "A second number of another kind: each fault leaves some numbers alone.",
        ),
        (Number::Resonance, Above) => (
            "Less inductance or less capacitance: shorted turns, metal near, or a capacitor that lost value.",
            "Q parts them: it stays with a capacitor, falls somewhat with metal and collapses with shorted turns.",
        ),
        (Number::Resonance, Below) => (
            "More capacitance, or iron near that gathers flux.",
            "Measure away from iron; then measure the capacitor alone.",
        ),
        (Number::Q, Below) => (
            "More loss for the energy that is stored: shorted turns, metal near, a lossy capacitor, or a poor joint.",
            "The resonance parts them: a poor joint or a lossy capacitor leaves it where it was.",
        ),
        (Number::Q, Above) => (
            "Less loss than the standard has: a damping resistor that is missing, or a standard that was loaded more.",
            "Measure both with the same leads, driver and load.",
        ),
        (Number::Inductance, Below) => (
            "Flux is cancelled or turns are missing: shorted turns or metal near.",
            "Measure away from metal; what remains is in the winding.",
        ),
        (Number::Inductance, Above) => (
            "More turns than the standard, iron near, or a measurement close to the self-resonance.",
            "Measure at a lower frequency and away from iron.",
        ),
        (Number::Resistance, Above) => (
            "Power is lost elsewhere than in the wire: eddy currents in metal or shorted turns, or a poor joint.",
            "Direct-current resistance rises with a poor joint only.",
        ),
        (Number::Resistance, Below) => (
            "Less wire or thicker wire than the standard.",
            "Weigh or count: compare inductance and direct-current resistance.",
        ),
        (Number::Capacitance, Above | Below) => (
            "The capacitor has another value than it should have.",
            "Measure it by itself, at the working frequency and at room temperature.",
        ),
        (Number::DirectResistance, Above) => (
            "A poor joint, thinner or more wire, or a warm winding (0.39 % a kelvin).",
            "Read again at a known temperature while flexing the leads.",
        ),
        (Number::DirectResistance, Below) => (
            "Part of the wire is bridged, or the winding is another or colder.",
            "Inductance and Q away from metal: both fall with shorted turns.",
        ),
    }
}
