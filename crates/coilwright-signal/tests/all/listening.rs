//! Synthetic captures through the whole of `listen`.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, SignalKind};
use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::demodulate::{LineCode, ListenOptions, Listening, listen};
use coilwright_signal::frame::{FdxB, FrameKind, ReadOnly64, fdx_b, read_only_64};

use crate::synthetic::{Answer, add_line};

const SANDPIPER: ReadOnly64 = ReadOnly64 {
    customer: 0x12,
    number: 0x3456_789A,
};

fn read_only_levels(convention: manchester::Convention) -> Vec<u8> {
    manchester::encode(&read_only_64::encode(&SANDPIPER), convention)
}

/// Two frames, so that the levels close on themselves.
fn sheep_levels() -> Vec<u8> {
    let sheep = FdxB {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: 123_456_789_012,
        trailer: 0,
    };
    biphase::encode(
        &fdx_b::encode(&sheep).repeat(2),
        biphase::Convention::Space,
        0,
    )
}

fn hear(answer: &Answer, samples: &[f32]) -> Listening {
    let carrier = Carrier::direct(answer.carrier_hz + 2.0);
    listen(
        samples,
        SampleKind::Real,
        answer.sample_rate_hz,
        1_000,
        &carrier,
        &ListenOptions::default(),
    )
}

#[test]
fn a_manchester_key_is_read_at_every_rate_and_in_both_polarities() {
    for clocks in [64_u32, 40, 32, 16] {
        for (convention, inverted) in [
            (manchester::Convention::Thomas, false),
            (manchester::Convention::Ieee8023, true),
        ] {
            let answer = Answer::new(read_only_levels(convention), f64::from(clocks));
            let heard = hear(&answer, &answer.samples(0.25));
            assert!(
                (heard.carrier_hz.value - answer.carrier_hz).abs() < 0.02,
                "{:?}",
                heard.carrier_hz
            );
            assert!((heard.amplitude.value - answer.amplitude).abs() < 1e-3);
            let [key] = heard.keys.as_slice() else {
                panic!("no key at RF/{clocks}")
            };
            assert_eq!(
                (key.clocks_per_bit, key.line_code),
                (clocks, Some(LineCode::Manchester))
            );
            assert!(
                (key.depth.value / answer.depth - 1.0).abs() < 0.1,
                "{:?}",
                key.depth
            );
            let frames = (0.25 * answer.carrier_hz / f64::from(64 * clocks)) as usize - 1;
            assert!(
                key.repeats >= frames && key.frames.len() == key.repeats,
                "{} of {frames}",
                key.repeats
            );
            for read in &key.frames {
                assert_eq!(read.frame.payload, "123456789A");
                assert_eq!((read.inverted, read.corrected_bits), (inverted, 0));
            }
            // The first frame begins where it was sent.
            let sent = 1_000.0 + answer.delay_s * answer.sample_rate_hz;
            let frame_samples = f64::from(64 * clocks) / answer.carrier_hz * answer.sample_rate_hz;
            let off = (key.frames[0].span.start as f64 - sent) / frame_samples;
            assert!((off - off.round()).abs() * 64.0 < 0.05, "{off} frames");
        }
    }
}

#[test]
fn a_sheep_tag_is_read() {
    let mut answer = Answer::new(sheep_levels(), 32.0);
    answer.carrier_hz = 134_195.0;
    let heard = hear(&answer, &answer.samples(0.2));
    let key = &heard.keys[0];
    assert_eq!(
        (key.line_code, key.clocks_per_bit),
        (Some(LineCode::Biphase), 32)
    );
    assert_eq!(key.frames[0].frame.kind, FrameKind::FdxB);
    assert_eq!(key.frames[0].frame.payload, "8000F9DCBE991A14");
    assert!(key.repeats >= 5 && !key.frames[0].inverted);
    assert!(heard.collision.is_none());
}

