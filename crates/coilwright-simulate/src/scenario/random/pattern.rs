use super::draw::Draw;

/// Returns the capture's length and when the interlock asks: continuous after switch-on, or in bursts.
///
/// Every burst is long enough for a frame, and starts and ends with a cycle of the drive.
pub(super) fn draw(draw: &mut Draw, frequency_hz: f64, frame_s: f64) -> (f64, Vec<(f64, f64)>) {
    let length_s = draw.uniform(0.2, 0.6);
    let start_s = draw.uniform(0.010, 0.060);
    let bursts = if draw.chance(0.5) {
        vec![(start_s, continuous_end_s(draw, length_s))]
    } else {
        repeated(draw, length_s, start_s, 1.25 * frame_s + 0.004)
    };
    let whole_cycle = |time_s: f64| (time_s * frequency_hz).round() / frequency_hz;
    let bursts = bursts
        .into_iter()
        .map(|(on_s, off_s)| (whole_cycle(on_s), whole_cycle(off_s)))
        .collect();
    (length_s, bursts)
}

/// Within the capture mostly; sometimes the field stays on beyond its end.
fn continuous_end_s(draw: &mut Draw, length_s: f64) -> f64 {
    if draw.chance(0.3) {
        length_s + 0.01
    } else {
        length_s - draw.uniform(0.005, 0.040)
    }
}

fn repeated(draw: &mut Draw, length_s: f64, start_s: f64, shortest_s: f64) -> Vec<(f64, f64)> {
    let on_s = draw.uniform(shortest_s.max(0.020), shortest_s.max(0.100));
    let period_s = draw.log_uniform((on_s + 0.015).max(0.060), 0.500);
    let mut bursts = Vec::new();
    let mut next_s = start_s;
    while next_s + on_s + 0.005 < length_s {
        bursts.push((next_s, next_s + on_s));
        next_s += period_s;
    }
    if bursts.is_empty() {
        bursts.push((start_s, length_s - 0.005));
    }
    bursts
}

/// Returns the capture's length and the charge bursts of a reader for half-duplex keys: 15 to 50 ms (NCD1015-50RO data
/// sheet, clause 2.1), then a pause for the reply, 20 ms (from memory) and a little more.
pub(super) fn charging(draw: &mut Draw, frequency_hz: f64) -> (f64, Vec<(f64, f64)>) {
    let whole_cycle = |time_s: f64| (time_s * frequency_hz).round() / frequency_hz;
    let burst_s = draw.uniform(0.015, 0.050);
    let pause_s = draw.uniform(0.022, 0.030);
    let mut start_s = draw.uniform(0.005, 0.020);
    let bursts = (0..draw.whole(2, 4))
        .map(|_| {
            let burst = (whole_cycle(start_s), whole_cycle(start_s + burst_s));
            start_s += burst_s + pause_s;
            burst
        })
        .collect();
    (start_s, bursts)
}
