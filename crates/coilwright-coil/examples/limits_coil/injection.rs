//! Injection: how often the stated intervals hold, for each stimulus, length, Q and noise.

use crate::frequency::{Random, normal, resonance};
use coilwright_coil::{
    Estimate, ResponseOptions, Stimulus, StimulusPlan, TransferBand, fit_injection, make_stimulus,
    transfer_function,
};
use num_complex::Complex64;
use rand::SeedableRng;
use rustfft::FftPlanner;

const RESONANCE_HZ: f64 = 125e3;
const SAMPLE_RATE_HZ: f64 = 384e3;

/// One record that is made again and again with fresh noise.
struct Cell {
    stimulus: Stimulus,
    duration_s: f64,
    q: f64,
    noise_db: f64,
    band_hz: (f64, f64),
}

pub(crate) fn table(trials: usize, seed: u64) {
    println!(
        "\n## Injection, 384 kS/s\n\nNoise of the pickup against its signal; mean error of Q and intervals of 95 % that held over {trials} trials.\n"
    );
    println!(
        "| stimulus | s | Q | dB | band, kHz | mean error of Q, % | deviation of Q, % | f0 held, % | Q held, % |\n|---|---|---|---|---|---|---|---|---|"
    );
    let stimuli = [
        ("chirp", Stimulus::Chirp),
        ("noise", Stimulus::Noise { seed: 1 }),
        ("multi-sine", Stimulus::MultiSine { tones: 300 }),
    ];
    let mut cell_seed = seed;
    for (name, stimulus) in stimuli {
        for (duration_s, q, noise_db, band_hz) in [
            (0.15, 8.0, 40.0, (100e3, 150e3)),
            (0.15, 30.0, 60.0, (100e3, 150e3)),
            (0.15, 100.0, 20.0, (100e3, 150e3)),
            (0.15, 100.0, 60.0, (7.7e3, 172.8e3)),
            (1.0, 8.0, 60.0, (100e3, 150e3)),
            (1.0, 15.0, 40.0, (7.7e3, 172.8e3)),
            (1.0, 30.0, 50.0, (7.7e3, 172.8e3)),
            (1.0, 100.0, 20.0, (7.7e3, 172.8e3)),
            (1.0, 100.0, 60.0, (7.7e3, 172.8e3)),
            (5.0, 15.0, 20.0, (100e3, 150e3)),
            (5.0, 30.0, 50.0, (7.7e3, 172.8e3)),
            (5.0, 100.0, 60.0, (7.7e3, 172.8e3)),
        ] {
            cell_seed += 1;
            let cell = Cell {
                stimulus,
                duration_s,
                q,
                noise_db,
                band_hz,
            };
            cell.row(name, trials, cell_seed);
        }
    }
}

impl Cell {
    fn row(&self, name: &str, trials: usize, seed: u64) {
        let (mut played, mut heard) = Default::default();
        let mut random = Random::seed_from_u64(seed);
        let (mut error, mut squares, mut held) = (0.0, 0.0, [0.0; 2]);
        for trial in 0..trials {
            if trial == 0 || matches!(self.stimulus, Stimulus::Noise { .. }) {
                (played, heard) = self.record(seed + trial as u64);
            }
            let noise = self.noise(&heard);
            let noisy: Vec<f32> = heard
                .iter()
                .map(|v| (v + noise * normal(&mut random)) as f32)
                .collect();
            let [resonance_hz, q] = self.fit(&played, &noisy);
            error += (q.value / self.q - 1.0) / trials as f64;
            squares += (q.value / self.q - 1.0).powi(2) / trials as f64;
            for (k, (found, truth)) in [(resonance_hz, RESONANCE_HZ), (q, self.q)]
                .iter()
                .enumerate()
            {
                held[k] += f64::from(u8::from((found.value - truth).abs() < 1.96 * found.std_dev));
            }
        }
        println!(
            "| {name} | {} | {} | {} | {:.0}-{:.0} | {:.4} | {:.4} | {:.1} | {:.1} |",
            self.duration_s,
            self.q,
            self.noise_db,
            self.band_hz.0 * 1e-3,
            self.band_hz.1 * 1e-3,
            100.0 * error,
            100.0 * (squares - error * error).max(0.0).sqrt(),
            100.0 * held[0] / trials as f64,
            100.0 * held[1] / trials as f64,
        );
    }

    /// The stimulus, noise made anew from a seed, and what the pickup hears of it.
    fn record(&self, seed: u64) -> (Vec<f32>, Vec<f64>) {
        let stimulus = match self.stimulus {
            Stimulus::Noise { .. } => Stimulus::Noise { seed },
            other => other,
        };
        let played = make_stimulus(&StimulusPlan {
            stimulus,
            low_hz: 90e3,
            high_hz: 160e3,
            sample_rate_hz: SAMPLE_RATE_HZ,
            duration_s: self.duration_s,
            peak: 0.5,
        })
        .expect("within the card");
        let heard = through_ring(&played, self.q);
        (played, heard)
    }

    fn noise(&self, heard: &[f64]) -> f64 {
        let power = heard.iter().map(|v| v * v).sum::<f64>() / heard.len() as f64;
        power.sqrt() * 10.0_f64.powf(-self.noise_db / 20.0)
    }

    fn fit(&self, played: &[f32], heard: &[f32]) -> [Estimate; 2] {
        let band = TransferBand {
            low_hz: self.band_hz.0,
            high_hz: self.band_hz.1,
            resolution_hz: None,
        };
        let points = transfer_function(played, heard, SAMPLE_RATE_HZ, &band).expect("a record");
        let fit = fit_injection(&points, &ResponseOptions::default()).expect("a resonance");
        [fit.response.resonance_hz, fit.response.q]
    }
}

/// What the ring makes of a signal that starts from rest: its response in frequency over twice the length.
fn through_ring(played: &[f32], q: f64) -> Vec<f64> {
    let count = (2 * played.len()).next_power_of_two();
    let mut spectrum: Vec<Complex64> = played
        .iter()
        .map(|&v| Complex64::new(f64::from(v), 0.0))
        .collect();
    spectrum.resize(count, Complex64::default());
    let mut planner = FftPlanner::new();
    planner.plan_fft_forward(count).process(&mut spectrum);
    for (k, value) in spectrum.iter_mut().enumerate() {
        let line = if k > count / 2 {
            k as f64 - count as f64
        } else {
            k as f64
        };
        let f = line * SAMPLE_RATE_HZ / count as f64;
        *value *= if k == 0 {
            Complex64::default()
        } else {
            resonance(f, RESONANCE_HZ, q) / count as f64
        };
    }
    planner.plan_fft_inverse(count).process(&mut spectrum);
    spectrum.iter().take(played.len()).map(|v| v.re).collect()
}