#[test]
fn pure_phase_modulation_is_read_and_its_axis_told() {
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
    answer.axis_rad = 1.5;
    let heard = hear(&answer, &answer.samples(0.2));
    assert!(
        (heard.axis_rad.unwrap() - 1.5).abs() < 0.05,
        "{:?}",
        heard.axis_rad
    );
    assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
}

#[test]
fn a_bare_carrier_with_hum_is_not_modulated() {
    for seed in 0..5 {
        let mut answer = Answer::new(Vec::new(), 64.0);
        answer.hum = 0.02;
        answer.seed = seed;
        let heard = hear(&answer, &answer.samples(0.25));
        assert!(!heard.detection.modulated, "{:?}", heard.detection);
        assert!(heard.keys.is_empty() && heard.axis_rad.is_none());
    }
}

#[test]
fn hum_twenty_times_the_modulation_does_not_hide_a_key() {
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
    answer.depth = 0.002;
    answer.hum = 0.04;
    answer.snr_db = 55.0;
    let heard = hear(&answer, &answer.samples(0.25));
    assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
}

#[test]
fn a_folded_harmonic_beside_the_carrier_does_not_hide_a_key() {
    // The seventh harmonic of 125003.7 Hz folds to 124974.1 Hz at 1 MS/s, 20 dB above a modulation of 0.2 %.
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
    answer.depth = 0.002;
    answer.snr_db = 55.0;
    let mut samples = answer.samples(0.25);
    add_line(&mut samples, 1e6, 124_974.1, 0.01);
    let heard = hear(&answer, &samples);
    assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
}

#[test]
fn a_weak_key_is_read_from_its_repeats() {
    for (levels, carrier_hz, clocks, payload) in [
        (
            read_only_levels(manchester::Convention::Thomas),
            125_003.7,
            64.0,
            "123456789A",
        ),
        (sheep_levels(), 134_200.0, 32.0, "8000F9DCBE991A14"),
    ] {
        let mut answer = Answer::new(levels, clocks);
        answer.carrier_hz = carrier_hz;
        let answer = answer.with_eb_n0(-2.0);
        let heard = hear(&answer, &answer.samples(0.7));
        let key = &heard.keys[0];
        assert_eq!(key.frames[0].frame.payload, payload);
        assert!(key.repeats > 15, "{}", key.repeats);
    }
}

#[test]
fn hopeless_stretches_give_no_detection() {
    let carrier = Carrier::direct(125e3);
    for samples in [
        vec![],
        vec![0.0; 5],
        vec![0.0; 50_000],
        vec![f32::NAN; 50_000],
    ] {
        let heard = listen(
            &samples,
            SampleKind::Real,
            1e6,
            0,
            &carrier,
            &ListenOptions::default(),
        );
        assert!(!heard.detection.modulated && heard.keys.is_empty());
    }
}

#[test]
fn a_key_is_read_from_an_undersampled_carrier() {
    for (sample_rate_hz, apparent_hz, zone) in [(192e3, 66_996.3, 2), (96e3, 29_003.7, 3)] {
        for axis_rad in [0.4, 1.2] {
            let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
            answer.sample_rate_hz = sample_rate_hz;
            answer.axis_rad = axis_rad;
            let kind = SignalKind::Aliased {
                zone,
                inverted: zone == 2,
            };
            let carrier = Carrier {
                kind,
                apparent_hz,
                true_hz: answer.carrier_hz,
            };
            let samples = answer.samples(0.3);
            let heard = listen(
                &samples,
                SampleKind::Real,
                sample_rate_hz,
                0,
                &carrier,
                &ListenOptions::default(),
            );
            assert!((heard.carrier_hz.value - answer.carrier_hz).abs() < 0.1);
            assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
        }
    }
}

