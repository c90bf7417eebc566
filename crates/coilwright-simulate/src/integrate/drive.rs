use serde::{Deserialize, Serialize};

use crate::SimulateError;
use crate::error::{require, require_positive};

/// Times closer than this count as one: far below any time constant of interest, far above rounding within an hour.
pub(super) const SAME_TIME_S: f64 = 1e-12;

/// Open-circuit voltage of the driver while the field is on; it is 0 V while the field is off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Waveform {
    /// A bridge output that jumps between two levels: full bridge `-V, V`, half bridge `0, V`.
    Square {
        /// Level of the first part of a cycle.
        high_volt: f64,
        /// Level of the rest.
        low_volt: f64,
        /// Share of the cycle spent at the high level.
        duty: f64,
    },
    /// A sinusoid, rising through 0 V where a cycle begins.
    Sine {
        /// Peak voltage.
        amplitude_volt: f64,
    },
}

impl Waveform {
    /// Returns the amplitude of the fundamental.
    ///
    /// `2 (high − low) sin(π duty) / π` for the square wave.
    #[must_use]
    pub fn fundamental_volt(&self) -> f64 {
        match *self {
            Self::Square {
                high_volt,
                low_volt,
                duty,
            } => {
                2.0 * (high_volt - low_volt) * (std::f64::consts::PI * duty).sin()
                    / std::f64::consts::PI
            }
            Self::Sine { amplitude_volt } => amplitude_volt,
        }
    }

    /// Returns the same waveform with every voltage multiplied by `factor`.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        match self {
            Self::Square {
                high_volt,
                low_volt,
                duty,
            } => Self::Square {
                high_volt: high_volt * factor,
                low_volt: low_volt * factor,
                duty,
            },
            Self::Sine { amplitude_volt } => Self::Sine {
                amplitude_volt: amplitude_volt * factor,
            },
        }
    }
}

/// How the drive's cycle stands to the moments when the field is switched on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GatePhase {
    /// One clock runs through: the carrier is coherent over all bursts.
    FreeRunning,
    /// Each burst starts a new cycle.
    Restarted,
}

/// The driver's voltage over time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drive {
    /// Shape and size.
    pub waveform: Waveform,
    /// Carrier frequency.
    pub frequency_hz: f64,
    /// Whether bursts are coherent.
    pub gate_phase: GatePhase,
    /// When the field is on: `(start, end)` in seconds, rising, not overlapping.
    pub field_on_s: Vec<(f64, f64)>,
}

impl Drive {
    /// Checks frequency, duty and order of the bursts.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] for the first value that makes no sense.
    pub fn validate(&self) -> Result<(), SimulateError> {
        require_positive("drive.frequency_hz", self.frequency_hz)?;
        if let Waveform::Square { duty, .. } = self.waveform {
            require(
                duty > 0.0 && duty < 1.0,
                "drive.duty",
                duty,
                "between 0 and 1",
            )?;
        }
        let mut before = f64::NEG_INFINITY;
        for &(start, end) in &self.field_on_s {
            let ordered = start >= before && end > start && end.is_finite();
            require(
                ordered,
                "drive.field_on_s",
                start,
                "rising bursts that do not overlap",
            )?;
            before = end;
        }
        Ok(())
    }

    /// Returns the time at which cycle 0 begins for a burst that starts at `start_s`.
    pub(super) fn origin_s(&self, start_s: f64) -> f64 {
        match self.gate_phase {
            GatePhase::FreeRunning => 0.0,
            GatePhase::Restarted => start_s,
        }
    }
}

/// The edges of a square drive after a moment, one after the other.
#[derive(Clone, Debug)]
pub(super) struct Edges {
    origin_s: f64,
    frequency_hz: f64,
    duty: f64,
    levels: [f64; 2],
    /// Twice the cycle, plus one for the falling edge.
    next: i64,
}

impl Edges {
    pub(super) fn new(
        waveform: (f64, f64, f64),
        frequency_hz: f64,
        origin_s: f64,
        after_s: f64,
    ) -> Self {
        let (high_volt, low_volt, duty) = waveform;
        let cycle = ((after_s - origin_s) * frequency_hz).floor() as i64;
        let mut edges = Self {
            origin_s,
            frequency_hz,
            duty,
            levels: [high_volt, low_volt],
            next: 2 * cycle - 2,
        };
        while edges.next_s() <= after_s + SAME_TIME_S {
            edges.next += 1;
        }
        edges
    }

    /// Time of the coming edge.
    pub(super) fn next_s(&self) -> f64 {
        let falling = if self.next.rem_euclid(2) == 1 {
            self.duty
        } else {
            0.0
        };
        self.origin_s + (self.next.div_euclid(2) as f64 + falling) / self.frequency_hz
    }

    /// Level before the coming edge.
    pub(super) fn level_volt(&self) -> f64 {
        self.levels[usize::from(self.next.rem_euclid(2) == 0)]
    }

    /// Steps over the coming edge and returns by how much the voltage jumps there.
    pub(super) fn step_volt(&mut self) -> f64 {
        let before = self.level_volt();
        self.next += 1;
        self.level_volt() - before
    }
}
