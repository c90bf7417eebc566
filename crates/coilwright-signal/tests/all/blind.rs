//! Keys of any bit rate and line code, and poor captures of them, through the whole of `listen`.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{biphase, manchester, miller, nrz};
use coilwright_signal::demodulate::{LineCode, ListenOptions, Listening, listen};
use coilwright_signal::frame::{FdxB, ReadOnly64, fdx_b, read_only_64};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::synthetic::Answer;

fn sandpiper() -> [u8; 64] {
    read_only_64::encode(&ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    })
}

/// Half-bit levels that close on themselves.
fn levels(bits: &[u8], code: LineCode) -> Vec<u8> {
    let twice = [bits, bits].concat();
    match code {
        LineCode::Manchester => manchester::encode(bits, manchester::Convention::Thomas),
        LineCode::Biphase => biphase::encode(&twice, biphase::Convention::Space, 0),
        LineCode::Nrz => nrz::encode(bits),
        LineCode::Miller => {
            let before = miller::Before {
                level: 0,
                bit: *bits.last().unwrap(),
            };
            miller::encode(&twice, before)
        }
    }
}

fn hear(answer: &Answer, samples: &[f32]) -> Listening {
    let carrier = Carrier::direct(answer.carrier_hz + 2.0);
    listen(
        samples,
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &carrier,
        &ListenOptions::default(),
    )
}

fn assert_read(heard: &Listening, payload: &str, clocks: u32, code: LineCode) {
    let Some(key) = heard.keys.first() else {
        panic!("nothing at RF/{clocks} {code:?}: {:?}", heard.detection)
    };
    assert_eq!((key.clocks_per_bit, key.line_code), (clocks, Some(code)));
    let Some(read) = key.frames.first() else {
        panic!("no frame at RF/{clocks} {code:?}: {:?}", heard.detection)
    };
    assert_eq!(read.frame.payload, payload, "RF/{clocks} {code:?}");
}

#[test]
fn a_key_is_read_at_any_bit_rate() {
    for (k, clocks) in [8_u32, 9, 13, 20, 27, 37, 48, 63, 65, 77, 96, 111, 127]
        .into_iter()
        .enumerate()
    {
        let code = [LineCode::Manchester, LineCode::Biphase][k % 2];
        let answer = Answer::new(levels(&sandpiper(), code), clocks.into());
        assert_read(
            &hear(&answer, &answer.samples(0.25)),
            "123456789A",
            clocks,
            code,
        );
    }
}

#[test]
fn codes_of_lasting_levels_are_read() {
    for (clocks, code) in [
        (32_u32, LineCode::Nrz),
        (50, LineCode::Nrz),
        (64, LineCode::Nrz),
        (21, LineCode::Nrz),
        (32, LineCode::Miller),
        (40, LineCode::Miller),
        (64, LineCode::Miller),
    ] {
        let answer = Answer::new(levels(&sandpiper(), code), clocks.into()).with_eb_n0(20.0);
        assert_read(
            &hear(&answer, &answer.samples(0.25)),
            "123456789A",
            clocks,
            code,
        );
    }
}

/// A code that lasts is told from bits of twice or half its length by its likelihood alone, through noise and hum.
#[test]
fn codes_of_lasting_levels_are_told_without_a_frame() {
    let mut random = ChaCha8Rng::seed_from_u64(14);
    for code in [LineCode::Nrz, LineCode::Miller] {
        for (clocks, hum) in [(32, 0.0), (64, 0.0), (32, 0.05), (64, 0.05), (64, 0.02)] {
            let data: Vec<u8> = (0..3000)
                .map(|_| u8::from(random.random::<bool>()))
                .collect();
            let mut answer = Answer::new(levels(&data, code), clocks.into()).with_eb_n0(3.0);
            (answer.hum, answer.seed) = (hum, random.random());
            let heard = hear(&answer, &answer.samples(0.3));
            let Some(key) = heard.keys.first() else {
                panic!("nothing at RF/{clocks} {code:?}, {hum}")
            };
            let told = key.readings.first().map(|reading| reading.line_code);
            assert_eq!((key.clocks_per_bit, told), (clocks, Some(code)), "{hum}");
            assert!(key.frames.is_empty() && heard.collision.is_none());
        }
    }
}

/// Words of such a code that repeat keep in part to the code of other bits of twice the length.
#[test]
fn codes_of_lasting_levels_are_told_of_words_that_repeat() {
    let mut random = ChaCha8Rng::seed_from_u64(15);
    let (mut told, mut other) = (0, Vec::new());
    for code in [LineCode::Nrz, LineCode::Miller] {
        for (length, clocks) in [(40, 32), (64, 32), (40, 64), (64, 64), (48, 40), (96, 32)] {
            let word: Vec<u8> = (0..length).map(|_| random.random_range(0..2)).collect();
            let mut answer = Answer::new(levels(&word, code), clocks.into()).with_eb_n0(20.0);
            answer.seed = random.random();
            let heard = hear(&answer, &answer.samples(0.3));
            let key = heard.keys.first();
            let reading = key.and_then(|key| key.readings.first());
            let found = reading.map(|reading| (reading.line_code, reading.clocks_per_bit));
            if found == Some((code, clocks)) {
                told += 1;
            } else {
                let length = key.map(|key| key.clocks_per_bit);
                other.push((code, clocks, found, length, word));
            }
        }
    }
    assert!(other.is_empty(), "{told} told, but {other:?}");
}