#[test]
fn a_key_is_read_behind_a_detector_with_its_own_clock() {
    for (sample_rate_hz, carrier_hz, clocks) in [
        (44.1e3, 123_000.0, 64.0),
        (48e3, 126_500.0, 32.0),
        (96e3, 125e3, 16.0),
    ] {
        let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), clocks);
        answer.sample_rate_hz = sample_rate_hz;
        answer.carrier_hz = carrier_hz;
        let samples = answer.envelope(1.0, 1.0);
        let carrier = Carrier {
            kind: SignalKind::Envelope,
            apparent_hz: 0.0,
            true_hz: 125e3,
        };
        let heard = listen(
            &samples,
            SampleKind::Real,
            sample_rate_hz,
            0,
            &carrier,
            &ListenOptions::default(),
        );
        let key = &heard.keys[0];
        assert_eq!(f64::from(key.clocks_per_bit), clocks);
        assert!(
            (heard.carrier_hz.value / carrier_hz - 1.0).abs() < 1e-4,
            "{:?}",
            heard.carrier_hz
        );
        assert_eq!(key.frames[0].frame.payload, "123456789A");
        assert!(key.repeats > 10);
    }
}

#[test]
fn a_sheep_tag_is_read_behind_a_detector() {
    let mut answer = Answer::new(sheep_levels(), 32.0);
    answer.sample_rate_hz = 48e3;
    answer.carrier_hz = 134_200.0;
    let carrier = Carrier {
        kind: SignalKind::Envelope,
        apparent_hz: 0.0,
        true_hz: 125e3,
    };
    let heard = listen(
        &answer.envelope(0.6, 1.0),
        SampleKind::Real,
        48e3,
        0,
        &carrier,
        &ListenOptions::default(),
    );
    assert_eq!(heard.keys[0].frames[0].frame.payload, "8000F9DCBE991A14");
}

#[test]
fn a_key_is_read_from_complex_samples() {
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
    answer.sample_rate_hz = 62_500.0;
    let pairs = answer.pairs(0.5, -3_000.0);
    let carrier = Carrier {
        kind: SignalKind::ComplexBaseband,
        apparent_hz: -3_001.0,
        true_hz: 125_900.0,
    };
    let heard = listen(
        &pairs,
        SampleKind::Complex,
        62_500.0,
        0,
        &carrier,
        &ListenOptions::default(),
    );
    assert!((heard.amplitude.value - answer.amplitude).abs() < 1e-3);
    assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
}

#[test]
fn a_converter_line_beside_the_carrier_is_taken_out_and_named() {
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
    answer.depth = 0.002;
    answer.snr_db = 55.0;
    let mut samples = answer.samples(0.4);
    add_line(&mut samples, 1e6, answer.carrier_hz + 3_217.0, 0.01);
    let heard = hear(&answer, &samples);
    assert_eq!(heard.lines.len(), 1, "{:?}", heard.lines);
    assert!((heard.lines[0].offset_hz - 3_217.0).abs() < 0.5);
    assert!(
        (heard.lines[0].level_dbc + 33.98).abs() < 0.5,
        "{:?}",
        heard.lines
    );
    assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
    // The line alone is not a key.
    answer.levels = Vec::new();
    let mut samples = answer.samples(0.4);
    add_line(&mut samples, 1e6, answer.carrier_hz + 3_217.0, 0.01);
    assert!(!hear(&answer, &samples).detection.modulated);
}

/// In a short stretch, where a line leaks far, into the filters for subcarriers too.
#[test]
fn a_line_on_one_side_of_the_carrier_is_no_subcarrier() {
    for (offset_hz, relative, snr_db, seed) in [
        (-24_350.0, 0.0097, 49.0, 1),
        (-20_352.0, 0.007, 55.0, 2),
        (-14_156.0, 0.0099, 54.0, 3),
        (-8_229.0, 0.0076, 57.0, 4),
        (8_026.0, 0.0075, 48.0, 5),
        (16_870.0, 0.008, 60.0, 6),
    ] {
        let mut answer = Answer::new(Vec::new(), 64.0);
        (answer.snr_db, answer.seed) = (snr_db, seed);
        let mut samples = answer.samples(0.05);
        let line_hz = answer.carrier_hz + offset_hz;
        add_line(&mut samples, 1e6, line_hz, relative * answer.amplitude);
        let heard = hear(&answer, &samples);
        assert!(
            !heard.detection.modulated,
            "{offset_hz} Hz: {:?}",
            heard.detection
        );
    }
}

