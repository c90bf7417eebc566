//! Calls that make no sense, and what the messages say.

use coilwright_coil::{Estimate, FitError, RingDownOptions, fit_ring_down, fit_turn_on};

fn fail(records: &[&[f32]], sample_rate_hz: f64, options: &RingDownOptions) -> FitError {
    fit_ring_down(records, sample_rate_hz, options).unwrap_err()
}

#[test]
fn senseless_calls_are_refused() {
    let (plain, good) = (RingDownOptions::default(), [0.0_f32; 50]);
    assert_eq!(fail(&[], 1e6, &plain), FitError::NoRecords);
    assert_eq!(
        fail(&[&good, &good[..5]], 1e6, &plain),
        FitError::TooFewSamples {
            record: 1,
            found: 5,
            needed: 8
        }
    );
    assert_eq!(
        fail(&[&good], 0.0, &plain),
        FitError::BadSampleRate { found_hz: 0.0 }
    );
    assert!(matches!(
        fail(&[&good], f64::NAN, &plain),
        FitError::BadSampleRate { .. }
    ));
    let mut broken = good;
    broken[7] = f32::INFINITY;
    assert_eq!(
        fail(&[&broken], 1e6, &plain),
        FitError::NotFinite {
            record: 0,
            index: 7
        }
    );
    let reversed = RingDownOptions {
        search_band_hz: Some((200e3, 100e3)),
        ..plain
    };
    assert!(matches!(
        fail(&[&good], 1e6, &reversed),
        FitError::BadSearchBand { .. }
    ));
    for drive in [
        Estimate::new(0.0, 0.0),
        Estimate::new(f64::NAN, 0.0),
        Estimate::new(125e3, f64::INFINITY),
    ] {
        let error = fit_turn_on(&[&good], 1e6, drive, &plain).unwrap_err();
        assert!(
            matches!(error, FitError::BadDriveFrequency { .. }),
            "{error:?}"
        );
    }
}

#[test]
fn each_message_says_what_was_found_and_needed() {
    let q = Estimate::new(1.9, 0.1);
    let resonance_hz = Estimate::new(151_234.0, 800.0);
    let messages = [
        (
            FitError::NoRecords,
            "no record was given: pass at least one run of samples that starts just after an edge",
        ),
        (
            FitError::TooFewSamples {
                record: 2,
                found: 5,
                needed: 8,
            },
            "record 2 has 5 samples, at least 8 are needed: take a longer piece or a faster rate",
        ),
        (
            FitError::BadSampleRate { found_hz: -1.0 },
            "the sample rate is -1 Hz, a positive number is needed",
        ),
        (
            FitError::BadDriveFrequency { found_hz: 0.0 },
            "the drive frequency is 0 Hz, a positive number with a finite standard deviation is needed",
        ),
        (
            FitError::BadSearchBand {
                low_hz: 2.0,
                high_hz: 1.0,
                nyquist_hz: 5.0,
            },
            "the search band 2 to 1 Hz does not lie between zero and half the sample rate, 5 Hz",
        ),
        (
            FitError::NotFinite {
                record: 0,
                index: 7,
            },
            "sample 7 of record 0 is not a finite number",
        ),
        (
            FitError::NoSignal {
                gain_db: 9.0,
                needed_db: 14.5,
            },
            "no oscillation stands above the noise: 9.0 dB gained by the best mode, 14.5 dB needed",
        ),
        (
            FitError::NoRingDown {
                resonance_hz,
                q,
                cycles_per_tau: 0.6,
            },
            "no ring-down: the tail falls to 1/e in 0.60 cycles (Q 1.90 ± 0.10 at 151234 Hz)",
        ),
        (
            FitError::NotDecaying {
                frequency_hz: 125e3,
                decay_per_s: Estimate::new(2.5, 4.0),
            },
            "the oscillation at 125000 Hz does not decay within the record: 2.500e0 ± 4.0e0 nepers per second",
        ),
        (
            FitError::NotExplained {
                resonance_hz: 125e3,
                q: 7.25,
                misfit: 0.41,
            },
            "damped sinusoids do not explain the record: the misfit is 41 % of the mode at 125000 Hz, Q 7.2",
        ),
        (
            FitError::NotSeparable,
            "the fit did not converge: the modes and lines cannot be told apart in this record",
        ),
    ];
    for (error, text) in messages {
        assert_eq!(error.to_string(), text);
    }
}
