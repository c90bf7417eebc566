//! What the views show of answers whose form is known.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::{Carrier, SignalKind, folded_hz};
use coilwright_signal::code::manchester;
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_signal::frame::{ReadOnly64, read_only_64};
use coilwright_signal::view::{Axes, Heard, LineKind, Spectrum, Views, half_bit_signs};

use crate::subcarrier_signal::{Divider, Keying, Subcarrier};
use crate::synthetic::{Answer, add_line};

const SANDPIPER: ReadOnly64 = ReadOnly64 {
    customer: 0x12,
    number: 0x3456_789A,
};
/// The high-pass that takes hum out takes up to a quarter of a half-bit in a long run of equal symbols.
const POINT_TOLERANCE: f64 = 0.3;
/// A line's level beside noise 50 dB lower, read off a window whose parabola is off by less than 0.1 dB.
const LEVEL_TOLERANCE_DB: f64 = 0.2;

fn levels() -> Vec<u8> {
    manchester::encode(
        &read_only_64::encode(&SANDPIPER),
        manchester::Convention::Thomas,
    )
}

fn hear(samples: &[f32], sample_rate_hz: f64, carrier: &Carrier) -> (Listening, Views) {
    let options = ListenOptions {
        keep_baseband: true,
        ..ListenOptions::default()
    };
    let kind = SampleKind::Real;
    let listening = listen(samples, kind, sample_rate_hz, 1_000, carrier, &options);
    let views = Heard {
        samples,
        kind,
        sample_rate_hz,
        carrier,
        listening: &listening,
    }
    .views();
    (listening, views)
}

fn answer() -> (Answer, Listening, Views) {
    let mut answer = Answer::new(levels(), 64.0);
    answer.snr_db = 60.0;
    let carrier = Carrier::direct(answer.carrier_hz + 2.0);
    let (listening, views) = hear(&answer.samples(0.2), answer.sample_rate_hz, &carrier);
    (answer, listening, views)
}

#[test]
fn the_half_bits_of_one_key_make_two_clouds_on_the_modulation_axis() {
    let (answer, listening, views) = answer();
    let constellation = views.keys[0].constellation.as_ref().unwrap();
    assert!(constellation.points.len() > 600);
    let read = &listening.keys[0];
    // The first and last half-bits run into the ends of the stretch.
    let inner = constellation.half_bits.iter().zip(&constellation.points);
    for (&half, point) in inner.filter(|(half, _)| (20..700).contains(*half)) {
        let is_high = (read.bits[half / 2] == 1) == (half % 2 == 0);
        let sign = if is_high { 1.0 } else { -1.0 };
        let (sin, cos) = answer.axis_rad.sin_cos();
        for (part, axis) in [(point.re, cos), (point.im, sin)] {
            let expected = sign * answer.depth * axis;
            let rest = (f64::from(part) - expected).abs();
            assert!(rest < POINT_TOLERANCE * answer.depth, "{half} {point}");
        }
    }
    assert!((constellation.axis_rad - answer.axis_rad).abs() < 0.01);
}

#[test]
fn the_eye_is_open_and_its_traces_are_the_bits() {
    let (answer, listening, views) = answer();
    let eye = views.keys[0].eye.as_ref().unwrap();
    assert_eq!(eye.values.len(), eye.bits.len() * eye.time_bits.len());
    let column = |time: f32| eye.time_bits.iter().position(|&t| t == time).unwrap();
    let (first, second) = (column(0.25), column(0.75));
    for (trace, &bit) in eye.traces().zip(&eye.bits) {
        let high_first = listening.keys[0].bits[bit] == 1;
        let sign = if high_first { 1.0 } else { -1.0 };
        assert!(sign * trace[first] > 0.5 * answer.depth as f32, "bit {bit}");
        assert!(
            sign * trace[second] < -0.5 * answer.depth as f32,
            "bit {bit}"
        );
    }
}

