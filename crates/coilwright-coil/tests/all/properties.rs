//! What must not change when the record is scaled, shifted, turned over or reordered.

use crate::signals::{Sampler, decay, noise_rms, turn_on};
use coilwright_coil::{Estimate, Mode, RingDownOptions, fit_edges, fit_ring_down, fit_turn_on};
use proptest::prelude::*;

/// Rounding of f32 samples after a shift, in standard deviations of a fit at 30 dB and more.
const ROUNDING_SIGMA: f64 = 1e-2;

fn fit(record: &[f32]) -> Mode {
    fit_ring_down(&[record], 1e6, &RingDownOptions::default())
        .unwrap()
        .mode
}

fn near(a: &Mode, b: &Mode) -> bool {
    (a.resonance_hz.value - b.resonance_hz.value).abs() < ROUNDING_SIGMA * b.resonance_hz.std_dev
        && (a.q.value - b.q.value).abs() < ROUNDING_SIGMA * b.q.std_dev
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn scale_shift_and_polarity_leave_the_pole(
        seed in 0_u64..1000, q in 5.0..60.0_f64, hz in 90e3..160e3_f64, phase in 0.0..std::f64::consts::TAU,
        scale in 1e-4..1e4_f32, shift in -2.0..2.0_f32,
    ) {
        let samples = (5.0 * q / (std::f64::consts::PI * hz) * 1e6) as usize;
        let record = Sampler::new(seed).record(decay(hz, q, phase), 1e6, samples, noise_rms(35.0));
        let plain = fit(&record);
        let turned: Vec<f32> = record.iter().map(|x| -x).collect();
        let doubled: Vec<f32> = record.iter().map(|x| 2.0 * x).collect();
        let scaled: Vec<f32> = record.iter().map(|x| scale * x).collect();
        let shifted: Vec<f32> = record.iter().map(|x| x + shift).collect();
        prop_assert_eq!(fit(&turned).q, plain.q);
        prop_assert_eq!(fit(&doubled).q, plain.q);
        prop_assert!(near(&fit(&scaled), &plain));
        prop_assert!(near(&fit(&shifted), &plain));
    }

    #[test]
    fn the_order_of_records_does_not_matter(seed in 0_u64..1000) {
        let mut sampler = Sampler::new(seed);
        let records: Vec<Vec<f32>> = [0.1, 1.0, 2.5]
            .iter()
            .map(|&phase| sampler.record(decay(125e3, 20.0, phase), 1e6, 250, noise_rms(30.0)))
            .collect();
        let options = RingDownOptions::default();
        let forward = fit_ring_down(&[&records[0], &records[1], &records[2]], 1e6, &options).unwrap().mode;
        let backward = fit_ring_down(&[&records[2], &records[0], &records[1]], 1e6, &options).unwrap().mode;
        prop_assert!(near(&forward, &backward));
        prop_assert!(forward.q.std_dev < fit(&records[0]).q.std_dev);
    }

    #[test]
    fn a_later_start_agrees_within_its_errors(seed in 0_u64..1000, skip in 1_usize..60) {
        let record = Sampler::new(seed).record(turn_on(127e3, 20.0, 125e3, 0.3), 1e6, 400, noise_rms(40.0));
        let drive = Estimate::new(125e3, 0.0);
        let whole = fit_turn_on(&[&record], 1e6, drive, &RingDownOptions::default()).unwrap().ring.mode;
        let later = fit_turn_on(&[&record[skip..]], 1e6, drive, &RingDownOptions::default()).unwrap().ring.mode;
        // The whole record holds the later one: their difference has the variance of the difference. Five sigma.
        let spread = (later.q.std_dev.powi(2) - whole.q.std_dev.powi(2)).max(0.05 * later.q.std_dev.powi(2)).sqrt();
        prop_assert!((whole.q.value - later.q.value).abs() < 5.0 * spread, "{:?} {:?}", whole.q, later.q);
    }

    #[test]
    fn no_input_panics(
        record in prop::collection::vec(prop_oneof![any::<f32>(), -1.0_f32..1.0, Just(0.0), Just(f32::MAX)], 0..80),
        rate in prop_oneof![Just(1e6), any::<f64>()], drive in prop_oneof![Just(125e3), any::<f64>()],
        spread in prop_oneof![Just(0.0), any::<f64>()],
    ) {
        let half = record.len() / 2;
        let options = RingDownOptions::default();
        let _ = fit_ring_down(&[&record], rate, &options);
        let _ = fit_edges(&[&record], &[&record[..half], &record[half..]], rate, Estimate::new(drive, spread), &options);
    }
}
