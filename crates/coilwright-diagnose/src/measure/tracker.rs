//! Decides what the signal is, then follows when the field is on.

use coilwright_signal::Estimate;
use coilwright_signal::activity::{Activity, ActivityDetector, EdgeWindow, FieldState, LevelKind};
use coilwright_signal::capture::{CaptureInfo, SampleKind};
use coilwright_signal::carrier::{
    Carrier, CarrierOptions, Recognition, SignalKind as Kind, recognise,
};
use pulp::{Simd, WithSimd};

use super::segments::Segment;
use crate::CheckOptions;
use crate::result::{Signal, SignalKind};

/// Length of the stretch that the kind of signal is decided on, in samples.
const HEAD_SAMPLES: usize = 1 << 15;
/// Runs of which a quarter is looked at for the loudest stretch, in samples.
const RUN_SAMPLES: usize = 1024;
/// A later segment is looked at anew when it is this much louder than the one that decided.
const LOUDER: f64 = 2.0;
/// Carriers that differ by less than this share are the same.
const SAME_CARRIER: f64 = 0.003;

/// Follows the signal through the capture.
pub(super) struct Tracker {
    info: CaptureInfo,
    options: CarrierOptions,
    forced: bool,
    found: Option<Found>,
    samples: u64,
}

struct Found {
    recognition: Recognition,
    loudness: f64,
    detector: ActivityDetector,
    origin: u64,
}

/// What was tracked, once the capture ended.
pub(super) struct Tracked {
    /// Kind of signal.
    pub signal: Signal,
    /// Carrier as it was first recognised; `None` where there is none.
    pub carrier: Option<Carrier>,
    /// Nominal carrier.
    pub nominal_hz: Option<f64>,
    /// When the field was on.
    pub activity: Activity,
    /// Raw samples round the edges.
    pub windows: Vec<EdgeWindow>,
}

impl Tracked {
    /// The carrier as it appears in the samples.
    pub(super) fn apparent_hz(&self) -> Option<f64> {
        self.carrier.map(|carrier| carrier.apparent_hz)
    }

    /// The true carrier as it was recognised, good to the width of a line in the stretch it was recognised on.
    pub(super) fn carrier_hz(&self, sample_rate_hz: f64) -> Option<Estimate> {
        let carrier = self.carrier?;
        Some(Estimate::new(
            carrier.true_hz,
            sample_rate_hz / HEAD_SAMPLES as f64,
        ))
    }

    /// The median level of the bursts.
    pub(super) fn level(&self) -> Option<f64> {
        let mut levels: Vec<f64> = self
            .activity
            .bursts
            .iter()
            .map(|burst| burst.level)
            .collect();
        levels.sort_by(f64::total_cmp);
        levels.get(levels.len() / 2).copied()
    }
}

impl Tracker {
    pub(super) fn new(info: &CaptureInfo, options: &CheckOptions) -> Self {
        Self {
            info: info.clone(),
            options: CarrierOptions {
                nominal_hz: options.nominal_hz,
                forced: options.signal_kind.map(forced_kind),
            },
            forced: options.signal_kind.is_some(),
            found: None,
            samples: 0,
        }
    }

    /// Takes a segment and returns the carrier to listen at, once there is one.
    pub(super) fn push(&mut self, segment: &Segment) -> Option<Carrier> {
        let width = self.info.kind.width();
        let fresh = &segment.values[segment.fresh..];
        let head = loudest(fresh, width);
        let loudness = loudness(head, width);
        let louder = self
            .found
            .as_ref()
            .is_none_or(|found| loudness > LOUDER * found.loudness);
        if louder {
            self.look(head, loudness);
        }
        self.samples += (fresh.len() / width) as u64;
        let found = self.found.as_mut()?;
        found.detector.push(fresh);
        found.recognition.carrier()
    }

    fn look(&mut self, head: &[f32], loudness: f64) {
        let recognition = recognise(
            head,
            self.info.kind,
            self.info.sample_rate_hz,
            &self.options,
        );
        if recognition.kind == Kind::NoCarrier {
            return;
        }
        if let Some(found) = &mut self.found {
            let moved = recognition.apparent_hz - found.recognition.apparent_hz;
            if moved.abs() <= SAME_CARRIER * found.recognition.apparent_hz.abs() {
                found.loudness = loudness;
                return;
            }
        }
        let level = level_kind(recognition.kind, self.info.kind);
        if let Ok(detector) =
            ActivityDetector::new(self.info.sample_rate_hz, recognition.apparent_hz, level)
        {
            self.found = Some(Found {
                recognition,
                loudness,
                detector,
                origin: self.samples,
            });
        }
    }

    /// What was tracked.
    pub(super) fn finish(self) -> Tracked {
        let Some(found) = self.found else {
            return Tracked {
                signal: Signal {
                    kind: SignalKind::NoCarrier,
                    forced: self.forced,
                    zone: 1,
                    inverted: false,
                    ambiguous_with_hz: Vec::new(),
                    reason: "No line stands out where a carrier of 100 to 150 kHz would appear."
                        .to_owned(),
                },
                carrier: None,
                nominal_hz: None,
                activity: nothing(),
                windows: Vec::new(),
            };
        };
        let (mut activity, mut windows) = found.detector.finish();
        shift(&mut activity, &mut windows, found.origin);
        let recognition = found.recognition;
        let (zone, inverted) = match recognition.kind {
            Kind::Aliased { zone, inverted } => (zone, inverted),
            _ => (1, false),
        };
        Tracked {
            signal: Signal {
                kind: result_kind(recognition.kind),
                forced: self.forced,
                zone,
                inverted,
                ambiguous_with_hz: recognition.ambiguous_with_hz.clone(),
                reason: reason(&recognition),
            },
            carrier: recognition.carrier(),
            nominal_hz: Some(recognition.nominal_hz),
            activity,
            windows,
        }
    }
}

