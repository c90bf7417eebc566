//! Injection: what is played, what comes back, and the pole in it.

use crate::signals::Gauss;
use coilwright_coil::{
    Background, FitError, ResponseOptions, Stimulus, StimulusPlan, TransferBand, TransferEstimator,
    fit_injection, make_stimulus, transfer_function,
};
use std::f64::consts::TAU;

const PLAN: StimulusPlan = StimulusPlan {
    stimulus: Stimulus::Chirp,
    low_hz: 5e3,
    high_hz: 30e3,
    sample_rate_hz: 192e3,
    duration_s: 0.5,
    peak: 0.5,
};
const BAND: TransferBand = TransferBand {
    low_hz: 6e3,
    high_hz: 28e3,
    resolution_hz: None,
};
/// Far below the sample rate, so that the discrete ring is nearly the continuous one.
const RESONANCE_HZ: f64 = 12_345.0;
const Q: f64 = 18.0;

/// Response of `H(s) = (ω₀/Q) s/(s² + s ω₀/Q + ω₀²)`, the current of a series ring, to samples: the bilinear transform with its
/// frequency warped onto the resonance, which keeps the form of the response; the pole is then that of the discrete filter.
fn ring(samples: &[f32], resonance_hz: f64, q: f64) -> Vec<f64> {
    let k = (std::f64::consts::PI * resonance_hz / PLAN.sample_rate_hz).tan();
    let norm = 1.0 + k / q + k * k;
    let (b0, a1, a2) = (
        k / q / norm,
        2.0 * (k * k - 1.0) / norm,
        (1.0 - k / q + k * k) / norm,
    );
    let (mut x, mut y) = ([0.0; 2], [0.0; 2]);
    samples
        .iter()
        .map(|&sample| {
            let sample = f64::from(sample);
            let out = b0 * (sample - x[1]) - a1 * y[0] - a2 * y[1];
            x = [sample, x[0]];
            y = [out, y[0]];
            out
        })
        .collect()
}

/// `H` of the discrete ring at the points, against which the transfer function is held.
fn truth(f: f64) -> num_complex::Complex64 {
    let warp = |f: f64| (std::f64::consts::PI * f / PLAN.sample_rate_hz).tan();
    let u = warp(f) / warp(RESONANCE_HZ);
    num_complex::Complex64::new(1.0, Q * (u - u.recip())).inv()
}

fn record(stimulus: Stimulus, noise: f64) -> (Vec<f32>, Vec<f32>) {
    let played = make_stimulus(&StimulusPlan { stimulus, ..PLAN }).unwrap();
    let mut random = Gauss::new(3);
    let heard = ring(&played, RESONANCE_HZ, Q)
        .into_iter()
        .map(|v| (v + noise * random.real()) as f32)
        .collect();
    (played, heard)
}

#[test]
fn the_transfer_function_is_that_of_the_ring() {
    for stimulus in [
        Stimulus::Chirp,
        Stimulus::Noise { seed: 4 },
        Stimulus::MultiSine { tones: 300 },
    ] {
        let (played, heard) = record(stimulus, 1e-4);
        let points = transfer_function(&played, &heard, PLAN.sample_rate_hz, &BAND).unwrap();
        assert!(points.len() > 100, "{stimulus:?}: {}", points.len());
        for point in &points {
            let error = (point.response - truth(point.frequency_hz)).norm();
            // A point's width over the curve adds up to 1e-3 to its own deviation.
            assert!(
                error < 6.0 * point.std_dev + 2e-3,
                "{stimulus:?} {point:?} {error}"
            );
        }
        let best = points.iter().map(|p| p.coherence).fold(0.0, f64::max);
        assert!(best > 0.999, "{stimulus:?}: {best}");
    }
}

