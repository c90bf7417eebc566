use num_complex::Complex64;

use super::bessel::log_bessel_i0;
use super::tones::Tone;

/// Cycles in a bit of either tone (NCD1015ZP data sheet, clause 2.3).
pub(super) const CYCLES: f64 = 16.0;
/// The tone of a 0 and of a 1 (same source, p. 1 and clause 2.3).
pub(super) const TONES_HZ: [f64; 2] = [134_200.0, 124_200.0];

/// The two tones, 0 first, and what is known of their strength.
pub(super) struct Model<'a> {
    pub tones: [&'a Tone; 2],
    pub levels: [Level; 2],
    /// Noise power per hertz, of both parts.
    pub noise_per_hz: f64,
    /// Phase of a 1 against that of a 0 as the ring leaves it.
    pub phase_between: Complex64,
    /// How much of the phase reference is kept from bit to bit; 0 for none.
    pub memory: f64,
}

/// Amplitude of a tone: falls exponentially over the reply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    pub start: f64,
    pub decay_per_s: f64,
}

impl Level {
    pub(super) fn at(&self, time_s: f64) -> f64 {
        self.start * (-self.decay_per_s * time_s).exp()
    }
}

impl Model<'_> {
    pub(super) fn bit_s(&self, bit: u8) -> f64 {
        CYCLES / self.tones[usize::from(bit)].hz
    }

    /// What a bit at `start_s` holds, in units of the noise, its phase brought to that of a 0: the amplitude of the
    /// matched filter output times the expected amplitude, twice over N0; and the energy over N0.
    pub(super) fn seen(&self, bit: u8, start_s: f64) -> (Complex64, f64) {
        let bit = usize::from(bit);
        let length_s = CYCLES / self.tones[bit].hz;
        let level = self.levels[bit].at(start_s + 0.5 * length_s);
        let mean = self.tones[bit].over(start_s, start_s + length_s);
        let scale = length_s / self.noise_per_hz;
        let turned = if bit == 1 {
            mean * self.phase_between.conj()
        } else {
            mean
        };
        (turned * (2.0 * level * scale), level * level * scale)
    }

    /// Log-likelihood of a bit over that of noise alone, given what the bits before say of the phase, and what they then
    /// say with it.
    ///
    /// With a phase that is unknown but steady, all bits together have the likelihood ln I₀(|Σ u|) − Σ E/N0; each bit
    /// adds what it raises that by. Without memory it is the non-coherent receiver (Proakis, *Digital Communications*,
    /// 4th ed., section 5.4).
    pub(super) fn gain(&self, bit: u8, start_s: f64, before: Complex64) -> (f64, Complex64) {
        let (seen, energy) = self.seen(bit, start_s);
        let after = before + seen;
        let gain = log_bessel_i0(after.norm()) - log_bessel_i0(before.norm()) - energy;
        (gain, after * self.memory)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tones_and_cycles_are_the_published_ones() {
        let table = include_str!("../../../../../testdata/published/signal/protocol_timing.csv");
        for (bit, tone_hz) in TONES_HZ.into_iter().enumerate() {
            let khz = tone_hz / 1e3;
            let bit_us = 1e6 * CYCLES / tone_hz;
            let row = format!("HDX {bit} frequency,{khz},kHz,{CYCLES} cycles = {bit_us:.4} us,");
            assert!(table.contains(&row), "{row}");
        }
    }
}
