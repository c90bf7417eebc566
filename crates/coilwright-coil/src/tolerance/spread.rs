//! How far a result spreads with its parts: first order, worst case, Monte Carlo.

use super::Part;
use crate::ModelError;
use crate::model_error::{count, finite};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

/// Parts of which every corner is tried.
const MOST_PARTS_BY_CORNERS: usize = 12;
/// Most parts and trials that are taken.
const MOST_PARTS: usize = 100;
const MOST_TRIALS: usize = 10_000_000;

/// What one part does to the result.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PartShare {
    /// The part's name.
    pub name: String,
    /// Relative change of the result for a relative change of the part, to first order: −0.5 for L and C in f₀.
    pub sensitivity: f64,
    /// Standard deviation that the part alone gives the result, in the result's unit.
    pub std_dev: f64,
    /// Its share of the variance, 0 to 1.
    pub variance_share: f64,
}

/// How a result spreads with its parts.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ToleranceResult {
    /// The result with nominal parts.
    pub nominal: f64,
    /// Standard deviation to first order.
    pub first_order_std_dev: f64,
    /// Least and largest result over the parts' limits.
    pub worst_case: (f64, f64),
    /// Whether the worst case tried every corner; with more than 12 parts it goes along each part's slope.
    pub every_corner: bool,
    /// Mean of the trials.
    pub mean: f64,
    /// Standard deviation of the trials.
    pub std_dev: f64,
    /// Limits that hold 95 % of the trials.
    pub central_95: (f64, f64),
    /// The trials in rising order, for a histogram.
    pub trials: Vec<f64>,
    /// The parts, the one that matters most first.
    pub parts: Vec<PartShare>,
}

/// How a result spreads with the tolerances of its parts.
///
/// The function takes one value for each part, in order. First order: `σ² = Σ (∂f/∂p)² σ_p²`, derivatives by central differences over each part's
/// standard deviation, parts independent (JCGM 100:2008, 5.1.2, from memory). Worst case: every corner of the tolerances (up to 12 parts).
/// Monte Carlo: `trials` draws from a generator that the seed fixes (JCGM 101:2008, from memory).
///
/// # Errors
///
/// If there is no part, too many, fewer than 100 trials, a tolerance is not in 0 to 0.999, or the function fails or gives a number that is not
/// finite.
///
/// ```
/// use coilwright_coil::tolerance::{Part, spread_of};
/// let parts = [Part::even("L", 1.62e-3, 0.02), Part::even("C", 1e-9, 0.05)];
/// let f0 = |p: &[f64]| Ok(1.0 / (std::f64::consts::TAU * (p[0] * p[1]).sqrt()));
/// let result = spread_of(&parts, 2000, 1, f0)?;
/// assert_eq!(result.parts[0].name, "C");
/// assert!((result.parts[0].sensitivity + 0.5).abs() < 1e-3);
/// # Ok::<(), coilwright_coil::ModelError>(())
/// ```
pub fn spread_of(
    parts: &[Part],
    trials: usize,
    seed: u64,
    function: impl Fn(&[f64]) -> Result<f64, ModelError>,
) -> Result<ToleranceResult, ModelError> {
    count("parts", parts.len(), MOST_PARTS)?;
    count("trials", trials, MOST_TRIALS)?;
    crate::model_error::within(
        "Monte Carlo",
        "trials",
        trials as f64,
        100.0,
        MOST_TRIALS as f64,
    )?;
    for part in parts {
        part.checked()?;
    }
    let value = |p: &[f64]| finite("result with these parts", function(p)?, "");
    let at: Vec<f64> = parts.iter().map(|p| p.nominal).collect();
    let nominal = value(&at)?;
    let shares = shares(parts, &at, nominal, &value)?;
    let corners = corners(parts, &at, &shares, &value)?;
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut drawn = Vec::new();
    for _ in 0..trials {
        let set: Vec<f64> = parts.iter().map(|p| p.draw(&mut random)).collect();
        drawn.push(value(&set)?);
    }
    drawn.sort_by(f64::total_cmp);
    let n = drawn.len() as f64;
    let mean = drawn.iter().sum::<f64>() / n;
    let variance = drawn.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let quantile = |p: f64| drawn[((p * n) as usize).min(drawn.len() - 1)];
    let mut sorted = shares;
    sorted.sort_by(|a, b| b.variance_share.total_cmp(&a.variance_share));
    Ok(ToleranceResult {
        nominal,
        first_order_std_dev: sorted.iter().map(|s| s.std_dev.powi(2)).sum::<f64>().sqrt(),
        worst_case: corners,
        every_corner: parts.len() <= MOST_PARTS_BY_CORNERS,
        mean,
        std_dev: variance.sqrt(),
        central_95: (quantile(0.025), quantile(0.975)),
        trials: drawn,
        parts: sorted,
    })
}

/// First-order share of each part, in the order of the parts.
fn shares(
    parts: &[Part],
    at: &[f64],
    nominal: f64,
    value: &impl Fn(&[f64]) -> Result<f64, ModelError>,
) -> Result<Vec<PartShare>, ModelError> {
    let mut shares = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        let step = part.std_dev();
        let mut moved = at.to_vec();
        moved[i] = at[i] + step;
        let above = value(&moved)?;
        moved[i] = at[i] - step;
        let change = 0.5 * (above - value(&moved)?);
        let relative = step / at[i] * nominal;
        shares.push(PartShare {
            name: part.name.clone(),
            sensitivity: if relative == 0.0 {
                0.0
            } else {
                change / relative
            },
            std_dev: change.abs(),
            variance_share: change * change,
        });
    }
    let total: f64 = shares.iter().map(|s| s.variance_share).sum();
    for share in &mut shares {
        share.variance_share /= total.max(f64::MIN_POSITIVE);
    }
    Ok(shares)
}

/// Least and largest result over the corners of the tolerances.
fn corners(
    parts: &[Part],
    at: &[f64],
    shares: &[PartShare],
    value: &impl Fn(&[f64]) -> Result<f64, ModelError>,
) -> Result<(f64, f64), ModelError> {
    let corner = |sign: &dyn Fn(usize) -> f64| -> Vec<f64> {
        (0..parts.len())
            .map(|i| at[i] + sign(i) * parts[i].reach())
            .collect()
    };
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut take = |v: f64| {
        least = least.min(v);
        most = most.max(v);
    };
    if parts.len() <= MOST_PARTS_BY_CORNERS {
        for bits in 0_u32..(1 << parts.len()) {
            let sign = |i: usize| if bits >> i & 1 == 1 { 1.0 } else { -1.0 };
            take(value(&corner(&sign))?);
        }
    } else {
        for way in [-1.0, 1.0] {
            let slope = |i: usize| way * (shares[i].sensitivity * at[i]).signum();
            take(value(&corner(&slope))?);
        }
    }
    Ok((least, most))
}
