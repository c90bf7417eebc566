use coilwright_signal::capture::SampleKind;
use coilwright_signal::carrier::Carrier;
use coilwright_signal::demodulate::{ListenOptions, listen, listen_in_pause};
use coilwright_signal::frame::{Iso11784, hdx};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
#[path = "../../tests/all/half_duplex_signal.rs"]
mod half_duplex_signal;
#[path = "../../tests/all/subcarrier_signal.rs"]
mod subcarrier_signal;
use half_duplex_signal::HalfDuplex;
use subcarrier_signal::{Divider, Keying, Subcarrier};
fn main() {
    let which = std::env::args().nth(1).unwrap();
    if which == "class" {
        for (keying, clocks) in [
            (Keying::Frequency([8, 10], Divider::Restarts), 40),
            (Keying::Frequency([8, 10], Divider::GoesOn), 64),
            (Keying::Frequency([5, 8], Divider::GoesOn), 64),
        ] {
            for seed in 0..8 {
                let mut random = ChaCha8Rng::seed_from_u64(seed);
                let bits = (0..2000)
                    .map(|_| u8::from(random.random::<bool>()))
                    .collect();
                let mut s = Subcarrier::new(keying, clocks, bits);
                s.eb_n0_db = 3.0;
                s.seed = seed;
                let x = s.samples(0.3);
                let heard = listen(
                    &x,
                    SampleKind::Real,
                    1e6,
                    0,
                    &Carrier::direct(s.carrier_hz + 2.3),
                    &ListenOptions::default(),
                );
                let key = heard.keys.first();
                println!(
                    "{keying:?} RF/{clocks}: {:?} {:?} {:?}",
                    heard.detection,
                    key.map(|k| k.modulation),
                    key.map(|k| (k.clocks_per_bit, k.eb_n0_db))
                );
            }
        }
    } else {
        let db: f64 = std::env::args().nth(2).unwrap().parse().unwrap();
        for seed in 0..40 {
            let mut random = ChaCha8Rng::seed_from_u64(seed);
            let fields = Iso11784 {
                animal: true,
                reserved: 0,
                data_block: false,
                country: 999,
                national: random.random_range(0..1 << 38),
                trailer: 0,
            };
            let mut r = HalfDuplex::new(hdx::encode(&fields).to_vec());
            r.seed = seed;
            r.amplitudes = [0.005, 0.005];
            r.fall_db = 0.0;
            r.tones_hz =
                [134_200.0, 124_200.0].map(|hz| hz + 1000.0 * (random.random::<f64>() - 0.5));
            r.delay_s = 1e-3 + 2e-3 * random.random::<f64>();
            r.noise_rms =
                (0.005f64.powi(2) * 16.0 / 130e3 / 2.0 / 10f64.powf(db / 10.0) * 1e6 / 2.0).sqrt();
            let key = listen_in_pause(
                &r.pause(18e-3),
                SampleKind::Real,
                1e6,
                0,
                &Carrier::direct(134_200.0),
                1.0,
            );
            let Some(key) = key else {
                println!("{seed} none");
                continue;
            };
            let best = (0..key.bits.len())
                .map(|o| {
                    (
                        key.bits[o..]
                            .iter()
                            .zip(&r.bits)
                            .filter(|(a, b)| a == b)
                            .count(),
                        o,
                    )
                })
                .max()
                .unwrap();
            let wrong: Vec<usize> = key.bits[best.1..]
                .iter()
                .zip(&r.bits)
                .enumerate()
                .filter(|(_, (a, b))| a != b)
                .map(|x| x.0)
                .collect();
            if best.0 < 112 {
                println!(
                    "{seed} {best:?} of {} wrong {wrong:?} start {} true {} eb {:.1} frames {}",
                    key.bits.len(),
                    key.bit_times.first,
                    r.delay_s * 1e6,
                    key.eb_n0_db,
                    key.frames.len()
                );
            }
        }
    }
}
