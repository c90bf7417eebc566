use clap::{Args, ValueEnum};
use coilwright_coil::Quantity;

use super::standard::relative;
use crate::args::{SampleArgs, SignalKindArg, positive};

/// What stands on a ring's resonance curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum QuantityArg {
    /// The current of a series ring, or the voltage of a parallel one: taken where nothing is said.
    Current,
    /// The voltage across the capacitor of a series ring: it peaks below the resonance.
    CapacitorVoltage,
    /// The voltage of the coil, or of a pickup coil beside it: it peaks above the resonance.
    CoilVoltage,
}

/// How a measurement is understood.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Reading")]
pub(crate) struct MeasureArgs {
    /// Frequency at which resistance and Q of an untuned coil are given.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) at: Option<f64>,

    /// What the impedance meter may be off, as its data sheet says: a part of |Z|, such as 0.003 or 0.3%.
    ///
    /// Then one or two frequencies suffice. From three on it is told from the scatter, which a meter's common error does not show.
    #[arg(long, value_name = "PART", value_parser = relative)]
    pub(crate) accuracy: Option<f64>,

    /// What a sweep over frequency measured; also what the second channel picks up.
    #[arg(long, value_enum, value_name = "QUANTITY")]
    pub(crate) quantity: Option<QuantityArg>,

    /// About where a tapped ring resonates; 125 kHz where it is not given.
    ///
    /// It decides which frequency is meant where the recorder is too slow to tell: at 192000 samples per second a ring
    /// of 67 kHz looks like one of 125 kHz.
    #[arg(long, value_name = "HZ", value_parser = positive)]
    pub(crate) near: Option<f64>,

    /// What a recording holds; decided from the samples where it is not given.
    ///
    /// With `ring-down`, a recording in which nothing rings counts as a coil that was tapped and did not ring.
    #[arg(long, value_name = "KIND")]
    pub(crate) signal_kind: Option<SignalKindArg>,

    #[command(flatten)]
    pub(crate) samples: SampleArgs,
}

impl MeasureArgs {
    /// What is on the curve.
    pub(crate) const fn quantity(&self) -> Quantity {
        match self.quantity {
            None | Some(QuantityArg::Current) => Quantity::Current,
            Some(QuantityArg::CapacitorVoltage) => Quantity::CapacitorVoltage,
            Some(QuantityArg::CoilVoltage) => Quantity::CoilVoltage,
        }
    }

    /// One standard deviation of what an impedance meter shows, relative to |Z|: its limits are taken as evenly likely between, so it is the
    /// limit over √3 (JCGM 100:2008, 4.3.7).
    pub(crate) fn meter_deviation(&self) -> Option<f64> {
        self.accuracy.map(|limit| limit / 3.0_f64.sqrt())
    }

    /// The quantity in words.
    pub(crate) const fn taken_as(&self) -> &'static str {
        match self.quantity() {
            Quantity::Current => "taken as proportional to the ring's current",
            Quantity::CapacitorVoltage => "taken across the ring's capacitor",
            Quantity::CoilVoltage => "taken across the ring's coil or by a pickup coil",
        }
    }
}