#[test]
fn a_frame_of_zeros_is_not_taken_for_a_line() {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 0,
        number: 0,
    });
    let answer = Answer::new(
        manchester::encode(&frame, manchester::Convention::Thomas),
        64.0,
    );
    let heard = hear(&answer, &answer.samples(0.5));
    assert!(heard.lines.is_empty());
    assert_eq!(heard.keys[0].frames[0].frame.payload, "0000000000");
}

#[test]
fn two_keys_at_once_are_told_from_one() {
    let other = read_only_64::encode(&ReadOnly64 {
        customer: 0x07,
        number: 0x0BAD_CAFE,
    });
    for (share, delay_s) in [
        (1.0, 1.234e-4),
        (0.7, 2.9e-4),
        (0.4, 4.0e-4),
        (0.25, 1.3e-4),
    ] {
        let one = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
        assert!(hear(&one, &one.samples(0.3)).collision.is_none());
        let mut two = Answer::new(
            manchester::encode(&other, manchester::Convention::Thomas),
            64.0,
        );
        two.amplitude = one.amplitude;
        two.depth = one.depth * share;
        two.delay_s = delay_s;
        two.snr_db = 200.0;
        let bare = Answer {
            levels: Vec::new(),
            snr_db: 200.0,
            ..one.clone()
        };
        let sum: Vec<f32> = one
            .samples(0.3)
            .iter()
            .zip(two.samples(0.3))
            .zip(bare.samples(0.3))
            .map(|((a, b), carrier)| a + b - carrier)
            .collect();
        let heard = hear(&one, &sum);
        let collision = heard
            .collision
            .unwrap_or_else(|| panic!("one key only at {share}"));
        assert!(collision.statistic > collision.threshold && collision.levels.len() == 4);
    }
}

/// The second key is weaker than the noise in all that is listened to, but not in its bits.
#[test]
fn two_keys_at_once_are_told_from_one_in_noise() {
    let other = read_only_64::encode(&ReadOnly64 {
        customer: 0x07,
        number: 0x0BAD_CAFE,
    });
    let one = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0).with_eb_n0(12.0);
    assert!(hear(&one, &one.samples(0.3)).collision.is_none());
    for share in [0.4, 0.7] {
        let mut two = Answer::new(
            manchester::encode(&other, manchester::Convention::Thomas),
            64.0,
        );
        two.depth = one.depth * share;
        two.delay_s = 2.9e-4;
        two.snr_db = 200.0;
        let heard = hear(&one, &sum(&one, &two, 0.3));
        assert!(heard.collision.is_some(), "one key only at {share}");
    }
}

/// The samples of two keys on one carrier.
fn sum(one: &Answer, two: &Answer, seconds: f64) -> Vec<f32> {
    let bare = Answer {
        levels: Vec::new(),
        snr_db: 200.0,
        ..two.clone()
    };
    let two = Answer {
        snr_db: 200.0,
        ..two.clone()
    };
    let (one, two, bare) = (
        one.samples(seconds),
        two.samples(seconds),
        bare.samples(seconds),
    );
    let parts = one.iter().zip(&two).zip(&bare);
    parts.map(|((a, b), carrier)| a + b - carrier).collect()
}