#[test]
fn the_signs_of_the_half_bits_are_the_levels_that_were_sent() {
    let (_, listening, _) = answer();
    let read = &listening.keys[0];
    let signs = half_bit_signs(listening.baseband.as_ref().unwrap(), read).unwrap();
    let expected: Vec<bool> = read
        .bits
        .iter()
        .flat_map(|&bit| [bit == 1, bit == 0])
        .collect();
    assert_eq!(signs, expected);
}

#[test]
fn transitions_lie_on_the_clock_and_a_clock_that_is_off_shows() {
    let (_, mut listening, views) = answer();
    let timing = views.keys[0].timing.as_ref().unwrap();
    assert!(timing.positions.len() > 300);
    assert!(timing.mean_bits.abs() < 0.01, "{}", timing.mean_bits);
    assert!(timing.jitter_bits < 0.01, "{}", timing.jitter_bits);

    let read = &mut listening.keys[0];
    read.bit_times.first -= 0.1 * read.bit_times.period;
    let baseband = listening.baseband.as_ref().unwrap();
    let late = coilwright_signal::view::Timing::of(baseband, &listening.keys[0]).unwrap();
    assert!((late.mean_bits - timing.mean_bits - 0.1).abs() < 0.005);
}

#[test]
fn bits_on_a_subcarrier_make_clouds_and_an_open_eye() {
    for (keying, axes) in [
        (Keying::Phase(4), Axes::Subcarrier),
        (Keying::Frequency([8, 10], Divider::Restarts), Axes::Tones),
    ] {
        let mut signal = Subcarrier::new(keying, 64, read_only_64::encode(&SANDPIPER).to_vec());
        signal.eb_n0_db = 25.0;
        let carrier = Carrier::direct(signal.carrier_hz);
        let (listening, views) = hear(
            &signal.recorded(0.2).samples,
            signal.sample_rate_hz,
            &carrier,
        );
        let (read, views) = (&listening.keys[0], &views.keys[0]);
        let depth = read.depth.value as f32;
        let constellation = views.constellation.as_ref().unwrap();
        assert_eq!(constellation.axes, axes);
        assert!(constellation.points.len() + 4 > read.bits.len());
        let sign = if read.frames[0].inverted { -1.0 } else { 1.0 };
        let side = |bit: usize| sign * if read.bits[bit] == 1 { 1.0 } else { -1.0 };
        for (&half, point) in constellation.half_bits.iter().zip(&constellation.points) {
            let along = side(half / 2)
                * if axes == Axes::Tones {
                    point.re - point.im
                } else {
                    point.re
                };
            assert!((along / depth - 1.0).abs() < 0.5, "{axes:?} {half} {point}");
        }
        let eye = views.eye.as_ref().unwrap();
        let middle = eye.time_bits.iter().position(|&t| t == 0.5).unwrap();
        for (trace, &bit) in eye.traces().zip(&eye.bits) {
            assert!(side(bit) * trace[middle] > 0.6 * depth, "{axes:?} {bit}");
        }
        assert!(views.timing.as_ref().unwrap().mean_bits.abs() < 0.03);
    }
}

fn line(spectrum: &Spectrum, kind: LineKind) -> Option<(f64, f64)> {
    spectrum
        .lines
        .iter()
        .find(|line| line.kind == kind)
        .map(|line| (line.frequency_hz, line.level_dbc))
}

