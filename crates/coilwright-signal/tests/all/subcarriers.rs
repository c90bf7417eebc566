//! Keys on subcarriers, from the formula through the whole chain.

use std::f64::consts::{PI, TAU};

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{
    KeyRead, LineCode, ListenOptions, Listening, Modulation, PhaseChange, listen,
};
use coilwright_signal::frame::{ReadOnly64, read_only_64};
use num_complex::Complex64;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::recorder::{Recorder, Switched};
use crate::subcarrier_signal::{Divider, Keying, Subcarrier};

const SECONDS: f64 = 0.3;

fn frame() -> Vec<u8> {
    let fields = ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    };
    read_only_64::encode(&fields).to_vec()
}

fn hear(signal: &Subcarrier) -> Listening {
    let samples = signal.recorded(SECONDS).samples;
    let carrier = Carrier::direct(signal.carrier_hz + 1.7);
    listen(
        &samples,
        SampleKind::Real,
        signal.sample_rate_hz,
        1000,
        &carrier,
        &ListenOptions::default(),
    )
}

fn key(heard: &Listening) -> &KeyRead {
    heard.keys.first().unwrap()
}

fn payload(key: &KeyRead) -> &str {
    &key.frames.first().unwrap().frame.payload
}

#[test]
fn two_tones_of_either_sense_are_read() {
    for clocks in [[8, 10], [5, 8]] {
        for (bits, divider) in [
            (40, Divider::Restarts),
            (50, Divider::GoesOn),
            (64, Divider::GoesOn),
        ] {
            for sense in [clocks, [clocks[1], clocks[0]]] {
                let mut signal = Subcarrier::new(Keying::Frequency(sense, divider), bits, frame());
                signal.eb_n0_db = 10.0;
                signal.hum = 0.05;
                let heard = hear(&signal);
                let key = key(&heard);
                assert_eq!(
                    key.modulation,
                    Modulation::Fsk { clocks },
                    "{sense:?} RF/{bits}"
                );
                assert_eq!(key.clocks_per_bit, bits);
                assert_eq!(payload(key), "123456789A");
                assert_eq!(key.frames[0].inverted, sense != clocks);
                assert!((key.eb_n0_db - 10.0).abs() < 1.0, "{}", key.eb_n0_db);
                assert!(
                    (key.depth.value / signal.depth - 1.0).abs() < 0.1,
                    "{:?}",
                    key.depth
                );
            }
        }
    }
}

#[test]
fn phase_on_a_subcarrier_is_read_for_each_rule_of_change() {
    for (clocks, bits) in [(2, 32), (2, 16), (4, 32), (4, 64), (8, 32), (8, 64)] {
        // A phase that turns where a bit begins that is 1: over two frames it comes back.
        let mut phase = 0;
        let turns: Vec<u8> = [frame(), frame()]
            .concat()
            .iter()
            .map(|&bit| {
                phase ^= bit;
                phase
            })
            .collect();
        for (sent, change) in [
            (frame(), PhaseChange::OnChange),
            (turns, PhaseChange::OnOne),
        ] {
            let mut signal = Subcarrier::new(Keying::Phase(clocks), bits, sent);
            signal.eb_n0_db = 9.0;
            signal.axis_rad = 1.2;
            signal.hum = 0.05;
            let heard = hear(&signal);
            let key = key(&heard);
            assert_eq!(
                key.modulation,
                Modulation::Psk { clocks },
                "RF/{clocks} RF/{bits}"
            );
            assert_eq!(key.clocks_per_bit, bits, "RF/{clocks}");
            assert_eq!(payload(key), "123456789A");
            assert_eq!(key.phase_change, Some(change));
            assert!(
                (key.eb_n0_db - 9.0).abs() < 0.5,
                "RF/{clocks} {}",
                key.eb_n0_db
            );
            assert!(
                (key.depth.value / signal.depth - 1.0).abs() < 0.1,
                "{:?}",
                key.depth
            );
        }
    }
}

/// At RF/2 and carrier phase φ, the load's line n and what 0 Hz folds onto it are (e^(jφ)/(n − 2) + e^(−jφ)/(n + 2))/π; n = 1, 3,
/// 5 and 7 lie below half the sample rate.
#[test]
fn a_recorder_holds_what_lies_below_half_its_rate() {
    const SEEDS: u64 = 256;
    let lines = [1.0, 3.0, 5.0, 7.0];
    let powers = lines.map(|line: f64| (line - 2.0).powi(-2) + (line + 2.0).powi(-2));
    let closed_form = 4.0 / PI.powi(2) * powers.iter().sum::<f64>();
    let shares = (0..SEEDS).map(|seed| {
        let mut signal = Subcarrier::new(Keying::Phase(2), 32, frame());
        signal.seed = seed;
        signal.recorded(0.01).share
    });
    let mean = shares.sum::<f64>() / SEEDS as f64;
    // The phase moves it by ±0.05, and is at random: three standard deviations.
    assert!((mean - closed_form).abs() < 0.007, "{mean} {closed_form}");
}

