//! From spectra of single lines to points of the transfer function.

use super::TransferPoint;
use super::sums::Sums;

/// Fewest lines that the noise is taken from: weights that are themselves known to 16 % cost 3 % of the variance.
const NOISE_LINES: f64 = 40.0;
/// Mean power of a point's lines over the strongest point's below which it is left out.
const LEAST_POWER: f64 = 1e-2;
/// The same over the strongest within so many points: what is weaker are side lines of a tone there, which carry the tone's response
/// (a tenth of its window tapered, a line three off has 1 % of its power).
const STRAY: f64 = 0.1;
const ABOUT: usize = 8;
/// Power of a line over the mean of all below which a point may end.
const WEAK: f64 = 0.05;

/// Neighbouring lines added up to points of about `width` lines.
///
/// A point ends where the stimulus is weak, so that a tone and the side lines of its window stay in one point; where it is
/// nowhere weak, half a width later.
pub(super) fn grouped(lines: &[Sums], width: usize) -> Vec<Sums> {
    let mean = lines.iter().map(|line| line.stimulus).sum::<f64>() / lines.len().max(1) as f64;
    let mut groups = Vec::new();
    let (mut group, mut count) = (Sums::default(), 0);
    for line in lines {
        group.merge(line);
        count += 1;
        let weak = line.stimulus < WEAK * mean;
        if count >= width && (weak || 2 * count >= 3 * width) {
            groups.push(std::mem::take(&mut group));
            count = 0;
        }
    }
    groups
}

/// The points in which there is a response to speak of.
pub(super) fn points(sums: &[Sums], middle_hz: f64) -> Vec<TransferPoint> {
    let densities: Vec<f64> = sums.iter().map(Sums::density).collect();
    let greatest = |densities: &[f64]| densities.iter().copied().fold(0.0, f64::max);
    let strongest = greatest(&densities);
    let kept: Vec<&Sums> = sums
        .iter()
        .enumerate()
        .filter(|(n, s)| {
            let about = n.saturating_sub(ABOUT)..(n + ABOUT + 1).min(densities.len());
            let near = densities.get(about).map_or(0.0, greatest);
            s.heard() && s.density() > (STRAY * near).max(LEAST_POWER * strongest)
        })
        .map(|(_, s)| s)
        .collect();
    (0..kept.len())
        .map(|n| kept[n].point(middle_hz, noise_about(&kept, n)))
        .collect()
}

/// Power of the noise in a line about a point: over so many neighbours that it is known well enough to weigh the point by.
fn noise_about(kept: &[&Sums], point: usize) -> f64 {
    let (mut first, mut last) = (point, point + 1);
    loop {
        let about = kept.get(first..last).unwrap_or_default();
        let (power, lines) = about
            .iter()
            .map(|sums| sums.noise())
            .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        if lines >= NOISE_LINES || last - first >= kept.len() {
            return power / lines.max(1.0);
        }
        (first, last) = (first.saturating_sub(1), (last + 1).min(kept.len()));
    }
}