/// Why the signal is taken for what it is.
fn reason(recognition: &Recognition) -> String {
    let line = || {
        format!(
            "A line at {:.2} kHz stands {:.0} dB above the floor",
            recognition.apparent_hz / 1e3,
            recognition.peak_over_floor_db
        )
    };
    match recognition.kind {
        Kind::Direct => format!("{}: the carrier itself.", line()),
        Kind::Aliased { zone, inverted } => format!(
            "{}: the carrier at {:.2} kHz, folded from Nyquist zone {zone}{}.",
            line(),
            recognition.true_hz / 1e3,
            if inverted { ", mirrored" } else { "" }
        ),
        Kind::Envelope => {
            "There is a level but no carrier line: the envelope behind a diode detector.".to_owned()
        }
        Kind::ComplexBaseband => {
            "The samples are complex: a baseband around the carrier.".to_owned()
        }
        Kind::NoCarrier => "There is no carrier.".to_owned(),
    }
}

fn nothing() -> Activity {
    Activity {
        state: FieldState::NeverOn,
        bursts: Vec::new(),
        edges: Vec::new(),
        dips: Vec::new(),
        repetition: None,
        noise_floor: None,
        dip_regularity: None,
        glitches: 0,
        unlisted_changes: 0,
    }
}

/// Moves everything by the samples that passed before the detector began.
fn shift(activity: &mut Activity, windows: &mut [EdgeWindow], origin: u64) {
    for burst in &mut activity.bursts {
        burst.span.start += origin;
        burst.span.end += origin;
    }
    for edge in &mut activity.edges {
        edge.sample += origin;
    }
    for dip in &mut activity.dips {
        dip.span.start += origin;
        dip.span.end += origin;
    }
    for window in windows {
        window.first_sample += origin;
    }
}

/// The stretch of [`HEAD_SAMPLES`] with the most fast change, where a carrier is likeliest to be on.
fn loudest(values: &[f32], width: usize) -> &[f32] {
    let step = HEAD_SAMPLES / 4 * width;
    // A quarter of each run tells how loud it is; a field stays on for longer than the rest.
    let run = RUN_SAMPLES * width;
    let quarters = |chunk: &[f32]| -> f64 {
        let runs = chunk.chunks(run);
        runs.map(|run| loudness(&run[..run.len().div_ceil(4 * width) * width], width))
            .sum()
    };
    let powers: Vec<f64> = values.chunks(step).map(quarters).collect();
    let best = (0..powers.len())
        .max_by(|&a, &b| {
            let sum = |first: usize| powers.iter().skip(first).take(4).sum::<f64>();
            sum(a).total_cmp(&sum(b))
        })
        .unwrap_or(0);
    let start = (best * step).min(values.len().saturating_sub(4 * step));
    &values[start..values.len().min(start + 4 * step)]
}

/// Root of the mean square difference of neighbours in time: it ignores an offset and slow hum.
fn loudness(values: &[f32], width: usize) -> f64 {
    if values.len() <= width {
        return 0.0;
    }
    let arch = pulp::Arch::new();
    let sum: f64 = values[width..]
        .chunks(4096)
        .zip(values.chunks(4096))
        .map(|(later, earlier)| f64::from(arch.dispatch(SquareChange { later, earlier })))
        .sum();
    (sum / values.len() as f64).sqrt()
}

/// Σ (later − earlier)² over as many values as fill whole vectors.
struct SquareChange<'a> {
    later: &'a [f32],
    earlier: &'a [f32],
}

impl WithSimd for SquareChange<'_> {
    type Output = f32;

    #[expect(
        clippy::inline_always,
        reason = "the body must take on the vector features of the dispatch"
    )]
    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> f32 {
        let pairs = |values| S::as_simd_f32s(values).0.as_chunks::<2>().0;
        let mut sums = [simd.splat_f32s(0.0); 2];
        for (later, earlier) in pairs(self.later).iter().zip(pairs(self.earlier)) {
            for (sum, (&later, &earlier)) in sums.iter_mut().zip(later.iter().zip(earlier)) {
                let change = simd.sub_f32s(later, earlier);
                *sum = simd.mul_add_e_f32s(change, change, *sum);
            }
        }
        simd.reduce_sum_f32s(simd.add_f32s(sums[0], sums[1]))
    }
}

const fn level_kind(kind: Kind, samples: SampleKind) -> LevelKind {
    match (kind, samples) {
        (Kind::Envelope, _) => LevelKind::Envelope,
        (_, SampleKind::Complex) => LevelKind::ComplexCarrier,
        (_, SampleKind::Real) => LevelKind::RealCarrier,
    }
}

const fn result_kind(kind: Kind) -> SignalKind {
    match kind {
        Kind::Direct => SignalKind::Direct,
        Kind::Aliased { .. } => SignalKind::Aliased,
        Kind::Envelope => SignalKind::Envelope,
        Kind::ComplexBaseband => SignalKind::ComplexBaseband,
        Kind::NoCarrier => SignalKind::NoCarrier,
    }
}

const fn forced_kind(kind: SignalKind) -> Kind {
    match kind {
        SignalKind::Direct => Kind::Direct,
        SignalKind::Aliased => Kind::Aliased {
            zone: 0,
            inverted: false,
        },
        SignalKind::Envelope => Kind::Envelope,
        SignalKind::ComplexBaseband => Kind::ComplexBaseband,
        SignalKind::RingDown | SignalKind::NoCarrier => Kind::NoCarrier,
    }
}