/// Of a square the line of order k is 2/πk, and what lies beyond half the sample rate folds onto nothing.
#[test]
fn a_recorder_leaves_the_lines_of_a_square_in_its_band() {
    let (carrier, subcarrier) = (0.123_7, 0.059_3);
    let switched: Vec<Switched> = (-20..1_300)
        .map(|half| Switched {
            at: f64::from(half) / (2.0 * subcarrier),
            level: if half % 2 == 0 { 1 } else { -1 },
        })
        .collect();
    let count = 10_000;
    let samples = Recorder::new(carrier).samples(&switched, count);
    for order in [-9, -7, -5, -3, -1, 1, 3, 5, 7, 9] {
        let offset = f64::from(order) * subcarrier;
        let line = samples.iter().enumerate().map(|(n, z)| {
            let window = 1.0 - (TAU * (n as f64 + 0.5) / count as f64).cos();
            z * Complex64::cis(-TAU * offset * n as f64) * window
        });
        let size = line.sum::<Complex64>().norm() / count as f64;
        let whole = 2.0 / (PI * f64::from(order).abs());
        let expected = if (carrier + offset).abs() < 0.45 {
            whole
        } else {
            0.0
        };
        assert!(
            (size - expected).abs() < 3e-4 * whole,
            "{order}: {size} {expected}"
        );
    }
}

#[test]
fn a_payload_of_zeros_is_read_on_every_subcarrier() {
    let zeros = read_only_64::encode(&ReadOnly64 {
        customer: 0,
        number: 0,
    });
    for (keying, bits) in [
        (Keying::Phase(2), 32),
        (Keying::Phase(4), 64),
        (Keying::Phase(8), 32),
        (Keying::Frequency([8, 10], Divider::Restarts), 50),
        (Keying::Frequency([5, 8], Divider::GoesOn), 64),
    ] {
        let heard = hear(&Subcarrier::new(keying, bits, zeros.to_vec()));
        let key = key(&heard);
        assert_eq!(key.clocks_per_bit, bits, "{keying:?}");
        assert_eq!(payload(key), "0000000000", "{keying:?}");
    }
}

#[test]
fn manchester_halves_on_a_subcarrier_are_named_by_their_bits() {
    let halves = manchester::encode(&frame(), manchester::Convention::Thomas);
    for (keying, half) in [
        (Keying::Frequency([8, 10], Divider::Restarts), 32),
        (Keying::Frequency([5, 8], Divider::Restarts), 32),
    ] {
        let heard = hear(&Subcarrier::new(keying, half, halves.clone()));
        let key = key(&heard);
        assert_ne!(key.modulation, Modulation::Ask, "{keying:?}");
        assert_eq!(key.line_code, Some(LineCode::Manchester), "{keying:?}");
        assert_eq!(key.clocks_per_bit, 2 * half, "{keying:?}");
        assert_eq!(payload(key), "123456789A", "{keying:?}");
    }
}

#[test]
fn a_level_that_lasts_is_no_frame_of_zeros() {
    // Nine ones and 55 zeros pass every check; in bits of an eighth of the length one bit of a slow key is eight of them.
    let slow: Vec<u8> = [1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1].to_vec();
    let heard = hear(&Subcarrier::new(Keying::Phase(8), 64, slow));
    assert!(heard.keys.iter().all(|key| key.frames.is_empty()));
}

#[test]
fn frames_lie_where_they_were_sent() {
    let mut signal = Subcarrier::new(Keying::Phase(2), 32, frame());
    signal.delay_s = 3.21e-3;
    let heard = hear(&signal);
    let key = key(&heard);
    let length = 64.0 * 32.0 / signal.carrier_hz * signal.sample_rate_hz;
    for read in &key.frames {
        let since = read.span.start as f64 - 1000.0 - signal.delay_s * signal.sample_rate_hz;
        let off = since - (since / length).round() * length;
        assert!(off.abs() < 8.0, "{off} samples off");
    }
}

#[test]
fn a_divider_that_goes_on_tells_of_the_bits_after() {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let bits: Vec<u8> = (0..1200)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    for clocks in [[8, 10], [5, 8]] {
        let keying = Keying::Frequency(clocks, Divider::GoesOn);
        let mut signal = Subcarrier::new(keying, 64, bits.clone());
        signal.eb_n0_db = 5.0;
        let heard = hear(&signal);
        let key = key(&heard);
        assert_eq!(key.clocks_per_bit, 64);
        let first = (key.bit_times.first - 1000.0 - signal.delay_s * signal.sample_rate_hz)
            / key.bit_times.period;
        let sent = &bits[first.round() as usize..];
        let wrong = key.bits.iter().zip(sent).filter(|(a, b)| a != b).count();
        // Each bit judged alone would be wrong with exp(−Eb/2N0)/2 = 0.10: 60 of 580; followed, a tenth of that.
        assert!(wrong < 20, "{clocks:?}: {wrong} of {}", key.bits.len());
    }
}