#[test]
fn both_of_two_keys_are_read_where_one_is_stronger() {
    let other = read_only_64::encode(&ReadOnly64 {
        customer: 0x07,
        number: 0x0BAD_CAFE,
    });
    for (share, clocks, ring) in [
        (0.5, 64.0, None),
        (0.35, 64.0, Some((125.5e3, 20.0))),
        (0.5, 32.0, None),
    ] {
        let mut one = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
        one.ring = ring;
        let mut two = Answer::new(
            manchester::encode(&other, manchester::Convention::Thomas),
            clocks,
        );
        two.ring = ring;
        two.depth = share * one.depth;
        two.delay_s = 2.9e-4;
        let heard = hear(&one, &sum(&one, &two, 0.3));
        let read: Vec<&str> = heard
            .keys
            .iter()
            .filter_map(|key| key.frames.first())
            .map(|read| read.frame.payload.as_str())
            .collect();
        assert_eq!(read, ["123456789A", "070BADCAFE"], "{share}, RF/{clocks}");
        assert!(heard.collision.is_some());
        // What the ring takes is not added again, and the first key explains a tenth of any other.
        let depth = heard.keys[1].depth.value / two.depth;
        let least = if ring.is_some() { 0.6 } else { 0.8 };
        assert!((least..1.1).contains(&depth), "{depth}");
        // The second key's frame begins where it was sent.
        let period = clocks / two.carrier_hz * two.sample_rate_hz;
        let sent = 1_000.0 + two.delay_s * two.sample_rate_hz;
        let bits = (heard.keys[1].frames[0].span.start as f64 - sent) / (64.0 * period);
        assert!(
            (bits - bits.round()).abs() < 0.15 / 64.0 * 10.0,
            "{bits} frames"
        );
    }
}

#[test]
fn one_key_behind_a_narrow_ring_stays_one_key() {
    for (resonance_hz, q) in [(125e3, 5.0), (125e3, 20.0), (127e3, 50.0)] {
        let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 64.0);
        answer.ring = Some((resonance_hz, q));
        let heard = hear(&answer, &answer.samples(0.3));
        assert!(heard.collision.is_none(), "{:?}", heard.collision);
        assert_eq!(heard.keys.len(), 1);
        assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
    }
}

#[test]
fn bits_smeared_into_each_other_are_read() {
    // RF/16 behind a Q of 25: a half-bit lasts no longer than the ring's time constant.
    let mut answer = Answer::new(read_only_levels(manchester::Convention::Thomas), 16.0);
    answer.ring = Some((answer.carrier_hz, 25.0));
    answer.snr_db = 42.0;
    let heard = hear(&answer, &answer.samples(0.1));
    let key = &heard.keys[0];
    assert_eq!(key.frames[0].frame.payload, "123456789A");
    // Two frames' worth at most are lost at the ends.
    assert!(key.repeats >= 9, "{}", key.repeats);
}

/// Adds what a square wave's odd harmonics fold to.
fn add_harmonics(answer: &Answer, samples: &mut [f32], relative: f64) {
    for order in (3..60).step_by(2) {
        let amplitude = relative * answer.amplitude / f64::from(order);
        let frequency_hz = f64::from(order) * answer.carrier_hz;
        add_line(samples, answer.sample_rate_hz, frequency_hz, amplitude);
    }
}

#[test]
fn folded_harmonics_are_no_key_and_hide_none() {
    // Off the lines that the repeated frame itself has, every 30.5 Hz.
    for (carrier_hz, sample_rate_hz) in [(125_036.0, 500e3), (125_053.0, 1e6), (125_003.7, 384e3)] {
        let mut answer = Answer::new(Vec::new(), 64.0);
        answer.sample_rate_hz = sample_rate_hz;
        answer.carrier_hz = carrier_hz;
        answer.snr_db = 60.0;
        let mut samples = answer.samples(0.3);
        add_harmonics(&answer, &mut samples, 0.02);
        let heard = hear(&answer, &samples);
        assert!(
            !heard.detection.modulated,
            "{sample_rate_hz}: {:?}",
            heard.detection
        );
        // One that the decimation folds once more goes as a line of its own.
        assert!(heard.lines.len() <= 1, "{:?}", heard.lines);
        assert!(!heard.harmonics.is_empty());
        answer.levels = read_only_levels(manchester::Convention::Thomas);
        answer.depth = 0.003;
        let mut samples = answer.samples(0.3);
        add_harmonics(&answer, &mut samples, 0.02);
        let heard = hear(&answer, &samples);
        assert_eq!(heard.keys[0].frames[0].frame.payload, "123456789A");
        assert!(heard.collision.is_none());
    }
}
