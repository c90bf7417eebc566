use num_complex::Complex32;
use serde::Serialize;

use super::candidate::{Candidate, DIRECT_HZ, LEAST_OVER_FLOOR, NOMINAL_HZ, candidates};
use super::fold::origins;
use super::model::{Carrier, SignalKind};
use super::spectrum::{Spectrum, hann};
use super::tone::estimate_tone;
use crate::capture::SampleKind;
use crate::dsp::fourier;

/// More samples than this add nothing.
const MAX_SAMPLES: usize = 1 << 17;
/// The carrier is measured over at most this many samples.
const MEASURED_SAMPLES: usize = 1 << 15;
/// A folded carrier outweighs everything else; modulation lines of an envelope do not.
const FOLDED_SHARE: f64 = 0.3;
/// An envelope stands on a level this many times its own swing.
const ENVELOPE_LEVEL: f64 = 4.0;
/// What is left of the carrier behind a detector, over the level.
const ENVELOPE_RIPPLE: f64 = 0.05;
/// Modulation of an envelope lies here.
const MODULATION_HZ: (f64, f64) = (500.0, 10_000.0);

/// What is known about the carrier beforehand.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CarrierOptions {
    /// The nominal frequency; otherwise 125 kHz and 134.2 kHz both count.
    pub nominal_hz: Option<f64>,
    /// The nature of the signal, if the user states it. For `Aliased`, zone 0 leaves the zone open.
    pub forced: Option<SignalKind>,
}

/// What the head of a capture shows of the carrier.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recognition {
    /// The nature of the signal.
    pub kind: SignalKind,
    /// Where the carrier appears in the samples; 0 without a line.
    pub apparent_hz: f64,
    /// Its frequency in the air: for an envelope and for complex baseband the nominal one.
    pub true_hz: f64,
    /// The nominal frequency that this is nearest to.
    pub nominal_hz: f64,
    /// Other frequencies between 100 and 150 kHz that would look the same after sampling.
    pub ambiguous_with_hz: Vec<f64>,
    /// The lines that may be the carrier, the chosen one first.
    pub candidates: Vec<Candidate>,
    /// Level of the chosen line over the median of the spectrum, in decibels; 0 without a line.
    pub peak_over_floor_db: f64,
    /// Power of the chosen line over all power but the offset's.
    pub power_share: f64,
}

impl Recognition {
    /// Returns what [`listen`](crate::demodulate::listen) needs; `None` without a carrier.
    #[must_use]
    pub fn carrier(&self) -> Option<Carrier> {
        (self.kind != SignalKind::NoCarrier).then_some(Carrier {
            kind: self.kind,
            apparent_hz: self.apparent_hz,
            true_hz: self.true_hz,
        })
    }

    fn without_line(kind: SignalKind, nominal_hz: f64, candidates: Vec<Candidate>) -> Self {
        Self {
            kind,
            apparent_hz: 0.0,
            true_hz: nominal_hz,
            nominal_hz,
            ambiguous_with_hz: Vec::new(),
            candidates,
            peak_over_floor_db: 0.0,
            power_share: 0.0,
        }
    }
}

/// Returns the nature of the signal, told from up to 131 072 samples from the head of a capture, and the carrier.
///
/// Real samples: a line between 100 and 150 kHz that is not a harmonic of another is the carrier, seen directly; a
/// line that outweighs all else where 125 or 134.2 kHz ± 3 % folds to is an aliased one; a level with a swing on it
/// and no such line is an envelope. Complex samples: the strongest line. The field may be off for a part of `head`.
#[must_use]
pub fn recognise(
    head: &[f32],
    kind: SampleKind,
    sample_rate_hz: f64,
    options: &CarrierOptions,
) -> Recognition {
    let nominal = options
        .nominal_hz
        .map_or(NOMINAL_HZ.to_vec(), |hz| vec![hz]);
    match kind {
        SampleKind::Complex => recognise_complex(head, sample_rate_hz, nominal[0], options.forced),
        SampleKind::Real => recognise_real(
            &head[..head.len().min(MAX_SAMPLES)],
            sample_rate_hz,
            &nominal,
            options.forced,
        ),
    }
}

