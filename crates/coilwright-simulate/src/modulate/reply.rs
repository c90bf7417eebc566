use serde::{Deserialize, Serialize};

use crate::SimulateError;
use crate::error::{require, require_not_negative, require_positive};
use crate::integrate::Tone;

/// Cycles of its tone that a bit lasts (NCD1015ZP data sheet, clause 2.3).
pub(crate) const CYCLES: f64 = 16.0;

/// The reply of a half-duplex key: once the field is off, the key drives its own coil with one tone for each bit.
///
/// While it sends, its output stage is the voltage behind the heavy load of the key, so that load is also what damps the
/// coil then. The supply is what the field left in a capacitor: the amplitude falls exponentially.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnTones {
    /// The tones of 0 and of 1: 134.2 and 124.2 kHz (NCD1015ZP data sheet, p. 1 and clause 2.3), 123.2 kHz for older parts.
    pub tones_hz: [f64; 2],
    /// From the end of the field to the first bit.
    pub delay_s: f64,
    /// Bits 0 before the telegram; 16 is usual (from memory).
    pub leading_zeros: u32,
    /// Amplitude of the output stage at the first bit.
    pub amplitude_volt: f64,
    /// Rate of the amplitude's fall.
    pub decay_per_s: f64,
}

impl OwnTones {
    pub(super) fn validate(&self) -> Result<(), SimulateError> {
        for hz in self.tones_hz {
            require_positive("keys.tones_hz", hz)?;
        }
        require_not_negative("keys.delay_s", self.delay_s)?;
        require_not_negative("keys.amplitude_volt", self.amplitude_volt)?;
        require_not_negative("keys.decay_per_s", self.decay_per_s)?;
        require(
            self.leading_zeros <= 1024,
            "keys.leading_zeros",
            f64::from(self.leading_zeros),
            "at most 1024",
        )
    }

    /// The tones of key `key` that spell `bits` in the pause from `off_s` until `end_s`.
    pub(super) fn tones(&self, key: usize, bits: &[u8], (off_s, end_s): (f64, f64)) -> Vec<Tone> {
        let first_s = off_s + self.delay_s;
        let mut start_s = first_s;
        let zeros = (0..self.leading_zeros).map(|_| 0);
        let mut tones = Vec::new();
        for bit in zeros.chain(bits.iter().copied()) {
            let frequency_hz = self.tones_hz[usize::from(bit != 0)];
            let stop_s = start_s + CYCLES / frequency_hz;
            if stop_s > end_s {
                break;
            }
            tones.push(Tone {
                key,
                start_s,
                end_s: stop_s,
                frequency_hz,
                amplitude_volt: self.amplitude_volt
                    * (-self.decay_per_s * (start_s - first_s)).exp(),
                decay_per_s: self.decay_per_s,
            });
            start_s = stop_s;
        }
        tones
    }

    /// How long a telegram of `bits` lasts.
    pub(crate) fn length_s(&self, bits: &[u8]) -> f64 {
        let zeros = f64::from(self.leading_zeros) * CYCLES / self.tones_hz[0];
        let telegram = bits
            .iter()
            .map(|&bit| CYCLES / self.tones_hz[usize::from(bit != 0)]);
        zeros + telegram.sum::<f64>()
    }
}
