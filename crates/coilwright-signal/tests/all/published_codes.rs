//! Line codes and checks against the published vectors in `testdata/published/signal`.

use coilwright_signal::code::{
    LineCode, PhaseChange, biphase, crc, differential_biphase, manchester, miller, nrz, parity,
};
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
fn nrz_follows_its_definition() {
    each_vector(|data, vector| {
        let levels = bits(&vector["nrz_l"]);
        assert_eq!(nrz::encode(data), levels);
        assert_eq!(hard(&nrz::decode_soft(&soft(&levels))), data);
    });
}

#[test]
fn miller_follows_its_definition_from_either_bit() {
    each_vector(|data, vector| {
        for (bit, name) in [(0, "miller_init0_prev0"), (1, "miller_init0_prev1")] {
            let levels = bits(&vector[name]);
            let before = miller::Before { level: 0, bit };
            assert_eq!(miller::encode(data, before), levels, "{name}");
            let inverted: Vec<f32> = soft(&levels).iter().map(|value| -value).collect();
            for values in [soft(&levels), inverted] {
                let decoded = miller::decode_soft(&values);
                assert_eq!(hard(&decoded), data, "{name}");
                assert!(decoded.iter().all(|bit| bit.abs() > 0.4), "{decoded:?}");
            }
        }
    });
}

#[test]
fn differential_biphase_follows_its_definition() {
    each_vector(|data, vector| {
        let levels = bits(&vector["diff_manchester_802_5_init0"]);
        assert_eq!(differential_biphase::encode(data, 0), levels);
        let decoded = differential_biphase::decode_soft(&soft(&levels));
        assert_eq!(decoded[0], 0.0);
        assert_eq!(hard(&decoded)[1..], data[1..]);
        // Half a bit later it is biphase-space: the same bits.
        let shifted = biphase::decode_soft(&soft(&levels)[1..], biphase::Convention::Space);
        assert_eq!(hard(&shifted), data[1..]);
    });
}

#[test]
fn phases_turn_by_the_rule_of_each_vector() {
    each_vector(|data, vector| {
        for (change, name) in [
            (PhaseChange::OnChange, "psk1_phase_flip_at_bit_start"),
            (PhaseChange::OnOne, "psk2_phase_flip_at_bit_start"),
            (PhaseChange::OnRise, "psk3_phase_flip_at_bit_start"),
        ] {
            // The vectors take the first bit for no change.
            assert_eq!(change.turns(data, data[0]), bits(&vector[name]), "{name}");
        }
    });
}

#[test]
fn the_evidence_is_largest_for_the_code_that_was_sent() {
    // Of each code, half-bits with a ratio of 8 each; the vector of all bits tells them apart.
    let file = load("line_code_vectors.json");
    let vector = &file["vectors"][0];
    for (code, name) in [
        (LineCode::Manchester, "manchester_ge_thomas"),
        (LineCode::Biphase, "biphase_space_FM0_init0"),
        (LineCode::Nrz, "nrz_l"),
        (LineCode::Miller, "miller_init0_prev0"),
    ] {
        let ratios: Vec<f32> = soft(&bits(&vector[name]))
            .iter()
            .map(|value| 8.0 * value)
            .collect();
        let evidence = LineCode::ALL.map(|code| (code.evidence(&ratios), code));
        let best = evidence.iter().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
        assert_eq!(best.1, code, "{evidence:?}");
        // ln 2 for each of the eight bits, less at most the unknown start.
        assert!((best.0 - 8.0 * 2.0_f64.ln()).abs() < 2.0, "{evidence:?}");
        assert_eq!(hard(&code.soft_bits(&ratios)), bits(&vector["data"]));
    }
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
