//! Names the lines of a spectrum: each is looked for where the carrier, the bit rate and the sample rate put it.

use super::heard::Heard;
use super::line::{LabelledLine, LineKind};
use super::peaks::{Peak, STANDS_OUT_DB, largest};
use super::spectrum::Spectrum;
use crate::capture::SampleKind;
use crate::carrier::{SignalKind, folded_hz};
use crate::demodulate::KeyRead;

/// Harmonics of the carrier that are looked for.
const HARMONICS: u32 = 9;
/// Multiples of the bit rate that are looked for on each side.
const SIDEBANDS: i32 = 4;
/// A key's sideband stands at least this far over the noise; its bins are few.
const SIDEBAND_OVER_NOISE_DB: f64 = 10.0;
/// Mains frequencies and their harmonics.
const HUM_HZ: [u32; 6] = [50, 60, 100, 120, 150, 180];
/// Lines without a name that are listed at most, the strongest first.
const UNKNOWN: usize = 3;
/// A line without a name stands out by this much.
const UNKNOWN_OVER_DB: f64 = 20.0;
/// A line this far over its mirror image about the carrier is no key's.
const ONE_SIDED_DB: f64 = 10.0;
/// Resolution of the spectrum over half the width of a line: the window's main lobe is eight times as wide.
const RESOLUTION: f64 = 0.25;
/// Bits' worth of spectrum on each side of the carrier that belong to a key.
const KEY_BIT_RATES: f64 = 6.0;

/// The lines of the spectrum of what was heard, the carrier first.
pub(super) fn label(spectrum: &Spectrum, heard: &Heard<'_>) -> Vec<LabelledLine> {
    let mut labels = Labels {
        spectrum,
        place: Place::of(heard),
        lines: Vec::new(),
    };
    labels.carrier();
    labels.harmonics();
    for line in heard
        .listening
        .lines
        .iter()
        .chain(&heard.listening.harmonics)
    {
        let seen_hz = labels.place.carrier_hz() + line.offset_hz;
        labels.near(seen_hz, LineKind::TakenOut);
    }
    for read in &heard.listening.keys {
        labels.key(read);
    }
    labels.hum();
    labels.unknown(&heard.listening.keys);
    labels.lines
}

/// Where a frequency in the air is seen.
#[derive(Clone, Copy)]
struct Place {
    signal: SignalKind,
    kind: SampleKind,
    sample_rate_hz: f64,
    /// The carrier in the air.
    true_hz: f64,
    /// What a receiver takes off.
    tuned_hz: f64,
}

impl Place {
    fn of(heard: &Heard<'_>) -> Self {
        Self {
            signal: heard.carrier.kind,
            kind: heard.kind,
            sample_rate_hz: heard.sample_rate_hz,
            true_hz: heard.listening.carrier_hz.value,
            tuned_hz: heard.carrier.true_hz - heard.carrier.apparent_hz,
        }
    }

    /// Where the carrier is seen; 0 for an envelope.
    fn carrier_hz(&self) -> f64 {
        self.seen_hz(0.0)
    }

    /// Where a frequency beside the carrier in the air is seen.
    fn seen_hz(&self, offset_hz: f64) -> f64 {
        match (self.signal, self.kind) {
            (SignalKind::Envelope, _) => offset_hz.abs(),
            (_, SampleKind::Complex) => self.true_hz + offset_hz - self.tuned_hz,
            (_, SampleKind::Real) => folded_hz(self.true_hz + offset_hz, self.sample_rate_hz),
        }
    }
}

struct Labels<'a> {
    spectrum: &'a Spectrum,
    place: Place,
    lines: Vec<LabelledLine>,
}

