//! Line codes and checks against the published vectors in `testdata/published/signal`.

use coilwright_signal::code::{biphase, crc, manchester, parity};
use serde_json::Value;

use crate::published_frames::{bits, load};

/// A soft half-bit as the receiver sees it: plus one for high.
fn soft(levels: &[u8]) -> Vec<f32> {
    levels
        .iter()
        .map(|&level| f32::from(level) * 2.0 - 1.0)
        .collect()
}

fn hard(soft: &[f32]) -> Vec<u8> {
    soft.iter().map(|&value| u8::from(value > 0.0)).collect()
}

fn each_vector(test: impl Fn(&[u8], &Value)) {
    let file = load("line_code_vectors.json");
    let vectors = file["vectors"].as_array().unwrap();
    assert_eq!(vectors.len(), 5);
    for vector in vectors {
        test(&bits(&vector["data"]), vector);
    }
}

#[test]
fn manchester_follows_both_conventions() {
    each_vector(|data, vector| {
        for (convention, name) in [
            (manchester::Convention::Ieee8023, "manchester_ieee802_3"),
            (manchester::Convention::Thomas, "manchester_ge_thomas"),
        ] {
            let levels = bits(&vector[name]);
            assert_eq!(manchester::encode(data, convention), levels, "{name}");
            assert_eq!(
                hard(&manchester::decode_soft(&soft(&levels), convention)),
                data,
                "{name}"
            );
        }
    });
}

#[test]
fn biphase_follows_both_conventions_from_either_level() {
    each_vector(|data, vector| {
        for (convention, level, name) in [
            (biphase::Convention::Mark, 0, "biphase_mark_FM1_init0"),
            (biphase::Convention::Space, 0, "biphase_space_FM0_init0"),
            (biphase::Convention::Space, 1, "biphase_space_FM0_init1"),
        ] {
            let levels = bits(&vector[name]);
            assert_eq!(biphase::encode(data, convention, level), levels, "{name}");
            assert_eq!(
                hard(&biphase::decode_soft(&soft(&levels), convention)),
                data,
                "{name}"
            );
        }
    });
}

#[test]
fn crc_variants_give_their_published_check_values() {
    let text = std::fs::read_to_string(crate::published_frames::path("crc_variants.csv")).unwrap();
    let mut count = 0;
    for line in text.lines().skip(1) {
        let column: Vec<&str> = line.split(',').collect();
        let hex = |k: usize| u16::from_str_radix(column[k].trim_start_matches("0x"), 16).unwrap();
        let variant = crc::Crc16 {
            polynomial: hex(1),
            initial: hex(2),
            reflect_input: column[3] == "True",
            reflect_output: column[4] == "True",
            final_xor: hex(5),
        };
        assert_eq!(variant.of_bytes(b"123456789"), hex(6), "{}", column[0]);
        count += 1;
    }
    assert_eq!(count, 12);
}

#[test]
fn the_two_reflected_checks_are_not_confused() {
    // ST LRI64 data sheet, appendix B: 01 02 03 04 gives 3991h by ISO/IEC 13239. The same bytes with preset 0 give
    // C54Fh (computed with crccheck 1.3.1 and crcmod 1.7).
    assert_eq!(crc::ISO_13239.of_bytes(&[1, 2, 3, 4]), 0x3991);
    assert_eq!(crc::KERMIT.of_bytes(&[1, 2, 3, 4]), 0xC54F);
}

#[test]
fn parity_counts_ones() {
    assert_eq!(
        (parity::even(&[1, 1, 1, 0]), parity::odd(&[1, 1, 1, 0])),
        (1, 0)
    );
    assert_eq!(
        (parity::even(&[1, 1, 0, 0]), parity::odd(&[1, 1, 0, 0])),
        (0, 1)
    );
}
