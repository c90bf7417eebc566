use coilwright_signal::Span;
use coilwright_signal::capture::{Capture, Unit};
use rand_chacha::ChaCha8Rng;
use serde::Serialize;

use crate::SimulateError;
use crate::detector::Detector;
use crate::error::{require, require_not_negative, require_positive};
use crate::impair::{
    GainControl, Hum, Line, NoiseBurst, add_noise, clip, decimate, drop_samples, high_pass,
    quantise,
};

/// Longest capture that is simulated in memory.
const LONGEST_SAMPLES: f64 = 1e9;

/// What stands before the sampler.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AntiAlias {
    /// Nothing: what lies above half the rate folds back at full strength.
    None,
    /// A low-pass, as a sound card has.
    LowPass {
        /// How many times faster the signal is sampled before the filter.
        oversampling: usize,
        /// The −6 dB point as a fraction of the sampling rate; 0.5 is half of it.
        cutoff: f64,
    },
}

/// The recorder across the pickup coil, and what reaches it besides the field.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recorder {
    /// The rate that the capture claims.
    pub sample_rate_hz: f64,
    /// By how much the true rate is higher than the claimed, in parts per million.
    pub clock_error_ppm: f64,
    /// When the recording starts; what happened before only sets the stage.
    pub start_s: f64,
    /// Length of the capture.
    pub length_s: f64,
    /// A diode detector before the filter; it wants an oversampled signal.
    pub detector: Option<Detector>,
    /// Cut-off of the coupling capacitor before the sampler.
    pub high_pass_hz: Option<f64>,
    /// The filter before the sampler.
    pub anti_alias: AntiAlias,
    /// Standard deviation of the white noise.
    pub noise_rms_volt: f64,
    /// Stretches of stronger noise.
    pub noise_bursts: Vec<NoiseBurst>,
    /// Narrow lines.
    pub lines: Vec<Line>,
    /// Mains hum.
    pub hum: Option<Hum>,
    /// Constant offset.
    pub offset_volt: f64,
    /// Automatic gain control.
    pub gain_control: Option<GainControl>,
    /// Voltage at which an amplifier before the converter clips.
    pub clip_volt: Option<f64>,
    /// Voltage of full scale.
    pub full_scale_volt: f64,
    /// Bits of an integer format, 2 to 24; `None` keeps volts in floating point.
    pub bits: Option<u32>,
    /// Samples that the recorder loses, counted before the loss.
    pub lost: Vec<Span>,
}

impl Recorder {
    /// Checks every value.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] for the first value that makes no sense.
    pub fn validate(&self) -> Result<(), SimulateError> {
        require_positive("recorder.sample_rate_hz", self.sample_rate_hz)?;
        require_not_negative("recorder.start_s", self.start_s)?;
        require_positive("recorder.length_s", self.length_s)?;
        require(
            (self.start_s + self.length_s) * self.sample_rate_hz * self.oversampling() as f64
                <= LONGEST_SAMPLES,
            "recorder.length_s",
            self.length_s,
            "at most a thousand million samples",
        )?;
        require(
            self.clock_error_ppm.abs() < 1e5,
            "recorder.clock_error_ppm",
            self.clock_error_ppm,
            "below 100000",
        )?;
        if let Some(detector) = &self.detector {
            detector.validate()?;
        }
        if let Some(cutoff_hz) = self.high_pass_hz {
            require_positive("recorder.high_pass_hz", cutoff_hz)?;
        }
        require_not_negative("recorder.noise_rms_volt", self.noise_rms_volt)?;
        require_positive("recorder.full_scale_volt", self.full_scale_volt)?;
        let bits = self.bits.unwrap_or(24);
        require(
            (2..=24).contains(&bits),
            "recorder.bits",
            f64::from(bits),
            "2 to 24 bits",
        )
    }

