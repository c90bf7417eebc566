//! Listens to the stretches with the field on and adds up what was heard.

use std::ops::Range;

use coilwright_signal::Estimate;
use coilwright_signal::capture::CaptureInfo;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{ListenOptions, Listening, listen, listen_in_pause};
use coilwright_signal::view::Heard as HeardStretch;

use super::ListeningSummary;
use super::downlink::DownlinkListener;
use super::harmonic::third_harmonic_db;
use super::keys::Keys;
use super::passage::{Observer, Passage};
use super::phase_steps::without_steps;
use super::piece::Piece;
use super::stretches::{pauses, stretches};
use crate::result::Downlink;

/// Stretches whose third harmonic is measured; more would not make it surer.
const HARMONICS_MEASURED: usize = 8;

/// Bit lengths that the frames which are read come in, in carrier cycles; others would only add false alarms.
const CLOCKS_PER_BIT: [u32; 4] = [64, 40, 32, 16];
/// Bit length that a key is expected to have, in carrier cycles, when it is asked what depth would have been seen.
const USUAL_CLOCKS: f64 = 64.0;
/// Energy of a bit over noise density at which a frame is all but surely read (6 dB).
///
/// `Eb / N0 = m² (C / N0) T` with the depth `m` and the bit time `T`.
const READABLE_EB_N0: f64 = 4.0;

/// What is looked at of a pause of the field: a reply begins within 3 ms and lasts 17 ms with its leading zeros.
const PAUSE_S: f64 = 25e-3;

/// Two halves of a stretch this long still hold the longest frame twice over.
const HALVED_S: f64 = 0.14;

/// Adds up what the stretches of a capture say.
pub(super) struct Listener<'a> {
    /// Who is told of every stretch.
    observer: Option<Observer<'a>>,
    info: CaptureInfo,
    carrier: Option<Carrier>,
    options: ListenOptions,
    sums: Sums,
    heard: Heard,
    downlink: DownlinkListener,
}

/// Sums weighted by length or inverse variance.
#[derive(Default)]
struct Sums {
    weight: f64,
    weighted_hz: f64,
    seconds: f64,
    amplitude: f64,
    noise: f64,
    harmonics: Vec<f64>,
}

/// What was heard in the whole capture.
#[derive(Default)]
pub(super) struct Heard {
    /// True carrier frequency.
    pub carrier_hz: Option<Estimate>,
    /// Mean carrier amplitude.
    pub amplitude: Option<f64>,
    /// Mean noise beside the carrier, in decibels of the carrier and hertz.
    pub noise_dbc_hz: Option<f64>,
    /// Median third harmonic over fundamental.
    pub third_harmonic_db: Option<f64>,
    /// What was heard besides frames.
    pub summary: ListeningSummary,
    /// The keys that answered.
    pub keys: Keys,
    /// What the reader said to the key.
    pub downlink: Downlink,
}

impl<'a> Listener<'a> {
    pub(super) fn new(info: &CaptureInfo, observer: Option<Observer<'a>>) -> Self {
        let keep_baseband = observer.is_some();
        Self {
            observer,
            info: info.clone(),
            carrier: None,
            options: ListenOptions {
                clocks_per_bit: CLOCKS_PER_BIT.to_vec(),
                quantisation_step: info.step,
                keep_baseband,
                ..ListenOptions::default()
            },
            sums: Sums::default(),
            heard: Heard::default(),
            downlink: DownlinkListener::default(),
        }
    }

    /// Listens to a segment.
    pub(super) fn take(&mut self, piece: &Piece) {
        if self.carrier != Some(piece.carrier) {
            let info = self.info.clone();
            let mut observer = self.observer.take();
            if let Some(observer) = &mut observer {
                observer(Passage::Restart);
            }
            *self = Self::new(&info, observer);
            self.carrier = Some(piece.carrier);
        }
        let Piece {
            readings, hop, top, ..
        } = piece;
        let (hop, top) = (*hop, *top);
        let cycles_per_sample = piece.cycles_per_sample(&self.info);
        let width = self.info.kind.width();
        self.downlink.take(&piece.gaps, cycles_per_sample.recip());
        for stretch in stretches(&readings.levels, hop, top) {
            let advance = hop as f64 * cycles_per_sample;
            for part in without_steps(stretch, &readings.phases, hop, advance) {
                self.listen_to(piece, part);
            }
        }
        let most = (PAUSE_S * self.info.sample_rate_hz) as usize;
        for pause in pauses(&readings.levels, hop, top, self.info.sample_rate_hz) {
            let end = pause.end.min(pause.start + most);
            let reply = listen_in_pause(
                &piece.segment.values[pause.start * width..end * width],
                self.info.kind,
                self.info.sample_rate_hz,
                piece.segment.first_sample + pause.start as u64,
                &piece.carrier,
                top.into(),
            );
            if let Some(reply) = reply {
                self.heard.keys.add(&reply);
            }
        }
    }