#[test]
fn carrier_harmonic_hum_and_a_stray_line_are_named() {
    let mut answer = Answer::new(levels(), 64.0);
    answer.hum = 0.003;
    let rate_hz = answer.sample_rate_hz;
    let mut samples = answer.samples(0.25);
    let part = |over_db: f64| answer.amplitude * 10.0_f64.powf(over_db / 20.0);
    add_line(&mut samples, rate_hz, 3.0 * answer.carrier_hz, part(-40.0));
    // The fifth harmonic lies above half the sample rate and folds to 374 981.5 Hz.
    let fifth_hz = folded_hz(5.0 * answer.carrier_hz, rate_hz);
    add_line(&mut samples, rate_hz, fifth_hz, part(-45.0));
    add_line(&mut samples, rate_hz, 311_000.0, part(-50.0));
    let (_, views) = hear(&samples, rate_hz, &Carrier::direct(answer.carrier_hz + 2.0));
    let spectrum = views.spectrum.unwrap();

    let (carrier_hz, carrier_dbc) = line(&spectrum, LineKind::Carrier).unwrap();
    assert!((carrier_hz - answer.carrier_hz).abs() < 0.5);
    assert!(carrier_dbc.abs() < LEVEL_TOLERANCE_DB);
    let expected = [
        (
            LineKind::Harmonic {
                order: 3,
                folded: false,
            },
            3.0 * answer.carrier_hz,
            -40.0,
        ),
        (
            LineKind::Harmonic {
                order: 5,
                folded: true,
            },
            fifth_hz,
            -45.0,
        ),
        (LineKind::Unknown, 311_000.0, -50.0),
    ];
    for (kind, frequency_hz, level_dbc) in expected {
        let (found_hz, found_dbc) = line(&spectrum, kind).unwrap();
        assert!(
            (found_hz - frequency_hz).abs() < 0.5,
            "{kind:?} at {found_hz}"
        );
        assert!(
            (found_dbc - level_dbc).abs() < LEVEL_TOLERANCE_DB,
            "{kind:?} {found_dbc}"
        );
    }
    // Hum of 0.3 % on both axes: each sideband is half of √2 · 0.3 % where one of them does not cancel.
    let hum = LineKind::Hum {
        hum_hz: 100,
        on_carrier: true,
    };
    assert!(line(&spectrum, hum).is_some(), "{:#?}", spectrum.lines);
    for order in [-1, 1] {
        let bit_rate_hz = answer.carrier_hz / 64.0;
        let (found_hz, found_dbc) = line(&spectrum, LineKind::Sideband { order }).unwrap();
        let offset_hz = (found_hz - answer.carrier_hz) * f64::from(order);
        assert!((0.5 * bit_rate_hz..1.5 * bit_rate_hz).contains(&offset_hz));
        // A deviation of 2 % puts −40 dBc into all lines of one side and the other together.
        assert!((-60.0..-40.0).contains(&found_dbc), "{found_dbc}");
    }
}

#[test]
fn a_bare_carrier_has_no_sidebands_and_no_unknown_lines() {
    let answer = Answer::new(Vec::new(), 64.0);
    let (listening, views) = hear(
        &answer.samples(0.25),
        answer.sample_rate_hz,
        &Carrier::direct(answer.carrier_hz + 2.0),
    );
    assert!(listening.keys.is_empty());
    let kinds: Vec<LineKind> = views
        .spectrum
        .unwrap()
        .lines
        .iter()
        .map(|line| line.kind)
        .collect();
    assert_eq!(kinds, [LineKind::Carrier]);
}

#[test]
fn a_folded_carrier_is_seen_mirrored() {
    let mut answer = Answer::new(levels(), 64.0);
    answer.sample_rate_hz = 192_000.0;
    let carrier = Carrier {
        kind: SignalKind::Aliased {
            zone: 2,
            inverted: true,
        },
        apparent_hz: 67_000.0,
        true_hz: 125_000.0,
    };
    let (_, views) = hear(&answer.samples(0.4), answer.sample_rate_hz, &carrier);
    let spectrum = views.spectrum.unwrap();
    let (carrier_hz, _) = line(&spectrum, LineKind::Carrier).unwrap();
    assert!((carrier_hz - (192_000.0 - answer.carrier_hz)).abs() < 0.5);
    let (upper_hz, _) = line(&spectrum, LineKind::Sideband { order: 1 }).unwrap();
    assert!(
        upper_hz < carrier_hz,
        "what lies above in the air is seen below"
    );
}

#[test]
fn too_few_samples_show_nothing() {
    let (_, views) = hear(&[0.5; 100], 1e6, &Carrier::direct(125e3));
    assert!(views.spectrum.is_none());
    assert!(views.keys.is_empty());
}
