//! How large soft bits are.

/// The mean size; 0 without bits.
pub(super) fn mean(soft_bits: &[f32]) -> f32 {
    soft_bits.iter().map(|bit| bit.abs()).sum::<f32>() / soft_bits.len().max(1) as f32
}

/// The median size over the mean one: 1 where all are alike, little where a few hold most; 0 where all are 0.
pub(super) fn evenness(soft_bits: &[f32]) -> f64 {
    let mean = mean(soft_bits);
    let mut sizes: Vec<f32> = soft_bits.iter().map(|bit| bit.abs()).collect();
    let middle = sizes.len() / 2;
    if mean > 0.0 && middle > 0 {
        let (_, median, _) = sizes.select_nth_unstable_by(middle, f32::total_cmp);
        f64::from(*median / mean)
    } else {
        0.0
    }
}

/// The smallest size over the mean one; 0 where all are 0.
pub(super) fn margin(soft_bits: &[f32]) -> f64 {
    let mean = mean(soft_bits);
    let sizes = soft_bits.iter().map(|bit| bit.abs());
    if mean > 0.0 {
        f64::from(sizes.fold(f32::INFINITY, f32::min) / mean)
    } else {
        0.0
    }
}