#[test]
fn the_pole_is_found_from_each_stimulus() {
    for (stimulus, noise) in [
        (Stimulus::Chirp, 3e-3),
        (Stimulus::Noise { seed: 8 }, 3e-3),
        (Stimulus::MultiSine { tones: 300 }, 3e-3),
    ] {
        let (played, heard) = record(stimulus, noise);
        // Near the resonance the warped frequency runs straight; over this band the difference moves Q by less than 1 %.
        let band = TransferBand {
            low_hz: 9e3,
            high_hz: 16e3,
            resolution_hz: None,
        };
        let points = transfer_function(&played, &heard, PLAN.sample_rate_hz, &band).unwrap();
        let options = ResponseOptions {
            background: Background::Sloped,
            ..ResponseOptions::default()
        };
        let fit = fit_injection(&points, &options).unwrap();
        // The discrete ring's curve is that of Q times the warp's slope at the resonance: u ≈ 1 + w (f/f₀ − 1).
        let angle = std::f64::consts::PI * RESONANCE_HZ / PLAN.sample_rate_hz;
        let slope = angle / (angle.sin() * angle.cos());
        let (found_hz, found_q) = (fit.response.resonance_hz, fit.response.q);
        assert!(
            (found_hz.value / RESONANCE_HZ - 1.0).abs() < 1e-3,
            "{stimulus:?} {found_hz:?}"
        );
        assert!(
            (found_q.value / (Q * slope) - 1.0).abs() < 0.02,
            "{stimulus:?} {found_q:?} {}",
            Q * slope
        );
        assert!(!fit.blurred && fit.best_coherence > 0.9);
    }
}

/// The side lines of a tone's window must not move its frequency: a fifth of a hertz is ten deviations of f0 at 60 dB.
#[test]
fn tones_stand_at_their_frequencies() {
    let (played, heard) = record(Stimulus::MultiSine { tones: 300 }, 1e-4);
    let points = transfer_function(&played, &heard, PLAN.sample_rate_hz, &BAND).unwrap();
    assert!(points.len() > 200, "{}", points.len());
    for point in &points {
        let line = point.frequency_hz * PLAN.duration_s;
        assert!((line - line.round()).abs() < 1e-6, "{point:?}");
    }
}

/// Points half a line width wide do not lower Q, and fine ones are no better than their deviations say.
#[test]
fn wide_points_do_not_lower_q() {
    let angle = std::f64::consts::PI * RESONANCE_HZ / PLAN.sample_rate_hz;
    let truth = Q * angle / (angle.sin() * angle.cos());
    for stimulus in [Stimulus::Chirp, Stimulus::Noise { seed: 8 }] {
        let (played, heard) = record(stimulus, 1e-3);
        let q = |resolution_hz: f64| {
            // Over a narrow band the warped frequency runs straight: what the warp's bend adds is below 3e-4.
            let band = TransferBand {
                low_hz: 11.4e3,
                high_hz: 13.3e3,
                resolution_hz: Some(resolution_hz),
            };
            let points = transfer_function(&played, &heard, PLAN.sample_rate_hz, &band).unwrap();
            fit_injection(&points, &ResponseOptions::default()).unwrap()
        };
        let (fine, wide) = (q(16.0), q(200.0));
        for fit in [&fine, &wide] {
            let found = fit.response.q;
            let error = (found.value - truth).abs();
            assert!(
                error < 3.0 * found.std_dev + 3e-4 * truth,
                "{stimulus:?} {found:?} {truth}"
            );
        }
        assert!(
            wide.resolution_widths > 0.25 && !wide.blurred,
            "{}",
            wide.resolution_widths
        );
    }
}

#[test]
fn a_long_record_in_pieces_is_that_record() {
    // Twelve seconds: three half overlapping blocks.
    let plan = StimulusPlan {
        stimulus: Stimulus::Noise { seed: 9 },
        duration_s: 12.0,
        ..PLAN
    };
    let played = make_stimulus(&plan).unwrap();
    assert!(played.len() > 2 << 20);
    let heard: Vec<f32> = ring(&played, RESONANCE_HZ, Q)
        .into_iter()
        .map(|v| v as f32)
        .collect();
    let whole = transfer_function(&played, &heard, PLAN.sample_rate_hz, &BAND).unwrap();
    for point in &whole {
        let error = (point.response - truth(point.frequency_hz)).norm();
        assert!(error < 5e-3, "{point:?} {error}");
    }
    let mut estimator = TransferEstimator::new(PLAN.sample_rate_hz, &BAND, played.len()).unwrap();
    for (x, y) in played.chunks(77_777).zip(heard.chunks(77_777)) {
        estimator.add(x, y).unwrap();
    }
    assert_eq!(
        (estimator.taken(), estimator.samples()),
        (played.len(), played.len())
    );
    assert_eq!(estimator.points(), whole);
    let refused = estimator.add(&[0.0, f32::NAN], &[0.0, 0.0]);
    let place = played.len() + 1;
    assert!(matches!(refused, Err(FitError::PointNotFinite { index }) if index == place));
}

