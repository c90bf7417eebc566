use coilwright_signal::capture::BlockSource;

use crate::measure::{Measured, Passage, Progress};
use crate::result::{Check, SCHEMA};
use crate::{CheckError, CheckOptions, conclude};

/// The measurements on one capture, ready to be concluded from or to serve as the known-good one.
#[derive(Clone, Debug)]
pub struct Measurement(Measured);

impl Measurement {
    /// Measures a capture from its first to its last sample, in bounded memory.
    ///
    /// `progress` is called now and then with how far the reading got.
    ///
    /// # Errors
    /// When the options make no sense, when the capture cannot be read, or when it is empty.
    pub fn take(
        source: &mut dyn BlockSource,
        options: &CheckOptions,
        progress: &mut dyn FnMut(Progress),
    ) -> Result<Self, CheckError> {
        options.validate()?;
        crate::measure::measure(source, options, progress, None).map(Self)
    }

    /// Measures as [`take`](Self::take) does, and passes every stretch on that is listened to.
    ///
    /// `observer` is called on another thread, in order of time; the samples and what was heard in them are gone after
    /// the call.
    ///
    /// ```
    /// use coilwright_diagnose::{CheckOptions, Measurement, Passage};
    /// use coilwright_signal::capture::Capture;
    ///
    /// let tone = (0..200_000).map(|n| (0.785 * f64::from(n)).cos() as f32).collect();
    /// let mut source = Capture::from_samples(tone, 1e6).into_source();
    /// let mut spans = Vec::new();
    /// Measurement::take_observed(&mut source, &CheckOptions::default(), &mut |_| {}, &mut |passage| match passage {
    ///     Passage::Restart => spans.clear(),
    ///     Passage::Heard(heard) => spans.push(heard.listening.span),
    ///     _ => {}
    /// })?;
    /// assert_eq!(spans.len(), 1);
    /// # Ok::<(), coilwright_diagnose::CheckError>(())
    /// ```
    ///
    /// # Errors
    /// As [`take`](Self::take).
    pub fn take_observed(
        source: &mut dyn BlockSource,
        options: &CheckOptions,
        progress: &mut dyn FnMut(Progress),
        observer: &mut (dyn FnMut(Passage<'_>) + Send),
    ) -> Result<Self, CheckError> {
        options.validate()?;
        crate::measure::measure(source, options, progress, Some(observer)).map(Self)
    }

    /// The verdict and all that led to it, held against a known-good capture where there is one.
    #[must_use]
    pub fn conclude(&self, good: Option<&Self>) -> Check {
        let Self(measured) = self;
        let (evidence, findings, against) =
            crate::assess::assess(measured, good.map(|good| &good.0));
        let verdict = conclude::verdict(&evidence, good.is_some());
        let cautions = conclude::cautions(verdict.fault);
        Check {
            schema: SCHEMA,
            file: measured.file.clone(),
            capture: measured.capture.clone(),
            signal: measured.signal.clone(),
            carrier: measured.carrier.clone(),
            field: measured.field.clone(),
            ring: measured.ring.clone(),
            keys: measured.keys.clone(),
            downlink: measured.downlink.clone(),
            findings,
            against,
            verdict,
            cautions,
        }
    }
}

/// The verdict on one capture: key, field and antenna ring.
///
/// ```
/// use coilwright_diagnose::{CheckOptions, check};
/// use coilwright_signal::capture::Capture;
///
/// let silence = Capture::from_samples(vec![0.0; 200_000], 1e6);
/// let result = check(&mut silence.into_source(), &CheckOptions::default())?;
/// assert!(result.carrier.frequency_hz.is_none());
/// # Ok::<(), coilwright_diagnose::CheckError>(())
/// ```
///
/// # Errors
/// As [`Measurement::take`].
pub fn check(source: &mut dyn BlockSource, options: &CheckOptions) -> Result<Check, CheckError> {
    Measurement::take(source, options, &mut |_| {}).map(|measurement| measurement.conclude(None))
}
