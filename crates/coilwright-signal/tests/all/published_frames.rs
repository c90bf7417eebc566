//! Frames against the worked examples in `testdata/published/signal`.

use std::path::PathBuf;

use coilwright_signal::code::{crc::KERMIT, manchester};
use coilwright_signal::frame::{
    FdxB, FrameFields, FrameKind, Issuer, ReadOnly64, Sia26, fdx_b, hdx, read_only_64, sia_26,
};
use serde_json::Value;

pub(crate) fn path(file: &str) -> PathBuf {
    [
        env!("CARGO_MANIFEST_DIR"),
        "../../testdata/published/signal",
        file,
    ]
    .iter()
    .collect()
}

pub(crate) fn load(file: &str) -> Value {
    serde_json::from_str(&std::fs::read_to_string(path(file)).unwrap()).unwrap()
}

pub(crate) fn bits(value: &Value) -> Vec<u8> {
    value
        .as_str()
        .unwrap()
        .bytes()
        .map(|byte| byte - b'0')
        .collect()
}

fn number(value: &Value) -> u64 {
    value.as_u64().unwrap()
}

#[test]
fn read_only_frames_match_the_worked_examples() {
    let file = load("em4100_examples.json");
    for example in file.as_array().unwrap() {
        let fields = ReadOnly64 {
            customer: u8::try_from(number(&example["version"])).unwrap(),
            number: u32::try_from(number(&example["data32"])).unwrap(),
        };
        let encoded = read_only_64::encode(&fields);
        assert_eq!(encoded.to_vec(), bits(&example["frame64"]));
        let frame = read_only_64::check(&encoded);
        assert!(frame.is_valid());
        assert_eq!(frame.checks.len(), 16);
        assert_eq!(frame.payload, example["id_hex"].as_str().unwrap());
        assert_eq!(frame.fields, FrameFields::ReadOnly64(fields));
        let levels = manchester::encode(&encoded, manchester::Convention::Thomas);
        assert_eq!(levels, bits(&example["manchester_1_is_high_low"]));
    }
}

#[test]
fn nine_ones_inside_a_frame_are_not_its_start() {
    // The examples whose first nibble is F hold nine ones at alignments 0 to 4; only 0 is a frame.
    let file = load("em4100_examples.json");
    for example in file.as_array().unwrap() {
        let sent = bits(&example["frame64"]);
        let cyclic = |start: usize| -> [u8; 64] { std::array::from_fn(|k| sent[(start + k) % 64]) };
        let headers: Vec<u64> = (0..64)
            .filter(|&start| cyclic(start)[..9].iter().all(|&bit| bit == 1))
            .map(|start| start as u64)
            .collect();
        let expected: Vec<u64> = example["header_positions"]
            .as_array()
            .unwrap()
            .iter()
            .map(number)
            .collect();
        assert_eq!(headers, expected);
        let valid: Vec<usize> = (0..64)
            .filter(|&start| read_only_64::is_valid(&cyclic(start)))
            .collect();
        assert_eq!(valid, [0], "{}", example["note"]);
    }
}

#[test]
fn every_single_bit_error_of_a_read_only_frame_is_seen() {
    let good = read_only_64::encode(&ReadOnly64 {
        customer: 0x3C,
        number: 0x0BAD_CAFE,
    });
    for position in 0..64 {
        let mut bad = good;
        bad[position] ^= 1;
        assert!(!read_only_64::is_valid(&bad), "bit {position}");
        assert!(!read_only_64::check(&bad).is_valid(), "bit {position}");
    }
}

#[test]
fn fdx_b_frames_match_the_worked_examples() {
    let file = load("fdxb_examples.json");
    for example in file.as_array().unwrap() {
        let fields = FdxB {
            animal: number(&example["animal"]) == 1,
            reserved: u16::try_from(number(&example["reserved14"])).unwrap(),
            data_block: number(&example["data_block_flag"]) == 1,
            country: u16::try_from(number(&example["country"])).unwrap(),
            national: number(&example["national"]),
            trailer: u32::from_str_radix(example["trailer24"].as_str().unwrap(), 16).unwrap(),
        };
        let encoded = fdx_b::encode(&fields);
        assert_eq!(
            encoded.to_vec(),
            bits(&example["frame128"]),
            "{}",
            example["note"]
        );
        let frame = fdx_b::check(&encoded);
        assert!(frame.is_valid());
        assert_eq!(
            frame.payload,
            example["id64_hex_msb_first"].as_str().unwrap()
        );
        assert_eq!(frame.fields, FrameFields::FdxB(fields));
        let crc = KERMIT.of_bytes(&fields.identification().to_le_bytes());
        assert_eq!(format!("{crc:04X}"), example["crc16"].as_str().unwrap());
    }
}

#[test]
fn silence_is_not_an_fdx_b_frame() {
    // The identification 0 is a valid frame with the check 0000h, but 128 zeros are none, nor 128 ones.
    assert!(fdx_b::is_valid(&fdx_b::encode(&FdxB {
        animal: false,
        reserved: 0,
        data_block: false,
        country: 0,
        national: 0,
        trailer: 0,
    })));
    assert!(!fdx_b::is_valid(&[0; 128]));
    assert!(!fdx_b::is_valid(&[1; 128]));
}

