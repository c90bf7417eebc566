//! Half-duplex replies, from the formula.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{KeyRead, Modulation, listen_in_pause};
use coilwright_signal::frame::{Iso11784, hdx};

use crate::half_duplex_signal::HalfDuplex;

const PAUSE_S: f64 = 20e-3;

fn telegram() -> Vec<u8> {
    let sheep = Iso11784 {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: 123_456_789_012,
        trailer: 0,
    };
    hdx::encode(&sheep).to_vec()
}

fn hear(reply: &HalfDuplex) -> Option<KeyRead> {
    let carrier = Carrier::direct(reply.field_hz);
    let samples = reply.pause(PAUSE_S);
    listen_in_pause(
        &samples,
        SampleKind::Real,
        reply.sample_rate_hz,
        5_000,
        &carrier,
        1.0,
    )
}

#[test]
fn a_telegram_is_read_with_unequal_tones_and_a_falling_amplitude() {
    let plain = HalfDuplex::new(telegram());
    let mut with_zeros_before = HalfDuplex::new([vec![0; 16], telegram()].concat());
    with_zeros_before.fall_db = 9.0;
    with_zeros_before.amplitudes = [0.003, 0.006];
    let mut old_part = HalfDuplex::new(telegram());
    old_part.tones_hz = [134_200.0, 123_200.0];
    for (reply, skipped) in [(plain, 0), (with_zeros_before, 16), (old_part, 0)] {
        let key = hear(&reply).unwrap();
        assert_eq!(key.modulation, Modulation::HalfDuplex);
        let read = key.frames.first().unwrap();
        assert_eq!(read.frame.bits, telegram());
        let starts_s = reply.bit_starts_s();
        let begin = 5_000.0 + (reply.delay_s + starts_s[skipped]) * reply.sample_rate_hz;
        let end = 5_000.0 + (reply.delay_s + starts_s[starts_s.len() - 1]) * reply.sample_rate_hz;
        assert!(
            (read.span.start as f64 - begin).abs() < 15.0,
            "{:?} {begin}",
            read.span
        );
        assert!(
            (read.span.end as f64 - end).abs() < 15.0,
            "{:?} {end}",
            read.span
        );
        let mean = 0.5 * (reply.amplitudes[0] + reply.amplitudes[1]);
        let fallen = mean * 10.0_f64.powf(-reply.fall_db / 40.0);
        assert!(
            (key.depth.value / fallen - 1.0).abs() < 0.1,
            "{:?} {fallen}",
            key.depth
        );
    }
}

#[test]
fn a_pause_without_a_reply_gives_nothing() {
    for seed in 0..20 {
        let mut silent = HalfDuplex::new(Vec::new());
        silent.noise_rms = 1e-3;
        silent.seed = seed;
        assert!(hear(&silent).is_none(), "seed {seed}");
    }
}

#[test]
fn a_field_at_another_frequency_is_not_asked() {
    let reply = HalfDuplex::new(telegram());
    let samples = reply.pause(PAUSE_S);
    let carrier = Carrier::direct(125_000.0);
    let heard = listen_in_pause(&samples, SampleKind::Real, 1e6, 0, &carrier, 1.0);
    assert!(heard.is_none());
}

#[test]
fn telegrams_are_read_where_single_bits_would_fail() {
    // 10 dB of energy a bit over noise density: judged alone, each bit of 112 would be wrong with exp(−5)/2 = 0.0034, and one
    // telegram in three.
    const NOISE_RMS: f64 = 0.008_6;
    let mut read = 0;
    for seed in 0..40 {
        let mut reply = HalfDuplex::new(telegram());
        reply.amplitudes = [0.005, 0.005];
        reply.fall_db = 0.0;
        reply.noise_rms = NOISE_RMS;
        reply.phase_between_rad = 0.15 * seed as f64;
        reply.delay_s += 7e-6 * seed as f64;
        reply.seed = seed;
        if let Some(key) = hear(&reply) {
            let frames = &key.frames;
            assert!(frames.iter().all(|read| read.frame.bits == telegram()));
            read += frames.len();
        }
    }
    assert!(read >= 38, "{read} of 40");
}
