use super::{Constellation, Eye, Spectrum, Timing};
use crate::Span;
use crate::capture::SampleKind;
use crate::carrier::Carrier;
use crate::demodulate::{KeyRead, Listening};

/// A stretch of samples and what was heard in it.
#[derive(Clone, Copy, Debug)]
pub struct Heard<'a> {
    /// The stretch: one `f32` a sample, or I, Q pairs.
    pub samples: &'a [f32],
    /// What one sample is.
    pub kind: SampleKind,
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// The carrier that was listened at.
    pub carrier: &'a Carrier,
    /// What was heard.
    pub listening: &'a Listening,
}

/// The views of one stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Views {
    /// The stretch, in samples from the start of the capture.
    pub span: Span,
    /// The spectrum of the samples; `None` where there are too few.
    pub spectrum: Option<Spectrum>,
    /// One for each key that was heard, in the same order.
    pub keys: Vec<KeyViews>,
}

/// The views of one key's answer; each is `None` where the stretch does not carry it. For a key on a subcarrier they show
/// what its matched filters give.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyViews {
    /// The bits laid over each other.
    pub eye: Option<Eye>,
    /// Where the transitions lie against the bit clock.
    pub timing: Option<Timing>,
    /// The half-bits in the plane of in-phase and quadrature, or the bits in that of a subcarrier.
    pub constellation: Option<Constellation>,
}

impl Heard<'_> {
    /// The views of the stretch and of every key in it.
    ///
    /// ```
    /// use coilwright_signal::capture::SampleKind;
    /// use coilwright_signal::carrier::Carrier;
    /// use coilwright_signal::demodulate::{ListenOptions, listen};
    /// use coilwright_signal::view::Heard;
    ///
    /// let samples: Vec<f32> = (0..50_000).map(|n| (f64::from(n) * 0.785).cos() as f32).collect();
    /// let carrier = Carrier::direct(124_936.6);
    /// let options = ListenOptions { keep_baseband: true, ..ListenOptions::default() };
    /// let listening = listen(&samples, SampleKind::Real, 1e6, 0, &carrier, &options);
    /// let heard = Heard {
    ///     samples: &samples,
    ///     kind: SampleKind::Real,
    ///     sample_rate_hz: 1e6,
    ///     carrier: &carrier,
    ///     listening: &listening,
    /// };
    /// let views = heard.views();
    /// let spectrum = views.spectrum.ok_or("too few samples")?;
    /// assert!((spectrum.lines[0].frequency_hz - 124_936.6).abs() < 1.0);
    /// assert!(views.keys.is_empty());
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn views(&self) -> Views {
        Views {
            span: self.listening.span,
            spectrum: Spectrum::of(self),
            keys: self
                .listening
                .keys
                .iter()
                .map(|read| self.key(read))
                .collect(),
        }
    }

    fn key(&self, read: &KeyRead) -> KeyViews {
        let baseband = self.listening.baseband.as_ref();
        let plane = self.listening.plane.as_ref();
        let axis_rad = self.listening.axis_rad;
        KeyViews {
            eye: baseband.and_then(|baseband| Eye::of(baseband, read)),
            timing: baseband.and_then(|baseband| Timing::of(baseband, read)),
            constellation: plane.and_then(|plane| Constellation::of(plane, read, axis_rad)),
        }
    }
}