#[test]
fn every_single_bit_error_of_an_fdx_b_frame_is_seen_or_is_in_the_trailer() {
    let fields = FdxB {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: 123_456_789_012,
        trailer: 0,
    };
    let good = fdx_b::encode(&fields);
    for position in 0..128 {
        let mut bad = good;
        bad[position] ^= 1;
        let trailer_data = position >= 101 && (position - 11) % 9 != 8;
        assert_eq!(fdx_b::is_valid(&bad), trailer_data, "bit {position}");
    }
}

#[test]
fn a_frame_serialises_with_its_bits_as_text() {
    let frame = read_only_64::check(&read_only_64::encode(&ReadOnly64 {
        customer: 1,
        number: 0x0203_0405,
    }));
    let json = serde_json::to_value(&frame).unwrap();
    assert_eq!(json["kind"], "read_only_64");
    assert_eq!(
        json["bits"],
        "1111111110000000011000000010100000001100000001001000000101000010"
    );
    assert_eq!(json["payload"], "0102030405");
    assert_eq!(json["checks"][0]["passed"], true);
}

#[test]
fn hdx_telegrams_match_the_worked_examples() {
    let file = load("hdx_examples.json");
    for example in file.as_array().unwrap() {
        let fields = FdxB {
            animal: number(&example["animal"]) == 1,
            reserved: 0,
            data_block: false,
            country: u16::try_from(number(&example["country"])).unwrap(),
            national: number(&example["national"]),
            trailer: 0,
        };
        let sent = bits(&example["telegram112"]);
        assert_eq!(hdx::encode(&fields).to_vec(), sent, "{}", example["note"]);
        let frame = FrameKind::Hdx.check(&sent).unwrap();
        assert!(frame.is_valid());
        assert_eq!(frame.payload, example["id64_hex"].as_str().unwrap());
        assert_eq!(frame.fields, FrameFields::Hdx(fields));
        let ones: u64 = sent.iter().map(|&bit| u64::from(bit)).sum();
        assert_eq!(ones, number(&example["ones"]));
    }
}

#[test]
fn every_single_bit_error_of_an_hdx_telegram_is_seen_or_is_in_the_trailer() {
    let good = bits(&load("hdx_examples.json")[1]["telegram112"]);
    for position in 0..hdx::LENGTH_BITS {
        let mut bad = good.clone();
        bad[position] ^= 1;
        let frame = FrameKind::Hdx.check(&bad).unwrap();
        assert_eq!(frame.is_valid(), position >= 88, "bit {position}");
    }
}

#[test]
fn sia_26_words_match_the_worked_examples() {
    let file = load("sia26_examples.json");
    for example in file.as_array().unwrap() {
        let fields = Sia26 {
            site: u8::try_from(number(&example["facility"])).unwrap(),
            card: u16::try_from(number(&example["card"])).unwrap(),
        };
        let sent = bits(&example["bits26"]);
        assert_eq!(sia_26::encode(&fields).to_vec(), sent);
        let frame = FrameKind::Sia26.check(&sent).unwrap();
        assert!(frame.is_valid());
        assert_eq!(frame.fields, FrameFields::Sia26(fields));
        for position in 0..sent.len() {
            let mut bad = sent.clone();
            bad[position] ^= 1;
            assert!(!FrameKind::Sia26.check(&bad).unwrap().is_valid());
        }
    }
    // The odd parity of nothing is 1, so silence is no word.
    assert!(!sia_26::check(&[0; 26]).is_valid());
}

#[test]
fn the_fields_of_later_editions_lie_where_they_say() {
    // Bits 2 to 15: 101 11001 00110 1, written by hand.
    let code = FdxB {
        animal: true,
        reserved: 0b10_1110_0100_1101,
        data_block: false,
        country: 276,
        national: 1,
        trailer: 0,
    };
    assert_eq!(
        (
            code.retagging_counter(),
            code.user_information(),
            code.reserved_for_future()
        ),
        (0b101, 0b11001, 0b00110)
    );
    assert!(code.is_advanced());
    assert_eq!(code.identification() >> 49, 0b110_1110_0100_1101);
    let issuers =
        [0, 276, 899, 900, 998, 999, 1000].map(|country| FdxB { country, ..code }.issuer());
    assert_eq!(
        issuers,
        [
            Issuer::Unassigned,
            Issuer::Country,
            Issuer::Country,
            Issuer::Manufacturer,
            Issuer::Manufacturer,
            Issuer::Test,
            Issuer::Unassigned,
        ]
    );
    let json = serde_json::to_value(code).unwrap();
    assert_eq!(
        (&json["retagging_counter"], &json["advanced"]),
        (&5.into(), &true.into())
    );
}

#[test]
fn a_frame_of_the_wrong_length_is_none() {
    for kind in FrameKind::ALL {
        let length = kind.length_bits();
        assert!(kind.check(&vec![0; length]).is_some());
        assert!(kind.check(&vec![0; length - 1]).is_none());
        assert!(kind.check(&vec![0; length + 1]).is_none());
    }
}
