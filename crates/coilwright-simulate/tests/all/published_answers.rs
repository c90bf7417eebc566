//! Every published worked example in `testdata/published/signal` (its README names the sources) is decoded from the
//! waveform of the circuit in which a key sends it, once computed by this crate and once by ngspice.

use std::path::Path;

use coilwright_signal::code::PhaseChange;
use coilwright_signal::demodulate::KeyRead;
use coilwright_signal::frame::{FrameKind, Iso11784, ReadOnly64, Sia26};
use coilwright_simulate::modulate::{Content, Divider, KeySignal, Keying, LineCode, OwnTones};
use serde_json::Value;

use crate::answers::{Answer, modulation};

fn load(file: &str) -> Vec<Value> {
    value(file).as_array().unwrap().clone()
}

fn value(file: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../testdata/published/signal")
        .join(file);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn number(value: &Value) -> u64 {
    value.as_u64().unwrap()
}

fn signal(content: Content, line_code: LineCode, keying: Keying, clocks_per_bit: u32) -> KeySignal {
    KeySignal {
        content,
        line_code,
        keying,
        clocks_per_bit,
        power_up_clocks: 150,
        inverted: false,
    }
}

fn two_tones(one_clocks: u32, zero_clocks: u32, divider: Divider) -> Keying {
    Keying::Frequency {
        one_clocks,
        zero_clocks,
        divider,
    }
}

fn phase(clocks: u32, change: PhaseChange) -> Keying {
    Keying::Phase { clocks, change }
}

/// The five read-only frames and how each is sent: rates and codes of the EM4102 data sheet (p. 1), subcarriers of the
/// e5551 and T5557 families.
fn read_only_answers() -> Vec<(Answer, String)> {
    let ways = [
        (LineCode::Manchester, Keying::Load, 32),
        (LineCode::Nrz, phase(2, PhaseChange::OnChange), 16),
        (LineCode::Biphase, Keying::Load, 16),
        (LineCode::Nrz, two_tones(8, 10, Divider::GoesOn), 50),
        (LineCode::Nrz, phase(4, PhaseChange::OnOne), 32),
    ];
    let examples = load("em4100_examples.json");
    assert_eq!(examples.len(), ways.len());
    examples
        .iter()
        .zip(ways)
        .map(|(example, (line_code, keying, clocks))| {
            let content = Content::ReadOnly64(ReadOnly64 {
                customer: number(&example["version"]) as u8,
                number: number(&example["data32"]) as u32,
            });
            let answer = Answer::new(125e3, signal(content, line_code, keying, clocks), 2.2);
            (answer, example["frame64"].as_str().unwrap().to_owned())
        })
        .collect()
}

/// The first of them: Manchester at RF/32.
pub(crate) fn first_read_only() -> Answer {
    read_only_answers().remove(0).0
}

fn iso_11784(example: &Value) -> Iso11784 {
    let field = |name: &str| example.get(name).map_or(0, number);
    let trailer = example
        .get("trailer24")
        .map_or("0", |text| text.as_str().unwrap());
    Iso11784 {
        animal: field("animal") == 1,
        reserved: field("reserved14") as u16,
        data_block: field("data_block_flag") == 1,
        country: field("country") as u16,
        national: field("national"),
        trailer: u32::from_str_radix(trailer, 16).unwrap(),
    }
}

fn fdx_b_answers() -> Vec<(Answer, String)> {
    load("fdxb_examples.json")
        .iter()
        .map(|example| {
            let content = Content::FdxB(iso_11784(example));
            let sent = signal(content, LineCode::Biphase, Keying::Load, 32);
            let answer = Answer::new(134.2e3, sent, 1.4);
            (answer, example["frame128"].as_str().unwrap().to_owned())
        })
        .collect()
}

fn hdx_answers() -> Vec<(Answer, String)> {
    load("hdx_examples.json")
        .iter()
        .zip([0, 16])
        .map(|(example, leading_zeros)| {
            let tones = Keying::OwnTones(OwnTones {
                tones_hz: [134.2e3, 124.2e3],
                delay_s: 1e-3,
                leading_zeros,
                amplitude_volt: 2.0,
                decay_per_s: 30.0,
            });
            let sent = signal(Content::Hdx(iso_11784(example)), LineCode::Nrz, tones, 16);
            let answer = Answer::new(134.2e3, sent, 1.0);
            (answer, example["telegram112"].as_str().unwrap().to_owned())
        })
        .collect()
}

/// The word is read as the block that repeats: 26 bits hold too little to prove a frame by themselves.
fn sia_26_answers() -> Vec<(Answer, String)> {
    load("sia26_examples.json")
        .iter()
        .map(|example| {
            let content = Content::Sia26(Sia26 {
                site: number(&example["facility"]) as u8,
                card: number(&example["card"]) as u16,
            });
            let sent = signal(content, LineCode::Manchester, Keying::Load, 32);
            let answer = Answer::new(125e3, sent, 3.2);
            (answer, example["bits26"].as_str().unwrap().to_owned())
        })
        .collect()
}

/// Codes whose bits all have an edge: eight bits over and over tell the bit length. Of NRZ and Miller they do not.
const MID_BIT_CODES: [LineCode; 4] = [
    LineCode::Manchester,
    LineCode::Biphase,
    LineCode::BiphaseMark,
    LineCode::DifferentialBiphase,
];

/// The word B1 of the vectors; the other words are all ones, all zeros or a header, which codes have in common.
fn line_code_answers() -> Vec<(Answer, String)> {
    let data = value("line_code_vectors.json")["vectors"][0]["data"]
        .as_str()
        .unwrap()
        .to_owned();
    let content = Content::Bits {
        count: 8,
        value: u64::from_str_radix(&data, 2).unwrap(),
    };
    MID_BIT_CODES
        .into_iter()
        .map(|code| {
            let answer = Answer::new(125e3, signal(content, code, Keying::Load, 32), 12.0);
            (answer, data.clone())
        })
        .collect()
}

fn assert_frame(read: &KeyRead, answer: &Answer, bits: &str) {
    let sent = &answer.signal;
    assert_eq!(read.modulation, modulation(sent.keying), "{sent:?}");
    let frame = &read
        .frames
        .first()
        .unwrap_or_else(|| panic!("no frame: {sent:?}"))
        .frame;
    assert_eq!(frame.bit_text(), bits, "{sent:?}");
    assert!(frame.is_valid());
    assert_eq!(Some(frame), sent.content.frame().as_ref());
    assert_eq!(read.clocks_per_bit, sent.clocks_per_bit);
    if let Keying::Phase { change, .. } = sent.keying {
        assert_eq!(read.phase_change, Some(change));
    }
}

/// One of the rotations of the block that repeats, as it is or inverted, is the word.
fn assert_word(read: &KeyRead, bits: &str) {
    let length = bits.len();
    let found = read.readings.iter().any(|reading| {
        reading.repetition.as_ref().is_some_and(|block| {
            (0..block.bits.len()).any(|start| {
                [0, 1].into_iter().any(|flip| {
                    let rotated: String = (0..length)
                        .map(|k| (block.bits[(start + k) % block.bits.len()] ^ flip).to_string())
                        .collect();
                    rotated == bits
                })
            }) && block.bits.len() == length
        })
    });
    assert!(found, "{bits}: {:?}", read.readings);
}

fn assert_read(answers: &[(Answer, String)], capture: impl Fn(&Answer) -> Option<Vec<f32>>) {
    for (answer, bits) in answers {
        let Some(samples) = capture(answer) else {
            return;
        };
        let read = answer.heard(&samples);
        let read = read.unwrap_or_else(|| panic!("nothing heard: {:?}", answer.signal));
        let kind = answer.signal.content.frame().map(|frame| frame.kind);
        if matches!(kind, None | Some(FrameKind::Sia26)) {
            assert_word(&read, bits);
        } else {
            assert_frame(&read, answer, bits);
        }
    }
}

#[test]
fn read_only_frames_from_our_circuit() {
    assert_read(&read_only_answers(), |answer| Some(answer.simulated()));
}

#[test]
fn read_only_frames_from_ngspice() {
    assert_read(&read_only_answers(), Answer::by_ngspice);
}

#[test]
fn fdx_b_frames_from_our_circuit() {
    assert_read(&fdx_b_answers(), |answer| Some(answer.simulated()));
}

#[test]
fn fdx_b_frames_from_ngspice() {
    assert_read(&fdx_b_answers(), Answer::by_ngspice);
}

#[test]
fn hdx_telegrams_from_our_circuit() {
    assert_read(&hdx_answers(), |answer| Some(answer.simulated()));
}

#[test]
fn hdx_telegrams_from_ngspice() {
    assert_read(&hdx_answers(), Answer::by_ngspice);
}

#[test]
fn sia_26_words_from_our_circuit() {
    assert_read(&sia_26_answers(), |answer| Some(answer.simulated()));
}

#[test]
fn sia_26_words_from_ngspice() {
    assert_read(&sia_26_answers(), Answer::by_ngspice);
}

#[test]
fn the_word_of_the_line_codes_from_our_circuit() {
    assert_read(&line_code_answers(), |answer| Some(answer.simulated()));
}

#[test]
fn the_word_of_the_line_codes_from_ngspice() {
    assert_read(&line_code_answers(), Answer::by_ngspice);
}

#[test]
fn every_subcarrier_and_rule_of_the_data_sheets_from_our_circuit() {
    let example = &load("em4100_examples.json")[1];
    let content = Content::ReadOnly64(ReadOnly64 {
        customer: number(&example["version"]) as u8,
        number: number(&example["data32"]) as u32,
    });
    let mut ways = Vec::new();
    for (clocks, bit) in [(2, 16), (2, 32), (4, 32), (8, 64)] {
        for change in [PhaseChange::OnChange, PhaseChange::OnOne] {
            ways.push((LineCode::Nrz, phase(clocks, change), bit));
        }
    }
    for (clocks, bit) in [(2, 32), (4, 32), (8, 64)] {
        let rises = phase(clocks, PhaseChange::OnRise);
        ways.push((LineCode::Manchester, rises, bit));
    }
    for divider in [Divider::Restarts, Divider::GoesOn] {
        for [one, zero] in [[8, 10], [10, 8], [8, 5], [5, 8]] {
            ways.push((LineCode::Nrz, two_tones(one, zero, divider), 50));
        }
    }
    let answers: Vec<(Answer, String)> = ways
        .into_iter()
        .map(|(code, keying, clocks)| {
            let answer = Answer::new(125e3, signal(content, code, keying, clocks), 2.2);
            (answer, example["frame64"].as_str().unwrap().to_owned())
        })
        .collect();
    assert_read(&answers, |answer| Some(answer.simulated()));
}

#[test]
fn read_only_frames_in_every_line_code_from_our_circuit() {
    let example = &load("em4100_examples.json")[1];
    let content = Content::ReadOnly64(ReadOnly64 {
        customer: number(&example["version"]) as u8,
        number: number(&example["data32"]) as u32,
    });
    let answers: Vec<(Answer, String)> = LineCode::ALL
        .into_iter()
        .map(|code| {
            let answer = Answer::new(125e3, signal(content, code, Keying::Load, 32), 6.0);
            (answer, example["frame64"].as_str().unwrap().to_owned())
        })
        .collect();
    assert_read(&answers, |answer| Some(answer.simulated()));
}
