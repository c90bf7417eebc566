//! Keys that are made from the numbers of the timing table.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::demodulate::{
    KeyRead, LineCode, ListenOptions, Listening, Modulation, listen, listen_in_pause,
};
use coilwright_signal::frame::{FdxB, FrameKind, ReadOnly64, fdx_b, hdx, read_only_64};

use super::{LAST_DIGIT, RATE_HZ, Table, near};
use crate::half_duplex_signal::HalfDuplex;
use crate::subcarrier_signal::{Divider, Keying, Subcarrier};
use crate::synthetic::Answer;

/// Relative error of a bit length: the carrier is good to 0.02 Hz, a bit counts whole periods of it.
const BIT_LENGTH: f64 = 1e-6;
/// The same behind a subcarrier, which is read in step with the carrier that it takes for its clock.
const SUBCARRIER_BIT: f64 = 1e-5;
/// A frame's ends are whole samples, 1 µs.
const FRAME_S: f64 = 2e-6;

fn hear(answer: &Answer) -> Listening {
    listen(
        &answer.samples(0.2),
        SampleKind::Real,
        answer.sample_rate_hz,
        0,
        &Carrier::direct(answer.carrier_hz + 1.0),
        &ListenOptions::default(),
    )
}

/// Seconds in a bit, and in the first frame.
fn lengths_s(key: &KeyRead) -> (f64, f64) {
    let span = key.frames[0].span;
    (
        key.bit_times.period / RATE_HZ,
        (span.end - span.start) as f64 / RATE_HZ,
    )
}

fn sheep() -> FdxB {
    FdxB {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: 123_456_789_012,
        trailer: 0,
    }
}

fn read_only_frame() -> Vec<u8> {
    let fields = ReadOnly64 {
        customer: 0x12,
        number: 0x3456_789A,
    };
    read_only_64::encode(&fields).to_vec()
}

pub(super) fn fdx_b(table: &Table) {
    let carrier_hz = table.khz("FDX-B carrier");
    let clocks = table.value("FDX-B bit period")[0];
    let frame = fdx_b::encode(&sheep());
    let levels = biphase::encode(&frame.repeat(2), biphase::Convention::Space, 0);
    let mut answer = Answer::new(levels, clocks);
    answer.carrier_hz = carrier_hz;
    let heard = hear(&answer);
    let key = heard.keys.first().unwrap();
    assert_eq!(key.clocks_per_bit, clocks as u32);
    assert_eq!(key.line_code, Some(LineCode::Biphase));
    assert_eq!(key.frames[0].frame.bits, frame);
    let (bit_s, frame_s) = lengths_s(key);
    let [bit_us, bits_per_s] = table.derived("FDX-B bit period")[..] else {
        panic!("two numbers")
    };
    near(1e6 * bit_s, bit_us, LAST_DIGIT.max(BIT_LENGTH));
    near(bit_s.recip(), bits_per_s, BIT_LENGTH);
    assert_eq!(
        FrameKind::FdxB.length_bits() as f64,
        table.value("FDX-B telegram")[0]
    );
    let telegram_ms = table.derived("FDX-B telegram")[0];
    assert!((frame_s - 1e-3 * telegram_ms).abs() < FRAME_S, "{frame_s}");
    // The lines beside the carrier that a run of one symbol makes lie in the bands, where the table has them.
    let bands = table.value("FDX-B response bands");
    let lines = &table.derived("FDX-B response bands")[2..];
    for (side, (band, line_khz)) in [-1.0, 1.0].into_iter().zip(bands.chunks(2).zip(lines)) {
        let line_hz = heard.carrier_hz.value + side / bit_s;
        near(1e-3 * line_hz, *line_khz, LAST_DIGIT);
        assert!(
            (1e3 * band[0]..=1e3 * band[1]).contains(&line_hz),
            "{line_hz}"
        );
    }
}

pub(super) fn hdx(table: &Table) {
    let telegram = hdx::encode(&sheep()).to_vec();
    assert_eq!(telegram.len() as f64, table.value("HDX telegram")[0]);
    assert_eq!(FrameKind::Hdx.length_bits(), telegram.len());
    let [shortest_ms, longest_ms] = [0, 2].map(|k| table.derived("HDX telegram")[k]);
    let zeros = table.value("HDX packet incl. overhead")[0] as usize - telegram.len();
    let zero_hz = table.khz("HDX 0 frequency");
    let field_hz = table.khz("ISO/IEC 18000-2 type B carrier");
    for one in ["HDX 1 frequency", "HDX 1 frequency (older parts)"] {
        for before in [0, zeros] {
            let mut reply = HalfDuplex::new([vec![0; before], telegram.clone()].concat());
            reply.field_hz = field_hz;
            reply.tones_hz = [zero_hz, table.khz(one)];
            let starts_s = reply.bit_starts_s();
            let first = usize::from(reply.bits[0]);
            for (bit, item) in [(0, "HDX 0 frequency"), (1, one)] {
                let [cycles, bit_us] = table.derived(item)[..] else {
                    panic!("two numbers")
                };
                near(1e6 * cycles / reply.tones_hz[bit], bit_us, LAST_DIGIT);
                if bit == first {
                    near(1e6 * starts_s[1], bit_us, LAST_DIGIT);
                }
            }
            let carrier = Carrier::direct(field_hz);
            let samples = reply.pause(20e-3);
            let key = listen_in_pause(&samples, SampleKind::Real, RATE_HZ, 0, &carrier, 1.0);
            let key = key.unwrap();
            assert_eq!(key.modulation, Modulation::HalfDuplex);
            assert_eq!(key.frames[0].frame.bits, telegram, "{one} {before}");
            if one == "HDX 1 frequency" {
                let frame_ms = 1e3 * lengths_s(&key).1;
                assert!((shortest_ms..longest_ms).contains(&frame_ms), "{frame_ms}");
            }
        }
    }
}