    /// Returns the true sampling rate.
    #[must_use]
    pub fn true_rate_hz(&self) -> f64 {
        self.sample_rate_hz * (1.0 + 1e-6 * self.clock_error_ppm)
    }

    /// Returns the smallest step of the format in volts, 0 for floating point.
    #[must_use]
    pub fn step_volt(&self) -> f64 {
        self.bits.map_or(0.0, |bits| {
            self.full_scale_volt * (1.0 - f64::from(bits)).exp2()
        })
    }

    /// Returns the noise power: white noise and quantisation, in V².
    #[must_use]
    pub fn noise_power(&self) -> f64 {
        self.noise_rms_volt.powi(2) + self.step_volt().powi(2) / 12.0
    }

    pub(super) fn oversampling(&self) -> usize {
        match self.anti_alias {
            AntiAlias::None => 1,
            AntiAlias::LowPass { oversampling, .. } => oversampling.max(1),
        }
    }

    /// How many samples pass before the recording starts.
    fn skipped_samples(&self) -> usize {
        (self.start_s * self.sample_rate_hz).round() as usize
    }

    /// How many samples must be simulated at the sampling rate.
    pub(super) fn length_samples(&self) -> usize {
        self.skipped_samples() + (self.length_s * self.sample_rate_hz).round() as usize
    }

    /// Returns the position in the capture of a moment, with lost samples taken out.
    pub(super) fn position(&self, time_s: f64) -> f64 {
        let before = time_s * self.true_rate_hz() - self.skipped_samples() as f64;
        let lost: f64 = self
            .lost
            .iter()
            .map(|span| (before.min(span.end as f64) - span.start as f64).max(0.0))
            .sum();
        before - lost
    }

    /// Returns the capture of a voltage that was sampled from time 0 at the true rate times the oversampling.
    pub(super) fn record(&self, volts: Vec<f64>, random: &mut ChaCha8Rng) -> Capture {
        let mut samples = volts;
        let fast_rate_hz = self.true_rate_hz() * self.oversampling() as f64;
        self.lines
            .iter()
            .for_each(|line| line.add(&mut samples, fast_rate_hz));
        if let Some(hum) = &self.hum {
            hum.add(&mut samples, fast_rate_hz);
        }
        if let Some(detector) = &self.detector {
            detector.apply(&mut samples, fast_rate_hz);
        }
        if let Some(cutoff_hz) = self.high_pass_hz {
            high_pass(&mut samples, cutoff_hz, fast_rate_hz);
        }
        if let AntiAlias::LowPass {
            oversampling,
            cutoff,
        } = self.anti_alias
        {
            samples = decimate(&samples, oversampling, cutoff);
        }
        samples.drain(..self.skipped_samples().min(samples.len()));
        add_noise(&mut samples, self.noise_rms_volt, random);
        self.noise_bursts
            .iter()
            .for_each(|burst| burst.add(&mut samples, random));
        for sample in &mut samples {
            *sample += self.offset_volt;
        }
        if let Some(control) = &self.gain_control {
            control.apply(&mut samples, self.sample_rate_hz);
        }
        if let Some(limit_volt) = self.clip_volt {
            clip(&mut samples, limit_volt);
        }
        drop_samples(&mut samples, &self.lost);
        self.store(&samples)
    }

    fn store(&self, samples: &[f64]) -> Capture {
        let stored = match self.bits {
            Some(bits) => quantise(samples, self.full_scale_volt, bits),
            None => samples.iter().map(|&sample| sample as f32).collect(),
        };
        let mut capture = Capture::from_samples(stored, self.sample_rate_hz);
        "simulated".clone_into(&mut capture.info.source.name);
        match self.bits {
            Some(bits) => {
                capture.info.unit = Unit::FullScale;
                capture.info.full_scale = Some(1.0);
                capture.info.step = Some((1.0 - f64::from(bits)).exp2());
            }
            None => capture.info.unit = Unit::Volt,
        }
        capture
    }
}
