use super::{Burst, Dip, Regularity, Repetition};

/// How regularly the bursts begin and how long they last; `None` with fewer than two switch-ons.
pub(super) fn repetition(bursts: &[Burst], sample_rate_hz: f64) -> Option<Repetition> {
    let begins: Vec<u64> = bursts
        .iter()
        .filter(|burst| burst.begins_inside)
        .map(|burst| burst.span.start)
        .collect();
    let periods: Vec<f64> = begins
        .windows(2)
        .map(|pair| (pair[1] - pair[0]) as f64 / sample_rate_hz)
        .collect();
    let lengths: Vec<f64> = bursts
        .iter()
        .filter(|burst| burst.begins_inside && burst.ends_inside)
        .map(|burst| burst.span.len() as f64 / sample_rate_hz)
        .collect();
    Some(Repetition {
        period_s: median(&periods)?,
        length_s: median(&lengths),
        period_variation: variation(&periods),
        length_variation: variation(&lengths),
        periods: periods.len(),
    })
}

/// How regular the dips are; `None` with fewer than two.
pub(super) fn dip_regularity(dips: &[Dip]) -> Option<Regularity> {
    if dips.len() < 2 {
        return None;
    }
    let lengths: Vec<f64> = dips.iter().map(|dip| dip.span.len() as f64).collect();
    let spacings: Vec<f64> = dips
        .windows(2)
        .map(|pair| (pair[1].span.start - pair[0].span.start) as f64)
        .collect();
    Some(Regularity {
        count: dips.len(),
        spacing_variation: variation(&spacings),
        length_variation: variation(&lengths),
    })
}

/// The median; `None` of nothing.
pub(super) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    if sorted.len() % 2 == 1 {
        return Some(upper);
    }
    Some(f64::midpoint(*sorted.get(sorted.len() / 2 - 1)?, upper))
}

/// Standard deviation over mean; `None` with fewer than two values.
pub(super) fn variation(values: &[f64]) -> Option<f64> {
    if values.len() < 2 {
        return None;
    }
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let variance = values
        .iter()
        .map(|value| (value - mean).powi(2))
        .sum::<f64>()
        / (count - 1.0);
    Some(variance.sqrt() / mean)
}
