use coilwright_signal::Span;

/// Takes the given spans out of the samples, as a recorder does that loses blocks: what follows moves up.
///
/// The spans count samples before anything was lost, rise and do not overlap; what lies past the end is ignored.
pub fn drop_samples(samples: &mut Vec<f64>, lost: &[Span]) {
    let mut position = 0_u64;
    let mut coming = lost.iter().peekable();
    samples.retain(|_| {
        while coming.peek().is_some_and(|span| span.end <= position) {
            coming.next();
        }
        let keep = coming.peek().is_none_or(|span| position < span.start);
        position += 1;
        keep
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_moves_up() {
        let mut samples: Vec<f64> = (0..10).map(f64::from).collect();
        drop_samples(
            &mut samples,
            &[Span::new(2, 4), Span::new(7, 8), Span::new(20, 30)],
        );
        assert_eq!(samples, [0.0, 1.0, 4.0, 5.0, 6.0, 8.0, 9.0]);
    }
}
