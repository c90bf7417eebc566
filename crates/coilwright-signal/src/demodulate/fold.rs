/// The mean over the repeats of a cycle.
pub(super) struct Folded {
    /// One cycle.
    pub symbols: Vec<f32>,
    /// −1 when the signal inverts from one repeat to the next, as biphase does after an odd number of changes.
    pub closing_sign: f32,
    /// How many repeats went in; the last may be partial.
    pub repeats: f64,
}

/// Adds up the repeats of a cycle of `cycle` symbols, or `None` when there is less than one and a half.
pub(super) fn fold(symbols: &[f32], cycle: usize) -> Option<Folded> {
    if symbols.len() < cycle + cycle / 2 {
        return None;
    }
    let agreement: f32 = symbols
        .iter()
        .zip(&symbols[cycle..])
        .map(|(a, b)| a * b)
        .sum();
    let closing_sign = if agreement < 0.0 { -1.0 } else { 1.0 };
    let mut sums = vec![0.0; cycle];
    let mut counts = vec![0.0_f32; cycle];
    let mut sign = 1.0;
    for repeat in symbols.chunks(cycle) {
        for ((sum, count), symbol) in sums.iter_mut().zip(&mut counts).zip(repeat) {
            *sum += sign * symbol;
            *count += 1.0;
        }
        sign *= closing_sign;
    }
    let symbols_mean = sums
        .iter()
        .zip(&counts)
        .map(|(sum, count)| sum / count.max(1.0))
        .collect();
    Some(Folded {
        symbols: symbols_mean,
        closing_sign,
        repeats: symbols.len() as f64 / cycle as f64,
    })
}
