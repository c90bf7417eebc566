use std::f64::consts::TAU;

use super::draw::Draw;
use crate::circuit::State;
use crate::impair::Hum;
use crate::integrate::{Drive, Schedule, simulate};
use crate::scenario::{AntiAlias, Recorder, Setup};

/// Returns a recorder without any fault, 1 MS/s in floating point.
pub(super) fn quiet(length_s: f64) -> Recorder {
    Recorder {
        sample_rate_hz: 1e6,
        clock_error_ppm: 0.0,
        start_s: 0.0,
        length_s,
        detector: None,
        high_pass_hz: None,
        anti_alias: AntiAlias::None,
        noise_rms_volt: 0.0,
        noise_bursts: Vec::new(),
        lines: Vec::new(),
        hum: None,
        offset_volt: 0.0,
        gain_control: None,
        clip_volt: None,
        full_scale_volt: 1.0,
        bits: None,
        lost: Vec::new(),
    }
}

/// Draws rate, noise, offset, hum and format for a healthy setup.
pub(super) fn draw(draw: &mut Draw, setup: &mut Setup) -> Option<()> {
    let carrier_volt = setup.carrier_volt().ok()?;
    let recorder = &mut setup.recorder;
    recorder.sample_rate_hz = draw.pick(&[
        (1e6, 0.4),
        (500e3, 0.3),
        (2e6, 0.15),
        (384e3, 0.1),
        (192e3, 0.05),
    ]);
    recorder.clock_error_ppm = draw.uniform(-50.0, 50.0);
    let snr_db = draw.uniform(20.0, 60.0);
    recorder.noise_rms_volt = carrier_volt / std::f64::consts::SQRT_2 * 10_f64.powf(-snr_db / 20.0);
    recorder.bits = draw.pick(&[
        (Some(8), 0.2),
        (Some(10), 0.1),
        (Some(12), 0.2),
        (Some(14), 0.05),
        (Some(16), 0.35),
        (Some(24), 0.1),
    ]);
    recorder.full_scale_volt = carrier_volt / draw.uniform(0.25, 0.8);
    recorder.offset_volt = carrier_volt * 0.02 * draw.uniform(-1.0, 1.0);
    if draw.chance(0.3) {
        recorder.hum = Some(Hum {
            frequency_hz: draw.pick(&[(50.0, 0.5), (60.0, 0.5)]),
            amplitude_volt: carrier_volt * draw.log_uniform(0.001, 0.05),
            partials: 8,
            phase_rad: draw.uniform(0.0, TAU),
        });
    }
    Some(())
}

/// Sets full scale to what is there now, as a technician does who watches the level.
pub(super) fn set_gain(draw: &mut Draw, setup: &mut Setup) -> Option<()> {
    let recorder = &setup.recorder;
    let lines_volt: f64 = recorder.lines.iter().map(|line| line.amplitude_volt).sum();
    let hum_volt = recorder.hum.map_or(0.0, |hum| hum.amplitude_volt);
    let bursts_volt = recorder
        .noise_bursts
        .first()
        .map_or(0.0, |burst| burst.rms_volt);
    let noise_volt = 4.0 * recorder.noise_rms_volt.max(bursts_volt);
    let field_volt = field_peak_volt(setup)?.min(recorder.clip_volt.unwrap_or(f64::INFINITY));
    let peak_volt = field_volt + lines_volt + hum_volt + noise_volt + recorder.offset_volt.abs();
    setup.recorder.full_scale_volt = peak_volt / draw.uniform(0.3, 0.9);
    Some(())
}

/// Largest voltage in the first milliseconds of field, harmonics and transients included.
fn field_peak_volt(setup: &Setup) -> Option<f64> {
    if setup.drive.field_on_s.is_empty() {
        return Some(0.0);
    }
    let drive = Drive {
        field_on_s: vec![(1e-4, 3e-3)],
        ..setup.drive.clone()
    };
    let schedule = Schedule {
        drive,
        switches: Vec::new(),
        tones: Vec::new(),
    };
    let trace = simulate(&setup.circuit, &schedule, 2e6, 5_000, State::PickupVoltage).ok()?;
    Some(
        trace
            .samples
            .iter()
            .fold(0.0, |peak, sample| sample.abs().max(peak)),
    )
}