pub(super) fn read_only(table: &Table) {
    let frame = read_only_frame();
    assert_eq!(
        FrameKind::ReadOnly64.length_bits() as f64,
        table.value("EM4100 frame")[0]
    );
    let levels = manchester::encode(&frame, manchester::Convention::Thomas);
    let rates = table.derived("EM4100 bit period");
    let frames_ms = table.derived("EM4100 frame");
    for (k, clocks) in table.value("EM4100 bit period").into_iter().enumerate() {
        let mut answer = Answer::new(levels.clone(), clocks);
        answer.carrier_hz = 125e3;
        let heard = hear(&answer);
        let key = heard.keys.first().unwrap();
        assert_eq!(key.clocks_per_bit, clocks as u32);
        assert_eq!(key.frames[0].frame.bits, frame);
        let (bit_s, frame_s) = lengths_s(key);
        near(bit_s.recip(), rates[k], BIT_LENGTH);
        assert!((frame_s - 1e-3 * frames_ms[k]).abs() < FRAME_S, "{frame_s}");
    }
}

/// The uplink of type A at its data rate; no frame of it is known, so that the line code is told by itself. The dual pattern of the
/// inventory is not read.
pub(super) fn type_a(table: &Table) {
    let carrier_hz = table.khz("ISO/IEC 18000-2 type A carrier");
    let clocks = table.derived("type A uplink")[1];
    let bits: Vec<u8> = (0..97_u32).map(|k| u8::from(k * k % 97 % 5 < 2)).collect();
    let mut answer = Answer::new(
        manchester::encode(&bits, manchester::Convention::Thomas),
        clocks,
    );
    answer.carrier_hz = carrier_hz;
    let heard = hear(&answer);
    let key = heard.keys.first().unwrap();
    assert_eq!(key.clocks_per_bit, clocks as u32);
    assert_eq!(key.readings[0].line_code, LineCode::Manchester);
    near(
        RATE_HZ / key.bit_times.period,
        table.derived("type A uplink")[2],
        BIT_LENGTH,
    );
}

/// Two halves of a bit at two subcarriers: a 0 and a 1 are one another's mirror image. The telegram of the annex is not known, so that a
/// known frame is sent in its bits.
pub(super) fn annex_a(table: &Table) {
    let clocks = table.value("ISO 11785 Annex A bit")[0] as u32;
    let [bit_us, bits_per_s] = table.derived("ISO 11785 Annex A bit")[..] else {
        panic!("two numbers")
    };
    // "50 cycles f0/10 then 50 cycles f0/8": numbers 0 and 3 are the halves, 2 and 5 the dividers.
    let halves = |item: &str| {
        let found = table.value(item);
        assert_eq!(found[0] + found[3], f64::from(clocks), "{item}");
        let tones_khz = table.derived(item);
        near(125.0 / found[2], tones_khz[0], LAST_DIGIT);
        near(125.0 / found[5], tones_khz[1], LAST_DIGIT);
        [found[2] as u32, found[5] as u32]
    };
    let zero = halves("ISO 11785 Annex A ZERO");
    let one = halves("ISO 11785 Annex A ONE");
    let [slow, fast] = zero;
    let frame = read_only_frame();
    let sent: Vec<u8> = frame
        .iter()
        .flat_map(|&bit| if bit == 1 { one } else { zero })
        .map(|divider| u8::from(divider == fast))
        .collect();
    let tones = Keying::Frequency([fast, slow], Divider::GoesOn);
    let mut signal = Subcarrier::new(tones, clocks / 2, sent);
    signal.carrier_hz = 125e3;
    let heard = listen(
        &signal.recorded(0.3).samples,
        SampleKind::Real,
        signal.sample_rate_hz,
        0,
        &Carrier::direct(signal.carrier_hz + 1.0),
        &ListenOptions::default(),
    );
    let key = heard.keys.first().unwrap();
    assert_eq!(
        key.modulation,
        Modulation::Fsk {
            clocks: [fast, slow]
        }
    );
    assert_eq!(
        (key.line_code, key.clocks_per_bit),
        (Some(LineCode::Manchester), clocks)
    );
    assert_eq!(key.frames[0].frame.bits, frame);
    let bit_s = lengths_s(key).0;
    near(1e6 * bit_s, bit_us, SUBCARRIER_BIT);
    near(bit_s.recip(), bits_per_s, SUBCARRIER_BIT);
}
