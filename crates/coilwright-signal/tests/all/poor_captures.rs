//! Captures of recorders that do their work badly.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, SignalKind};
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_signal::frame::{ReadOnly64, read_only_64};

use crate::synthetic::Answer;

fn answer() -> Answer {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    });
    Answer::new(
        manchester::encode(&frame, manchester::Convention::Thomas),
        64.0,
    )
}

fn hear(carrier: &Carrier, samples: &[f32], sample_rate_hz: f64) -> Listening {
    let options = ListenOptions::default();
    listen(
        samples,
        SampleKind::Real,
        sample_rate_hz,
        0,
        carrier,
        &options,
    )
}

fn payload(heard: &Listening) -> &str {
    &heard.keys[0].frames[0].frame.payload
}

#[test]
fn clocks_that_are_off_by_five_hundred_millionths_do_not_matter() {
    for error in [-500e-6, 500e-6] {
        for (sample_rate_hz, zone) in [(1e6, 1), (192e3, 2), (96e3, 3)] {
            let mut answer = answer();
            // A recorder that runs fast shows everything slow, bits and carrier alike.
            answer.carrier_hz = 125e3 * (1.0 + error);
            answer.sample_rate_hz = sample_rate_hz;
            let apparent_hz = match zone {
                1 => answer.carrier_hz,
                2 => 192e3 - answer.carrier_hz,
                _ => answer.carrier_hz - 96e3,
            };
            let kind = match zone {
                1 => SignalKind::Direct,
                zone => SignalKind::Aliased {
                    zone,
                    inverted: zone == 2,
                },
            };
            let carrier = Carrier {
                kind,
                apparent_hz: apparent_hz + 3.0,
                true_hz: answer.carrier_hz,
            };
            let heard = hear(&carrier, &answer.samples(0.3), sample_rate_hz);
            assert_eq!(payload(&heard), "123456789A");
            assert!(heard.keys[0].repeats >= 7, "{}", heard.keys[0].repeats);
        }
    }
}

#[test]
fn a_gain_that_follows_the_level_does_not_hide_a_key() {
    let answer = answer();
    let mut gain = 1.0;
    let samples: Vec<f32> = answer
        .samples(0.4)
        .iter()
        .map(|&sample| {
            // Settles within 20 ms from twice the level to the level, and keeps wandering with 7 Hz.
            gain += (0.5 - gain) * 5e-5;
            gain as f32 * sample
        })
        .enumerate()
        .map(|(n, sample)| sample * (1.0 + 0.1 * (n as f32 * 4.4e-5).sin()))
        .collect();
    let heard = hear(&Carrier::direct(125_003.0), &samples, 1e6);
    assert_eq!(payload(&heard), "123456789A");
    assert!(heard.keys[0].repeats >= 10, "{}", heard.keys[0].repeats);
    assert!(heard.collision.is_none(), "{:?}", heard.collision);
}

#[test]
fn eight_bits_locked_to_the_carrier_still_show_a_key_of_some_steps() {
    let mut answer = answer();
    answer.carrier_hz = 125e3;
    answer.snr_db = 90.0;
    let step = 1.0 / 128.0;
    let samples: Vec<f32> = answer
        .samples(0.3)
        .iter()
        .map(|sample| (sample / step).round() * step)
        .collect();
    let options = ListenOptions {
        quantisation_step: Some(step.into()),
        ..ListenOptions::default()
    };
    let carrier = Carrier::direct(125e3);
    let heard = listen(&samples, SampleKind::Real, 1e6, 0, &carrier, &options);
    assert_eq!(payload(&heard), "123456789A");
    assert!(heard.collision.is_none(), "{:?}", heard.collision);
}
