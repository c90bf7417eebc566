use std::f64::consts::TAU;

use coilwright_signal::Span;

use super::super::{draw::Draw, key, recorder};
use crate::impair::{Line, NoiseBurst};
use crate::scenario::{AntiAlias, Recorder, Setup};

/// Bursts stay below this share of the carrier: more would hide the field too.
const LOUDEST_BURST: f64 = 1.0;

/// Lines within the key's band, or noise bursts, both well above the key's modulation.
pub(super) fn interfere(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let signal = (*setup.signals.first()?)?;
    let modulation_volt = 0.5 * setup.depth(0).ok()?.total * setup.carrier_volt().ok()?;
    let bit_rate_hz = setup.drive.frequency_hz / f64::from(signal.clocks_per_bit);
    if draw.chance(0.6) {
        for _ in 0..draw.whole(1, 4) {
            let line = masking_line(draw, setup.drive.frequency_hz, bit_rate_hz, modulation_volt);
            setup.recorder.lines.push(line);
        }
    } else {
        // A bit's energy is modulation² T/2 · fs against noise² a sample: so many decibels below, after all repeats of
        // the frame are added up.
        let frame_s = key::frame_s(&signal, setup.drive.frequency_hz);
        let repeats = (field_on_s(setup) / frame_s).max(1.0);
        let bit_samples = setup.recorder.sample_rate_hz / bit_rate_hz;
        let below_db = draw.uniform(1.0, 8.0) + 10.0 * repeats.log10();
        let rms_volt = modulation_volt * (bit_samples / 4.0).sqrt() * 10_f64.powf(below_db / 20.0);
        if rms_volt > LOUDEST_BURST * setup.carrier_volt().ok()? {
            return None;
        }
        setup.recorder.noise_bursts = bursts(draw, &setup.recorder, frame_s, rms_volt);
    }
    recorder::set_gain(draw, setup)
}

fn field_on_s(setup: &Setup) -> f64 {
    let length_s = setup.recorder.length_s;
    let bursts = setup.drive.field_on_s.iter();
    bursts
        .map(|(start_s, end_s)| end_s.min(length_s) - start_s)
        .sum()
}

fn masking_line(draw: &mut Draw, carrier_hz: f64, bit_rate_hz: f64, modulation_volt: f64) -> Line {
    let offset_hz = (bit_rate_hz * draw.uniform(0.3, 1.5)).min(8_000.0);
    Line {
        frequency_hz: carrier_hz + draw.sign() * offset_hz,
        amplitude_volt: modulation_volt * draw.log_uniform(3.0, 20.0),
        phase_rad: draw.uniform(0.0, TAU),
        swing_hz: draw.log_uniform(20.0, 400.0),
        swing_rate_hz: draw.log_uniform(20.0, 300.0),
    }
}

/// So many bursts that every frame meets several.
fn bursts(draw: &mut Draw, recorder: &Recorder, frame_s: f64, rms_volt: f64) -> Vec<NoiseBurst> {
    let period_s = frame_s * draw.uniform(0.1, 0.3);
    let on_s = period_s * draw.uniform(0.5, 0.8);
    let count = (recorder.length_s / period_s).ceil() as u64;
    (0..count)
        .map(|index| {
            let start =
                (index as f64 + draw.uniform(0.0, 0.3)) * period_s * recorder.sample_rate_hz;
            let length = on_s * recorder.sample_rate_hz;
            NoiseBurst {
                span: Span::new(start as u64, (start + length) as u64),
                rms_volt,
            }
        })
        .collect()
}

/// The ways in which a capture can hold too little.
#[derive(Clone, Copy)]
enum Hidden {
    TooShort,
    Clipped,
    Noisy,
    Buried,
    FilteredAway,
}

/// Too short, clipped throughout, too noisy, or nothing left behind the recorder's filter.
pub(super) fn hide(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    let carrier_volt = setup.carrier_volt().ok()?;
    match draw.pick(&[
        (Hidden::TooShort, 0.3),
        (Hidden::Clipped, 0.2),
        (Hidden::Noisy, 0.2),
        (Hidden::Buried, 0.2),
        (Hidden::FilteredAway, 0.1),
    ]) {
        Hidden::TooShort => cut_out(setup, draw, (0.001, 0.006)),
        Hidden::Clipped => {
            cut_out(setup, draw, (0.005, 0.020))?;
            setup.recorder.clip_volt = Some(carrier_volt * draw.log_uniform(0.03, 0.3));
            recorder::set_gain(draw, setup)
        }
        Hidden::Noisy => {
            field_always_on(setup);
            setup.recorder.noise_rms_volt = noise_volt(carrier_volt, draw.uniform(-5.0, 8.0));
            recorder::set_gain(draw, setup)?;
            (key::bit_energy_db(setup, 0)? < -4.0).then_some(())
        }
        Hidden::Buried => {
            setup.recorder.noise_rms_volt = noise_volt(carrier_volt, draw.uniform(-45.0, -25.0));
            recorder::set_gain(draw, setup)
        }
        Hidden::FilteredAway => {
            setup.recorder.sample_rate_hz = 96e3;
            setup.recorder.anti_alias = AntiAlias::LowPass {
                oversampling: 8,
                cutoff: 0.45,
            };
            Some(())
        }
    }
}

fn noise_volt(carrier_volt: f64, snr_db: f64) -> f64 {
    carrier_volt / std::f64::consts::SQRT_2 * 10_f64.powf(-snr_db / 20.0)
}

/// A piece out of the middle of a burst: no edge, less than a frame.
fn cut_out(setup: &mut Setup, draw: &mut Draw, (shortest_s, longest_s): (f64, f64)) -> Option<()> {
    let length_s = draw.log_uniform(shortest_s, longest_s);
    field_always_on(setup);
    setup.recorder.length_s = length_s;
    let frame_s = key::frame_s(setup.signals.first()?.as_ref()?, setup.drive.frequency_hz);
    // A quarter of a frame is far from enough to tell which frame it is.
    (length_s < 0.25 * frame_s).then_some(())
}

/// The field has been on for long when the recording starts, and stays on.
fn field_always_on(setup: &mut Setup) {
    setup.recorder.start_s = 0.020;
    setup.drive.field_on_s = vec![(
        0.001,
        setup.recorder.start_s + setup.recorder.length_s + 1.0,
    )];
}
