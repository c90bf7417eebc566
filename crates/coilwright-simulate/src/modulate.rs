//! From a frame to the switching of the key's load, in step with the carrier.

use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::frame::{FdxB, Frame, ReadOnly64, fdx_b, read_only_64};
use serde::{Deserialize, Serialize};

use crate::SimulateError;
use crate::circuit::KeySwitch;
use crate::error::require;
use crate::integrate::{Change, Drive, SwitchEvent};

/// The content of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// The 64-bit read-only frame.
    ReadOnly64(ReadOnly64),
    /// The full-duplex frame of ISO 11784/11785.
    FdxB(FdxB),
}

impl Content {
    /// Returns the frame as it is sent.
    #[must_use]
    pub fn frame(&self) -> Frame {
        match self {
            Self::ReadOnly64(fields) => read_only_64::check(&read_only_64::encode(fields)),
            Self::FdxB(fields) => fdx_b::check(&fdx_b::encode(fields)),
        }
    }
}

/// How bits become levels.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineCode {
    /// Manchester: a transition in the middle of every bit.
    Manchester,
    /// Biphase: a transition between bits, and one within every 0.
    Biphase,
}

/// What a key sends: frame after frame without a pause while it has field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeySignal {
    /// The frame.
    pub content: Content,
    /// The line code.
    pub line_code: LineCode,
    /// Carrier cycles a bit: 64, 40, 32 or 16 are usual; even.
    pub clocks_per_bit: u32,
    /// Carrier cycles from the start of the field until the first bit: the key's power-up.
    pub power_up_clocks: u32,
    /// Whether levels are exchanged: the heavy load then is level 0 of the code.
    pub inverted: bool,
}

impl KeySignal {
    /// Returns the half-bit levels, to be repeated from the start: one frame, or two where the line code ends the
    /// first at the other level.
    #[must_use]
    pub fn half_bits(&self) -> Vec<u8> {
        let bits = self.content.frame().bits;
        let mut levels = match self.line_code {
            LineCode::Manchester => manchester::encode(&bits, manchester::Convention::Ieee8023),
            LineCode::Biphase => {
                let twice = [bits.as_slice(), bits.as_slice()].concat();
                let mut levels = biphase::encode(&twice, biphase::Convention::Space, 0);
                if levels[2 * bits.len() - 1] == 0 {
                    levels.truncate(2 * bits.len());
                }
                levels
            }
        };
        if self.inverted {
            for level in &mut levels {
                *level ^= 1;
            }
        }
        levels
    }

    /// Returns the switching of key `index` under a drive: at whole carrier cycles, from power-up until the field
    /// ends, and back to level 0 there.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] when the clocks a bit are odd or 0.
    pub fn events(&self, index: usize, drive: &Drive) -> Result<Vec<SwitchEvent>, SimulateError> {
        let clocks = self.clocks_per_bit;
        require(
            clocks >= 2 && clocks.is_multiple_of(2),
            "keys.clocks_per_bit",
            f64::from(clocks),
            "an even number above 0",
        )?;
        let levels = self.half_bits();
        let half_bit_s = f64::from(clocks / 2) / drive.frequency_hz;
        let mut events = Vec::new();
        for &(start_s, end_s) in &drive.field_on_s {
            let first_s = start_s + f64::from(self.power_up_clocks) / drive.frequency_hz;
            let mut before = KeySwitch::Open;
            let mut push = |time_s, switch| {
                if switch != before {
                    events.push(SwitchEvent {
                        time_s,
                        change: Change::Key(index, switch),
                    });
                    before = switch;
                }
            };
            let count = ((end_s - first_s) / half_bit_s).ceil().max(0.0) as usize;
            for (half_bit, &level) in levels.iter().cycle().take(count).enumerate() {
                push(
                    first_s + half_bit as f64 * half_bit_s,
                    KeySwitch::from_level(level),
                );
            }
            push(end_s, KeySwitch::Open);
        }
        Ok(events)
    }
}