fn recognise_real(
    head: &[f32],
    sample_rate_hz: f64,
    nominal: &[f64],
    forced: Option<SignalKind>,
) -> Recognition {
    let spectrum = Spectrum::of(head);
    let mut lines = candidates(&spectrum, sample_rate_hz, nominal);
    if let Some(forced) = forced {
        lines.retain(|line| fits(line, forced));
    }
    let balance = Balance::of(head, &spectrum, sample_rate_hz);
    let chosen = lines.first().copied();
    let is_envelope = match forced {
        Some(kind) => kind == SignalKind::Envelope,
        None => balance.is_envelope(chosen.as_ref()),
    };
    if is_envelope {
        return Recognition::without_line(SignalKind::Envelope, nominal[0], lines);
    }
    match chosen
        .filter(|line| forced.is_some() || line.zone == 1 || balance.share(line) >= FOLDED_SHARE)
    {
        Some(line) => with_line(head, sample_rate_hz, line, lines, balance.share(&line)),
        None => Recognition::without_line(SignalKind::NoCarrier, nominal[0], lines),
    }
}

fn fits(line: &Candidate, forced: SignalKind) -> bool {
    match forced {
        SignalKind::Direct => line.zone == 1,
        SignalKind::Aliased { zone, .. } => line.zone != 1 && (zone == 0 || zone == line.zone),
        _ => false,
    }
}

fn with_line(
    head: &[f32],
    sample_rate_hz: f64,
    line: Candidate,
    lines: Vec<Candidate>,
    share: f64,
) -> Recognition {
    let apparent_hz = measured_hz(head, sample_rate_hz, &line, &lines).unwrap_or(line.apparent_hz);
    let inverted = line.zone.is_multiple_of(2);
    let shift_hz = apparent_hz - line.apparent_hz;
    let same = origins(line.apparent_hz, sample_rate_hz, DIRECT_HZ);
    Recognition {
        kind: if line.zone == 1 {
            SignalKind::Direct
        } else {
            SignalKind::Aliased {
                zone: line.zone,
                inverted,
            }
        },
        apparent_hz,
        true_hz: line.true_hz + if inverted { -shift_hz } else { shift_hz },
        nominal_hz: line.nominal_hz,
        ambiguous_with_hz: same
            .iter()
            .filter(|origin| origin.zone != line.zone)
            .map(|origin| origin.true_hz)
            .collect(),
        candidates: lines,
        peak_over_floor_db: line.peak_over_floor_db,
        power_share: share,
    }
}

/// The frequency of the line by least squares, unless another line is too near for the shorter record.
fn measured_hz(
    head: &[f32],
    sample_rate_hz: f64,
    line: &Candidate,
    lines: &[Candidate],
) -> Option<f64> {
    let measured = &head[..head.len().min(MEASURED_SAMPLES)];
    let near_hz = 6.0 * sample_rate_hz / measured.len().max(1) as f64;
    let is_rival = |other: &Candidate| {
        let distance_hz = (other.apparent_hz - line.apparent_hz).abs();
        distance_hz > 0.0 && distance_hz < 2.0 * near_hz && other.amplitude > 0.1 * line.amplitude
    };
    if lines.iter().any(is_rival) {
        return None;
    }
    let band_hz = (line.apparent_hz - near_hz, line.apparent_hz + near_hz);
    let measured_hz = estimate_tone(measured, sample_rate_hz, band_hz)?
        .frequency_hz
        .value;
    ((measured_hz - line.apparent_hz).abs() < near_hz).then_some(measured_hz)
}

/// Where the power of the head lies.
struct Balance {
    level: f64,
    swing_power: f64,
    modulation_power: f64,
}

