//! Estimators and decoders against their bounds, with few trials; `docs/limits-signal.md` has the full numbers.

use std::f64::consts::TAU;

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, estimate_tone};
use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::demodulate::{ListenOptions, listen};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution as _, StandardNormal};

use crate::synthetic::Answer;

/// 200 trials leave an uncertainty of 5 %; three times that over a ratio of 1.
const RATIO_OF_200_TRIALS: f64 = 1.15;

#[test]
fn the_tone_reaches_the_cramer_rao_bound() {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    for (length, snr_db) in [(256, 10.0), (1024, 40.0), (1024, 90.0)] {
        let sigma = (0.5 * 10.0_f64.powf(-snr_db / 10.0)).sqrt();
        let n = f64::from(length);
        let bound = (24.0 * sigma * sigma / (n * (n * n - 1.0))).sqrt() / TAU;
        let mut squares = 0.0;
        let mut claimed = 0.0;
        for _ in 0..200 {
            let frequency = 0.125 + (random.random::<f64>() - 0.5) / n;
            let phase = TAU * random.random::<f64>();
            let samples: Vec<f32> = (0..length)
                .map(|k| {
                    let noise: f64 = StandardNormal.sample(&mut random);
                    ((TAU * frequency * f64::from(k) + phase).cos() + sigma * noise) as f32
                })
                .collect();
            let tone = estimate_tone(&samples, 1.0, (0.1, 0.15)).unwrap();
            squares += (tone.frequency_hz.value - frequency).powi(2);
            claimed += tone.frequency_hz.std_dev.powi(2);
        }
        let ratio = (squares / 200.0).sqrt() / bound;
        assert!(ratio < RATIO_OF_200_TRIALS, "{length} {snr_db}: {ratio}");
        let claim = (claimed / 200.0).sqrt() / bound;
        assert!((claim - 1.0).abs() < 0.05, "claimed {claim} of the bound");
    }
}

/// Wrong bits of one stretch of random data at 7 dB, against the theory's mean.
fn errors_at_7_db(biphase_coded: bool) -> (usize, usize) {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let data: Vec<u8> = (0..9_000)
        .map(|_| u8::from(random.random::<bool>()))
        .collect();
    let levels = if biphase_coded {
        biphase::encode(&data, biphase::Convention::Space, 0)
    } else {
        manchester::encode(&data, manchester::Convention::Thomas)
    };
    let answer = Answer::new(levels, 16.0).with_eb_n0(7.0);
    let samples = answer.samples(1.0);
    let carrier = Carrier::direct(answer.carrier_hz + 1.0);
    let heard = listen(
        &samples,
        SampleKind::Real,
        1e6,
        0,
        &carrier,
        &ListenOptions::default(),
    );
    let key = &heard.keys[0];
    assert_eq!(key.clocks_per_bit, 16);
    let period = 16e6 / answer.carrier_hz;
    // A biphase bit lies between the middles of two symbols.
    let shift = if biphase_coded { 0.5 } else { 0.0 };
    let first = (key.bit_times.first - answer.delay_s * 1e6) / period + shift;
    assert!((first - first.round()).abs() < 0.03, "timing {first}");
    // The first bit may lie in part before the samples; the key sends its bits over and over.
    let before = first.round().rem_euclid(data.len() as f64) as usize;
    let sent = data.iter().cycle().skip(before);
    let wrong = if biphase_coded {
        key.bits
            .windows(2)
            .zip(sent)
            .filter(|(pair, bit)| pair[0] ^ pair[1] != **bit)
            .count()
    } else {
        key.bits
            .iter()
            .zip(sent)
            .filter(|(read, bit)| read != bit)
            .count()
    };
    (wrong, key.bits.len())
}

#[test]
fn bit_errors_are_as_few_as_theory_lets_them_be() {
    // Q(√(2 Eb/N0)) at 7 dB is 7.727e-4; at 6.5 dB it is 1.4e-3. Six errors are expected in 7800 bits; 17 would be
    // more than 6.5 dB gives in 95 % of runs.
    let (wrong, bits) = errors_at_7_db(false);
    assert!(bits > 7_700 && wrong < 17, "{wrong} of {bits}");
    // Biphase 2Q(1 − Q): twelve are expected.
    let (wrong, bits) = errors_at_7_db(true);
    assert!(bits > 7_700 && wrong < 26, "{wrong} of {bits}");
}