#[test]
fn a_dead_pickup_is_refused() {
    let played = make_stimulus(&PLAN).unwrap();
    let mut random = Gauss::new(12);
    let heard: Vec<f32> = played.iter().map(|_| random.real() as f32).collect();
    let points = transfer_function(&played, &heard, PLAN.sample_rate_hz, &BAND).unwrap();
    let error = fit_injection(&points, &ResponseOptions::default()).unwrap_err();
    assert!(matches!(error, FitError::Incoherent { .. }), "{error}");
    let short = transfer_function(&played[1..], &heard, PLAN.sample_rate_hz, &BAND);
    assert!(matches!(short, Err(FitError::LengthsDiffer { .. })));
}

#[test]
fn what_the_card_cannot_make_is_said_with_what_it_can() {
    let error = make_stimulus(&StimulusPlan {
        high_hz: 130e3,
        ..PLAN
    })
    .unwrap_err();
    let FitError::BeyondCard {
        highest_hz,
        needed_rate_hz,
        ..
    } = error
    else {
        panic!("{error}")
    };
    assert!((highest_hz - 86_400.0).abs() < 1e-6 && (needed_rate_hz - 288_888.9).abs() < 0.1);
    assert!(error.to_string().contains("at most 86400 Hz"), "{error}");
    assert!(matches!(
        make_stimulus(&StimulusPlan {
            low_hz: 90e3,
            high_hz: 80e3,
            ..PLAN
        }),
        Err(FitError::BadBand { .. })
    ));
    assert!(matches!(
        make_stimulus(&StimulusPlan {
            duration_s: 1e6,
            ..PLAN
        }),
        Err(FitError::StimulusLong { .. })
    ));
    assert!(matches!(
        make_stimulus(&StimulusPlan {
            duration_s: 1e-5,
            ..PLAN
        }),
        Err(FitError::TooFewPoints { .. })
    ));
    assert!(matches!(
        make_stimulus(&StimulusPlan { peak: 0.0, ..PLAN }),
        Err(FitError::NotPositive { .. })
    ));
}

#[test]
fn a_stimulus_that_makes_no_sense_is_refused() {
    let loud = make_stimulus(&StimulusPlan { peak: 5.0, ..PLAN }).unwrap_err();
    assert!(matches!(loud, FitError::PeakBeyondScale { .. }), "{loud}");
    // A period of 1 ms repeats at 5, 6, … 30 kHz.
    for tones in [0, 1, 27, 64] {
        let error = make_stimulus(&StimulusPlan {
            stimulus: Stimulus::MultiSine { tones },
            duration_s: 1e-3,
            ..PLAN
        })
        .unwrap_err();
        let FitError::TonesUnplayable { found, most, .. } = error else {
            panic!("{error}")
        };
        assert_eq!((found, most), (tones, 26));
    }
    let all = StimulusPlan {
        stimulus: Stimulus::MultiSine { tones: 26 },
        duration_s: 1e-3,
        ..PLAN
    };
    assert_eq!(make_stimulus(&all).unwrap().len(), 192);
}

#[test]
fn stimuli_fill_their_band_and_no_more() {
    for stimulus in [
        Stimulus::Chirp,
        Stimulus::Noise { seed: 1 },
        Stimulus::MultiSine { tones: 64 },
    ] {
        let samples = make_stimulus(&StimulusPlan {
            stimulus,
            duration_s: 0.05,
            ..PLAN
        })
        .unwrap();
        let largest = samples.iter().fold(0.0_f32, |m, v| v.abs().max(m));
        assert!((largest - 0.5).abs() < 1e-6, "{stimulus:?}: {largest}");
        // A plain transform at 400 Hz steps, eight lines of the 50 ms apart by 20 Hz.
        let power = |f: f64| {
            let sum = samples.iter().enumerate().fold((0.0, 0.0), |sum, (n, &v)| {
                let (s, c) = (TAU * f * n as f64 / PLAN.sample_rate_hz).sin_cos();
                (sum.0 + f64::from(v) * c, sum.1 + f64::from(v) * s)
            });
            sum.0.powi(2) + sum.1.powi(2)
        };
        let total = |low: f64, high: f64| {
            (0..50)
                .map(|k| power(low + (high - low) * f64::from(k) / 50.0))
                .sum::<f64>()
        };
        let (inside, outside) = (total(6e3, 28e3), total(1e3, 4e3) + total(35e3, 95e3));
        assert!(outside < 2e-2 * inside, "{stimulus:?}: {outside} {inside}");
    }
}