impl Labels<'_> {
    fn carrier(&mut self) {
        if self.place.signal != SignalKind::Envelope {
            self.near(self.place.carrier_hz(), LineKind::Carrier);
        }
    }

    /// Names the line at a frequency, if it stands out there: to within the spectrum's resolution, or a carrier to within
    /// half a line's width, since it may wander.
    fn near(&mut self, frequency_hz: f64, kind: LineKind) {
        let half_width_hz = self.spectrum.line_half_width_hz;
        let reach_hz = match kind {
            LineKind::Carrier => 0.5 * half_width_hz,
            _ => RESOLUTION * half_width_hz,
        };
        let peak = largest(
            self.spectrum,
            frequency_hz - half_width_hz,
            frequency_hz + half_width_hz,
        );
        let fits = |peak: &Peak| {
            peak.over_db > STANDS_OUT_DB && (peak.frequency_hz - frequency_hz).abs() <= reach_hz
        };
        self.add(peak.filter(fits), kind);
    }

    /// Adds a line unless it has a name already.
    fn add(&mut self, peak: Option<Peak>, kind: LineKind) {
        let half_width_hz = self.spectrum.line_half_width_hz;
        if let Some(peak) = peak
            && self
                .lines
                .iter()
                .all(|line| (line.frequency_hz - peak.frequency_hz).abs() > half_width_hz)
        {
            self.lines.push(LabelledLine {
                kind,
                frequency_hz: peak.frequency_hz,
                level_dbc: peak.level_dbc,
            });
        }
    }

    fn key(&mut self, read: &KeyRead) {
        let bit_rate_hz = self.place.true_hz / f64::from(read.clocks_per_bit.max(1));
        let clocks = read.modulation.subcarrier_clocks();
        for clocks in &clocks {
            let subcarrier_hz = self.place.true_hz / f64::from((*clocks).max(1));
            for &sign in self.sides() {
                let peak = self.band(f64::from(sign) * subcarrier_hz, bit_rate_hz);
                let clocks = sign * clocks.cast_signed();
                self.add(peak, LineKind::Subcarrier { clocks });
            }
        }
        if !clocks.is_empty() {
            return;
        }
        for &sign in self.sides() {
            for multiple in 1..=SIDEBANDS {
                let order = sign * multiple;
                let peak = self.band(f64::from(order) * bit_rate_hz, bit_rate_hz);
                self.add(peak, LineKind::Sideband { order });
            }
        }
    }

    /// Below and above the carrier; an envelope shows both in one.
    fn sides(&self) -> &'static [i32] {
        match self.place.signal {
            SignalKind::Envelope => &[1],
            _ => &[-1, 1],
        }
    }

    /// The strongest line of a band beside the carrier, if it stands over the noise.
    fn band(&self, offset_hz: f64, width_hz: f64) -> Option<Peak> {
        let noise_dbc = self.spectrum.noise_dbc?;
        let seen_hz = self.place.seen_hz(offset_hz);
        let half_hz = 0.5 * width_hz - self.spectrum.step_hz;
        let peak = largest(self.spectrum, seen_hz - half_hz, seen_hz + half_hz)?;
        (peak.level_dbc > noise_dbc + SIDEBAND_OVER_NOISE_DB).then_some(peak)
    }

    fn harmonics(&mut self) {
        let place = self.place;
        if place.signal == SignalKind::Envelope || place.kind == SampleKind::Complex {
            return;
        }
        for order in 2..=HARMONICS {
            let harmonic_hz = f64::from(order) * place.true_hz;
            let folded = harmonic_hz > 0.5 * place.sample_rate_hz;
            let seen_hz = folded_hz(harmonic_hz, place.sample_rate_hz);
            // What folds onto the bottom of the spectrum cannot be told from an offset.
            if seen_hz < 2.0 * self.spectrum.line_half_width_hz {
                continue;
            }
            self.near(seen_hz, LineKind::Harmonic { order, folded });
        }
    }

    fn hum(&mut self) {
        let apart_hz = 1.5 * self.spectrum.line_half_width_hz;
        let own = self.place.kind == SampleKind::Real;
        let on_carrier = self.place.signal != SignalKind::Envelope;
        for hum_hz in HUM_HZ.into_iter().filter(|&hz| f64::from(hz) > apart_hz) {
            let offset_hz = f64::from(hum_hz);
            if own {
                let kind = LineKind::Hum {
                    hum_hz,
                    on_carrier: false,
                };
                self.near(offset_hz, kind);
            }
            for sign in [-1.0, 1.0].into_iter().filter(|_| on_carrier) {
                let kind = LineKind::Hum {
                    hum_hz,
                    on_carrier: true,
                };
                self.near(self.place.seen_hz(sign * offset_hz), kind);
            }
        }
    }

    /// Whether a line has no equal on the other side of the carrier, as all that modulates it has.
    fn is_one_sided(&self, peak: &Peak) -> bool {
        let mirrored_hz = 2.0 * self.place.carrier_hz() - peak.frequency_hz;
        let reach_hz = self.spectrum.line_half_width_hz;
        largest(
            self.spectrum,
            mirrored_hz - reach_hz,
            mirrored_hz + reach_hz,
        )
        .is_none_or(|mirrored| mirrored.level_dbc < peak.level_dbc - ONE_SIDED_DB)
    }

    /// The strongest lines that stand out away from the carrier and its keys.
    fn unknown(&mut self, keys: &[KeyRead]) {
        let spectrum = self.spectrum;
        let clocks = keys.iter().map(|read| read.clocks_per_bit).min();
        let bit_rate_hz =
            clocks.map_or(0.0, |clocks| self.place.true_hz / f64::from(clocks.max(1)));
        let centre_hz = self.place.carrier_hz();
        let kept_hz = (KEY_BIT_RATES * bit_rate_hz).max(4.0 * spectrum.line_half_width_hz);
        let block_hz = 8.0 * spectrum.line_half_width_hz;
        let blocks = (spectrum.level_dbc.len() as f64 * spectrum.step_hz / block_hz) as usize;
        let mut peaks: Vec<Peak> = (0..blocks)
            .filter_map(|block| {
                let low_hz = spectrum.first_hz + block as f64 * block_hz;
                largest(spectrum, low_hz, low_hz + block_hz)
            })
            .filter(|peak| {
                peak.over_db > UNKNOWN_OVER_DB
                    && (peak.frequency_hz - centre_hz).abs() > kept_hz
                    && peak.frequency_hz.abs() > spectrum.line_half_width_hz
                    && self.is_one_sided(peak)
            })
            .collect();
        peaks.sort_by(|a, b| b.level_dbc.total_cmp(&a.level_dbc));
        for peak in peaks.into_iter().take(UNKNOWN + self.lines.len()) {
            let named = self.lines.len();
            self.add(Some(peak), LineKind::Unknown);
            let unknown = self
                .lines
                .iter()
                .filter(|line| line.kind == LineKind::Unknown);
            if self.lines.len() > named && unknown.count() == UNKNOWN {
                break;
            }
        }
    }
}