    /// Listens to a part of a segment with the field on; to each half of it where the whole is modulated and shows no frame,
    /// since the recorder may have lost samples in it.
    fn listen_to(&mut self, piece: &Piece, part: Range<usize>) {
        let whole = self.hear(piece, part.clone());
        let seconds = part.len() as f64 / self.info.sample_rate_hz;
        if whole.detection.modulated && !has_frame(&whole) && seconds >= HALVED_S {
            let middle = part.start.midpoint(part.end);
            let halves = [part.start..middle, middle..part.end];
            let heard = halves.clone().map(|half| self.hear(piece, half));
            if heard.iter().any(has_frame) {
                for (half, heard) in halves.into_iter().zip(&heard) {
                    self.report(piece, half, heard);
                }
                return;
            }
        }
        self.report(piece, part, &whole);
    }

    fn hear(&self, piece: &Piece, part: Range<usize>) -> Listening {
        let width = self.info.kind.width();
        listen(
            &piece.segment.values[part.start * width..part.end * width],
            self.info.kind,
            self.info.sample_rate_hz,
            piece.segment.first_sample + part.start as u64,
            &piece.carrier,
            &self.options,
        )
    }

    /// Passes on and adds up what was heard in a part of a segment.
    fn report(&mut self, piece: &Piece, part: Range<usize>, listening: &Listening) {
        let width = self.info.kind.width();
        let values = &piece.segment.values[part.start * width..part.end * width];
        if width == 1 && self.sums.harmonics.len() < HARMONICS_MEASURED {
            let level =
                third_harmonic_db(values, self.info.sample_rate_hz, listening.carrier_hz.value);
            self.sums.harmonics.extend(level);
        }
        if let Some(observer) = &mut self.observer {
            observer(Passage::Heard(HeardStretch {
                samples: values,
                kind: self.info.kind,
                sample_rate_hz: self.info.sample_rate_hz,
                carrier: &piece.carrier,
                listening,
            }));
        }
        self.add(listening, part.len() as f64 / self.info.sample_rate_hz);
    }

    fn add(&mut self, listening: &Listening, seconds: f64) {
        let weight = listening.carrier_hz.std_dev.powi(-2);
        if weight.is_finite() {
            self.sums.weight += weight;
            self.sums.weighted_hz += weight * listening.carrier_hz.value;
        }
        self.sums.seconds += seconds;
        self.sums.amplitude += seconds * listening.amplitude.value;
        self.sums.noise += seconds * 10.0_f64.powf(listening.noise_dbc_hz / 10.0);
        let heard = &mut self.heard;
        let summary = &mut heard.summary;
        if let Some(collision) = &listening.collision {
            summary.collision_ratio = summary
                .collision_ratio
                .max(collision.statistic / collision.threshold);
        }
        for line in &listening.lines {
            let strongest = summary.strongest_line_dbc.get_or_insert(line.level_dbc);
            *strongest = strongest.max(line.level_dbc);
        }
        for read in &listening.keys {
            heard.keys.add(read);
        }
        let expected = listening.expected.clone();
        self.options.expected = expected.or(self.options.expected.take());
    }

    /// What was heard.
    pub(super) fn finish(mut self) -> Heard {
        let sums = &mut self.sums;
        let heard = &mut self.heard;
        heard.downlink = self.downlink.finish();
        heard.summary.seconds = sums.seconds;
        if sums.weight > 0.0 {
            heard.carrier_hz = Some(Estimate::new(
                sums.weighted_hz / sums.weight,
                sums.weight.sqrt().recip(),
            ));
        }
        if sums.seconds > 0.0 {
            heard.amplitude = Some(sums.amplitude / sums.seconds);
            let noise = sums.noise / sums.seconds;
            heard.noise_dbc_hz = Some(10.0 * noise.log10());
            let bit_s = heard.carrier_hz.map(|carrier| USUAL_CLOCKS / carrier.value);
            heard.summary.visible_depth =
                bit_s.map(|bit_s| (READABLE_EB_N0 * noise / bit_s).sqrt());
        }
        sums.harmonics.sort_by(f64::total_cmp);
        heard.third_harmonic_db = sums.harmonics.get(sums.harmonics.len() / 2).copied();
        self.heard
    }
}

fn has_frame(listening: &Listening) -> bool {
    listening.keys.iter().any(|key| !key.frames.is_empty())
}
