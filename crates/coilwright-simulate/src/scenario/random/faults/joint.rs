use super::super::draw::Draw;
use crate::scenario::Setup;

/// The joint breaks 2 to 12 times for 0.2 to 20 ms while the field is on, open or with some hundred ohms.
pub(super) fn interrupt(setup: &mut Setup, draw: &mut Draw) -> Option<()> {
    if draw.chance(0.4) {
        setup.circuit.ring.joint.broken_ohm = draw.log_uniform(200.0, 5_000.0);
    }
    let length_s = setup.recorder.length_s;
    let on_s: Vec<(f64, f64)> = setup
        .drive
        .field_on_s
        .iter()
        .map(|&(start_s, end_s)| (start_s + 0.001, end_s.min(length_s) - 0.001))
        .filter(|(start_s, end_s)| end_s > start_s)
        .collect();
    let total_s: f64 = on_s.iter().map(|(start_s, end_s)| end_s - start_s).sum();
    for _ in 0..draw.whole(2, 12) {
        let start_s = within(&on_s, draw.uniform(0.0, total_s))?;
        setup
            .joint_breaks_s
            .push((start_s, start_s + draw.log_uniform(0.2e-3, 20e-3)));
    }
    let breaks = &mut setup.joint_breaks_s;
    breaks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let apart = breaks.windows(2).all(|pair| pair[0].1 + 0.5e-3 < pair[1].0);
    let broken_s: f64 = breaks.iter().map(|(start_s, end_s)| end_s - start_s).sum();
    (apart && broken_s < 0.4 * total_s).then_some(())
}

/// The moment after so much time with the field on.
fn within(on_s: &[(f64, f64)], mut left_s: f64) -> Option<f64> {
    for &(start_s, end_s) in on_s {
        if left_s <= end_s - start_s {
            return Some(start_s + left_s);
        }
        left_s -= end_s - start_s;
    }
    None
}
