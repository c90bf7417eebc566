//! Calls that make no sense, and what the messages say.

use coilwright_coil::{Estimate, FitError, Positive, RingDownOptions, fit_ring_down, fit_turn_on};

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

#[test]
fn each_message_in_frequency_says_what_was_found_and_needed() {
    let messages = [
        (
            FitError::TooFewPoints {
                found: 4,
                needed: 7,
            },
            "4 points were given, at least 7 are needed: measure at more frequencies",
        ),
        (
            FitError::FrequencyOrder {
                index: 3,
                found_hz: 1e3,
                before_hz: 2e3,
            },
            "frequency 3 is 1000 Hz after 2000 Hz, a greater finite number is needed: sort the table and drop repeats",
        ),
        (
            FitError::LengthsDiffer {
                frequencies: 5,
                values: 4,
            },
            "4 values were given for 5 frequencies, one for each is needed",
        ),
        (
            FitError::PointNotFinite { index: 6 },
            "the value at point 6 is not a finite number",
        ),
        (
            FitError::NotPositive {
                quantity: Positive::ReferenceResistance,
                found: -50.0,
            },
            "the reference resistance in ohm is -50, a positive finite number is needed",
        ),
        (
            FitError::NoResonance {
                low_hz: 1e5,
                high_hz: 1.5e5,
                chance: 0.4,
            },
            "no resonance stands out between 100000 and 150000 Hz: noise would do as much with probability 0.40; \
             widen the sweep, couple more tightly, or average",
        ),
        (
            FitError::ResonanceOutside {
                resonance_hz: 9e4,
                low_hz: 1e5,
                high_hz: 1.5e5,
            },
            "the resonance would lie at 90000 Hz, outside 100000 to 150000 Hz: move the sweep so that it holds the resonance",
        ),
    ];
    for (error, text) in messages {
        assert_eq!(error.to_string(), text);
    }
}

#[test]
fn each_message_about_an_instrument_says_what_was_found_and_needed() {
    let messages = [
        (
            FitError::ReflectionBlind {
                inductance_henry: Estimate::new(1e-3, 2e-6),
                capacitance_farad: None,
                frequency_hz: 125e3,
                reference_ohm: 50.0,
                resistance_ohm: Estimate::new(15.7, 6.2),
                impedance_ohm: 785.6,
                reflection_std_dev: 1e-3,
                relative: 0.39,
                limit: 0.2,
            },
            "the coil has 1.0000 ± 0.0020 mH, but the reflection in 50 Ω cannot give its Q: at 125000 Hz it has 15.7 Ω of resistance in 786 Ω of impedance, \
             and an uncertainty of 1.0e-3 in the reflection is 6.2 Ω of it (39 % of Q, limit 20 %); tune the coil with a series capacitor, \
             or use a ring-down, a sweep or an impedance meter",
        ),
        (
            FitError::OpenCircuit {
                capacitance_farad: Estimate::new(5.2e-12, 0.1e-12),
            },
            "the impedance is that of 5.2 ± 0.1 pF, as an open coil or a bare cable has: check the connection and the winding's continuity",
        ),
        (
            FitError::ShortCircuit {
                resistance_ohm: Estimate::new(0.05, 0.02),
                inductance_henry: Estimate::new(50e-9, 1e-9),
            },
            "the impedance is that of 0.05 ± 0.02 Ω and 50 nH, as a short or a bare wire has: check the connection and the winding for a short",
        ),
        (
            FitError::CircleTooLarge {
                diameter: 2.5,
                limit: 2.0,
            },
            "the resonance circle has a diameter of 2.5000, less than 2.0000 is possible: check the calibration and the scale of the data",
        ),
        (
            FitError::NotInductive {
                frequency_hz: 1e5,
                reactance_ohm: -8.0,
            },
            "the impedance is not inductive: -8.000 Ω of reactance at 100000 Hz, a positive one is needed below the self-resonance; \
             check the phase's sign and that the sweep begins below the self-resonance",
        ),
        (
            FitError::BeyondCard {
                frequency_hz: 13e4,
                sample_rate_hz: 192e3,
                highest_hz: 86_400.0,
                needed_rate_hz: 288_889.0,
            },
            "130000 Hz is beyond this card: at 192000 samples per second it makes at most 86400 Hz; use at least 288889 samples per second, \
             a signal generator, or lower the resonance with a known capacitor",
        ),
        (
            FitError::Incoherent {
                coherence: 0.2,
                needed: 0.5,
                low_hz: 1e5,
                high_hz: 1.5e5,
            },
            "the pickup does not follow the stimulus: coherence is 0.200 at best between 100000 and 150000 Hz, at least 0.500 is needed; \
             check the channels and the level, or record longer",
        ),
        (
            FitError::BadBand {
                low_hz: 5.0,
                high_hz: 1.0,
            },
            "the band 5 to 1 Hz is empty or reaches zero: give a lower and a higher positive frequency",
        ),
        (
            FitError::StimulusLong {
                found: 2e7,
                limit: 16_777_216,
            },
            "the stimulus would have 20000000 samples, at most 16777216 are made: shorten it or lower the rate",
        ),
    ];
    for (error, text) in messages {
        assert_eq!(error.to_string(), text);
    }
}
