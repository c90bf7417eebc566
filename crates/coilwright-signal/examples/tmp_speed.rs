//! tmp
use coilwright_signal::dsp::DownConverter;
fn main() {
    let x: Vec<f32> = (0..1_000_000).map(|n| (0.7854 * n as f32).cos()).collect();
    for (d, k) in [(16, 4), (16, 6), (32, 4), (8, 4), (4, 4), (7, 4)] {
        let mut best = f64::MAX;
        for _ in 0..20 {
            let mut c = DownConverter::new(0.125, d, k);
            let mut out = Vec::with_capacity(1_000_000 / d + 10);
            let t = std::time::Instant::now();
            c.process(&x, &mut out);
            best = best.min(t.elapsed().as_secs_f64());
            std::hint::black_box(&out);
        }
        println!("D={d} K={k}: {:.3} ms {:.2} GS/s", best * 1e3, 1e-3 / best);
    }
}