#[test]
fn an_unknown_block_is_given_in_its_own_rotation_whenever_listening_began() {
    let mut random = ChaCha8Rng::seed_from_u64(12);
    let block: Vec<u8> = (0..96).map(|_| u8::from(random.random::<bool>())).collect();
    let mut told = Vec::new();
    for delay_s in [1e-3, 7.7e-3] {
        let mut answer = Answer::new(levels(&block, LineCode::Manchester), 40.0);
        answer.delay_s = delay_s;
        let heard = hear(&answer, &answer.samples(0.25));
        let key = &heard.keys[0];
        assert!(key.frames.is_empty() && key.line_code.is_none());
        let reading = key
            .readings
            .iter()
            .find(|reading| reading.line_code == LineCode::Manchester)
            .unwrap();
        assert!(reading.evidence > 0.0 && reading.clocks_per_bit == 40);
        let repetition = reading.repetition.clone().unwrap();
        assert_eq!(repetition.period_bits, 96);
        assert!(repetition.ratios.iter().all(|ratio| ratio.abs() > 20.0));
        told.push(repetition.bits);
    }
    assert_eq!(told[0], told[1]);
    let cyclic = |start: usize| (0..96).map(move |k| (start + k) % 96);
    assert!((0..96).any(|start| cyclic(start).map(|k| block[k]).eq(told[0].iter().copied())));
}

#[test]
fn random_bits_that_do_not_repeat_are_no_block() {
    let mut random = ChaCha8Rng::seed_from_u64(13);
    let data: Vec<u8> = (0..2000)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    let answer = Answer::new(levels(&data, LineCode::Manchester), 40.0);
    let heard = hear(&answer, &answer.samples(0.25));
    let key = &heard.keys[0];
    assert!(!key.readings.is_empty() && key.frames.is_empty());
    assert!(
        key.readings
            .iter()
            .all(|reading| reading.repetition.is_none())
    );
}

#[test]
fn a_little_more_than_one_frame_is_enough() {
    // 64 bits at RF/64 last 32.8 ms; the stretch begins and ends inside a frame.
    for delay_s in [-3e-3, -11e-3, -20e-3, -29e-3] {
        let mut answer =
            Answer::new(levels(&sandpiper(), LineCode::Manchester), 64.0).with_eb_n0(12.0);
        answer.delay_s = delay_s;
        let heard = hear(&answer, &answer.samples(0.036));
        assert_read(&heard, "123456789A", 64, LineCode::Manchester);
    }
    let sheep = fdx_b::encode(&FdxB {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: 123_456_789_012,
        trailer: 0,
    });
    let mut answer = Answer::new(levels(&sheep, LineCode::Biphase), 32.0).with_eb_n0(12.0);
    answer.carrier_hz = 134_200.0;
    answer.delay_s = -12e-3;
    assert_read(
        &hear(&answer, &answer.samples(0.034)),
        "8000F9DCBE991A14",
        32,
        LineCode::Biphase,
    );
}

#[test]
fn a_dropout_in_the_middle_does_not_hide_a_key() {
    for code in [LineCode::Manchester, LineCode::Biphase] {
        let answer = Answer::new(levels(&sandpiper(), code), 64.0).with_eb_n0(12.0);
        let mut samples = answer.samples(0.25);
        // The key is away for 20 ms, the field stays.
        let bare = Answer {
            levels: Vec::new(),
            ..answer.clone()
        };
        samples[110_000..130_000].copy_from_slice(&bare.samples(0.25)[110_000..130_000]);
        assert_read(&hear(&answer, &samples), "123456789A", 64, code);
    }
}

#[test]
fn repeats_are_added_up_before_timing() {
    // 1 s at RF/16 holds 122 frames; bit by bit nothing is to be seen at −11 dB.
    let answer = Answer::new(levels(&sandpiper(), LineCode::Manchester), 16.0).with_eb_n0(-11.0);
    let heard = hear(&answer, &answer.samples(1.0));
    assert_read(&heard, "123456789A", 16, LineCode::Manchester);
    assert!(heard.keys[0].repeats > 100 && heard.detection.modulated);
    assert!(
        (heard.keys[0].eb_n0_db + 11.0).abs() < 2.0,
        "{}",
        heard.keys[0].eb_n0_db
    );
}