impl Balance {
    fn of(head: &[f32], spectrum: &Spectrum, sample_rate_hz: f64) -> Self {
        let count = head.len().max(1) as f64;
        let level = head.iter().map(|&x| f64::from(x)).sum::<f64>() / count;
        let swing_power = head
            .iter()
            .map(|&x| (f64::from(x) - level).powi(2))
            .sum::<f64>()
            / count;
        let bins =
            |hz: f64| ((hz / sample_rate_hz / spectrum.bin) as usize).min(spectrum.magnitude.len());
        let band = &spectrum.magnitude[bins(MODULATION_HZ.0)..bins(MODULATION_HZ.1)];
        // A tone of amplitude a shows Σ |X|² = 1.5 a² under a Hann window when nothing is padded.
        let padding = spectrum.bin * count;
        Self {
            level,
            swing_power,
            modulation_power: band.iter().map(|a| a * a).sum::<f64>() / 3.0 * padding,
        }
    }

    fn share(&self, line: &Candidate) -> f64 {
        (line.amplitude.powi(2) / 2.0 / self.swing_power.max(1e-300)).min(1.0)
    }

    /// An envelope has its power at the level or at the modulation, not in a line that may be a carrier.
    fn is_envelope(&self, line: Option<&Candidate>) -> bool {
        let carrier_power = line.map_or(0.0, |line| line.amplitude.powi(2) / 2.0);
        let carrier_is_faint = match line {
            None => true,
            Some(line) if line.zone == 1 => {
                line.amplitude < ENVELOPE_RIPPLE * self.level.abs()
                    && self.modulation_power > carrier_power
            }
            Some(line) => self.share(line) < FOLDED_SHARE,
        };
        let stands_on_level =
            self.level.abs() > ENVELOPE_LEVEL * self.swing_power.sqrt() && self.level != 0.0;
        let is_modulation =
            self.modulation_power > 0.5 * self.swing_power && self.swing_power > 0.0;
        carrier_is_faint && (stands_on_level || is_modulation)
    }
}

fn recognise_complex(
    head: &[f32],
    sample_rate_hz: f64,
    nominal_hz: f64,
    forced: Option<SignalKind>,
) -> Recognition {
    let (pairs, _) = head.as_chunks::<2>();
    let pairs = &pairs[..pairs.len().min(MAX_SAMPLES)];
    let windowed = pairs
        .iter()
        .zip(hann(pairs.len()))
        .map(|(&[re, im], w)| Complex32::new(re * w, im * w));
    let mut values: Vec<Complex32> = windowed.collect();
    values.resize(fourier::fast_length(pairs.len()), Complex32::default());
    fourier::forward(&mut values);
    let magnitude: Vec<f64> = values
        .iter()
        .map(|z| f64::from(z.norm()) * 2.0 / pairs.len().max(1) as f64)
        .collect();
    let spectrum = Spectrum {
        bin: 1.0 / magnitude.len() as f64,
        magnitude,
    };
    let floor = spectrum.floor();
    let strongest = (0..spectrum.magnitude.len())
        .max_by(|&a, &b| spectrum.magnitude[a].total_cmp(&spectrum.magnitude[b]));
    let Some(bin) = strongest.filter(|&bin| spectrum.magnitude[bin] > LEAST_OVER_FLOOR * floor)
    else {
        return Recognition::without_line(SignalKind::NoCarrier, nominal_hz, Vec::new());
    };
    let fraction = spectrum.interpolate(bin);
    let apparent_hz = (fraction - fraction.round()) * sample_rate_hz;
    let direct = apparent_hz >= DIRECT_HZ.0
        && apparent_hz <= DIRECT_HZ.1
        && forced.is_none_or(|kind| kind == SignalKind::Direct);
    let power = pairs
        .iter()
        .map(|[re, im]| f64::from(re * re + im * im))
        .sum::<f64>()
        / pairs.len() as f64;
    Recognition {
        kind: if direct {
            SignalKind::Direct
        } else {
            SignalKind::ComplexBaseband
        },
        apparent_hz,
        true_hz: if direct { apparent_hz } else { nominal_hz },
        nominal_hz,
        ambiguous_with_hz: Vec::new(),
        candidates: Vec::new(),
        peak_over_floor_db: 20.0 * (spectrum.magnitude[bin] / floor.max(1e-300)).log10(),
        power_share: (spectrum.magnitude[bin].powi(2) / power).min(1.0),
    }
}
