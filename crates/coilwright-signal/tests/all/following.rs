//! A key that sends the same again is read with a quick look; whatever is new gets a full one.

use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::code::{biphase, manchester};
use coilwright_signal::demodulate::{ListenOptions, Listening, listen};
use coilwright_signal::frame::{FdxB, ReadOnly64, fdx_b, read_only_64};

use crate::synthetic::{Answer, add_line};

/// A stretch, as a check cuts a capture.
const STRETCH: usize = 450_000;
/// The stretches overlap by one frame.
const OVERLAP: usize = 40_000;

fn manchester_levels(number: u32) -> Vec<u8> {
    let frame = read_only_64::encode(&ReadOnly64 {
        customer: 0x12,
        number,
    });
    manchester::encode(&frame, manchester::Convention::Thomas)
}

/// Levels that close on themselves after two frames.
fn biphase_levels(number: u64) -> Vec<u8> {
    let frame = fdx_b::encode(&FdxB {
        animal: true,
        reserved: 0,
        data_block: false,
        country: 999,
        national: number,
        trailer: 0,
    });
    biphase::encode(&[frame, frame].concat(), biphase::Convention::Space, 0)
}

fn key(levels: Vec<u8>, clocks: f64) -> Answer {
    Answer::new(levels, clocks).with_eb_n0(32.0)
}

/// What successive stretches say, each expecting what the one before showed.
fn listened(samples: &[f32], options: &ListenOptions) -> Vec<Listening> {
    let mut options = options.clone();
    let step = STRETCH - OVERLAP;
    let starts = (0..samples.len().saturating_sub(OVERLAP)).step_by(step);
    starts
        .map(|start| {
            let end = samples.len().min(start + STRETCH);
            let carrier = Carrier::direct(125_002.0);
            let heard = listen(
                &samples[start..end],
                SampleKind::Real,
                1e6,
                start as u64,
                &carrier,
                &options,
            );
            let expected = heard.expected.clone();
            options.expected = expected.or(options.expected.take());
            heard
        })
        .collect()
}

/// A quick look has no statistic of its own.
fn is_quick(heard: &Listening) -> bool {
    heard.detection.modulated && heard.detection.statistic == 0.0
}

fn payloads(heard: &Listening) -> Vec<&str> {
    let frames = heard.keys.iter().flat_map(|key| &key.frames);
    frames.map(|read| read.frame.payload.as_str()).collect()
}

#[test]
fn a_quick_look_says_what_a_full_look_says() {
    let mut cases = vec![
        key(manchester_levels(0x3456_789A), 64.0),
        key(manchester_levels(0x0BAD_CAFE), 32.0),
        key(biphase_levels(123_456_789_012), 32.0),
        key(biphase_levels(123_456_789_013), 32.0),
        key(manchester_levels(0x3456_789A), 64.0),
        key(biphase_levels(42), 32.0),
    ];
    cases[4].ring = Some((125e3, 20.0));
    cases[5].ring = Some((124e3, 15.0));
    cases[1].axis_rad = -1.4;
    for answer in cases {
        let samples = answer.samples(1.27);
        let quick = listened(&samples, &ListenOptions::default());
        let whole = ListenOptions {
            keep_baseband: true,
            ..ListenOptions::default()
        };
        let full = listened(&samples, &whole);
        assert!(!is_quick(&quick[0]) && full.iter().all(|heard| !is_quick(heard)));
        for (quick, full) in quick.iter().zip(&full).skip(2) {
            assert!(is_quick(quick), "RF/{}", answer.clocks_per_bit);
            let (a, b) = (&quick.keys[0], &full.keys[0]);
            assert_eq!(
                (a.line_code, a.clocks_per_bit),
                (b.line_code, b.clocks_per_bit)
            );
            let frames = |key: &coilwright_signal::demodulate::KeyRead| -> Vec<_> {
                let frames = key.frames.iter();
                frames
                    .map(|read| (read.frame.clone(), read.inverted, read.corrected_bits))
                    .collect()
            };
            assert_eq!(frames(a), frames(b));
            for (a_frame, b_frame) in a.frames.iter().zip(&b.frames) {
                // A ring delays what blocks show of a bit by up to its own time constant.
                let bit = a.bit_times.period as u64;
                assert!(a_frame.span.start.abs_diff(b_frame.span.start) < bit / 3);
            }
            assert!((a.depth.value / b.depth.value - 1.0).abs() < 0.02);
            assert!(
                (a.eb_n0_db - b.eb_n0_db).abs() < 0.5,
                "{} {}",
                a.eb_n0_db,
                b.eb_n0_db
            );
            // The full look's own noise varies by so much with what the key sends.
            assert!((quick.noise_dbc_hz - full.noise_dbc_hz).abs() < 0.5);
            assert!((quick.carrier_hz.value - full.carrier_hz.value).abs() < 0.02);
            assert!((quick.amplitude.value / full.amplitude.value - 1.0).abs() < 1e-3);
            let turned = quick.axis_rad.unwrap() - full.axis_rad.unwrap();
            assert!(turned.sin().abs() < 0.05, "{turned}");
        }
    }
}

/// What `change` does to the samples of the last stretch alone is heard there as if nothing was known before.
fn heard_after(change: impl Fn(&mut [f32])) -> Listening {
    let mut samples = key(manchester_levels(0x3456_789A), 64.0).samples(1.68);
    let last = 3 * (STRETCH - OVERLAP);
    change(&mut samples[last + OVERLAP..]);
    let heard = listened(&samples, &ListenOptions::default());
    assert!(is_quick(&heard[2]), "{:?}", heard[2].detection);
    assert!(!is_quick(&heard[3]), "the change went unseen");
    heard[3].clone()
}

#[test]
fn another_key_in_its_place_is_read() {
    let heard = heard_after(|samples| {
        let other = key(manchester_levels(0x3456_789B), 64.0).samples(1.0);
        samples.copy_from_slice(&other[..samples.len()]);
    });
    assert!(
        payloads(&heard).contains(&"123456789B"),
        "{:?}",
        payloads(&heard)
    );
}

#[test]
fn a_second_key_beside_it_is_noticed() {
    // Its bits keep step with the first one's, so that both together repeat as well.
    let mut second = key(manchester_levels(0x0055_AA77), 64.0);
    (second.delay_s, second.depth) = (3.3e-4, 0.5 * second.depth);
    let heard = heard_after(|samples| {
        let bare = key(Vec::new(), 64.0);
        let noiseless = |mut answer: Answer| {
            answer.snr_db = 200.0;
            answer.samples(1.0)
        };
        let added = noiseless(second.clone()).into_iter().zip(noiseless(bare));
        for (sample, (with, without)) in samples.iter_mut().zip(added) {
            *sample += with - without;
        }
    });
    assert!(heard.collision.is_some());
}

#[test]
fn a_line_beside_it_is_noticed() {
    // 60 dB below the carrier; half of the key's own modulation is 40 dB below.
    let heard = heard_after(|samples| add_line(samples, 1e6, 129_300.0, 2.5e-3));
    assert!(payloads(&heard).contains(&"123456789A"));
}

#[test]
fn lost_samples_are_noticed() {
    let heard = heard_after(|samples| samples[150_000..150_400].fill(0.0));
    assert!(payloads(&heard).contains(&"123456789A"));
}

#[test]
fn a_key_that_left_is_not_heard_any_longer() {
    let heard = heard_after(|samples| {
        let bare = key(Vec::new(), 64.0).samples(1.0);
        samples.copy_from_slice(&bare[..samples.len()]);
    });
    // Its last frame lies before the change.
    assert!(payloads(&heard).len() <= 1);
}
