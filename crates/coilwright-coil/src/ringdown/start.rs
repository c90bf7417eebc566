use crate::model::{Limits, Model, Pole, Record, Search};

/// Q of the first, coarse grid.
const COARSE_Q: f64 = 4.0;
/// Ratio of neighbouring frequencies in the coarse grid; a mode of `COARSE_Q` reaches half of it.
const COARSE_RATIO: f64 = 1.2;
/// Highest Q that is tried as a start.
const HIGHEST_Q: f64 = 600.0;
/// Most records that the search looks at: those with the most energy.
const MOST_RECORDS: usize = 4;

/// The best further mode on a grid.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Start {
    pub(crate) pole: Pole,
    /// Squares that it takes from the residual of the records that were searched.
    pub(crate) gain: f64,
    /// Number of modes tried.
    pub(crate) tried: usize,
}

/// The few records with the most energy.
pub(crate) fn strongest<'a>(records: &'a [Record<'a>]) -> Vec<&'a Record<'a>> {
    let mut order: Vec<&Record<'_>> = records.iter().collect();
    order.sort_by(|a, b| b.energy.total_cmp(&a.energy));
    order.truncate(MOST_RECORDS);
    order
}

/// Seeks the mode that explains most beyond `model`, from coarse to fine.
///
/// The exact projected likelihood on a logarithmic grid of low-Q modes, which need few samples; then Q is doubled and the
/// frequency moved by half a line width for as long as that explains more. `None` if nothing is explained.
pub(crate) fn search(records: &[&Record<'_>], model: &Model, limits: &Limits) -> Option<Start> {
    let search = Search::new(records, model)?;
    let mut best = Start {
        pole: Pole {
            omega: limits.omega.0,
            alpha: limits.alpha.1,
        },
        gain: 0.0,
        tried: 0,
    };
    let attempt = |omega: f64, q: f64, best: &mut Start| {
        let omega = omega.clamp(limits.omega.0, limits.omega.1);
        let pole = Pole {
            omega,
            alpha: (omega / (2.0 * q)).clamp(limits.alpha.0, limits.alpha.1),
        };
        let gain = search.gain(pole);
        best.tried += 1;
        if gain > best.gain {
            (best.gain, best.pole) = (gain, pole);
        }
        gain
    };
    let mut omega = limits.omega.0;
    while omega < limits.omega.1 * COARSE_RATIO {
        attempt(omega, COARSE_Q, &mut best);
        omega *= COARSE_RATIO;
    }
    let (mut q, mut centre, mut misses) = (COARSE_Q, best.pole.omega, 0);
    while q < HIGHEST_Q && misses < 2 {
        let (before, shift) = (best.gain, centre / (2.0 * q));
        let mut level = (0.0, centre);
        for trial in [centre - shift, centre, centre + shift] {
            let gain = attempt(trial, 2.0 * q, &mut best);
            if gain > level.0 {
                level = (gain, trial);
            }
        }
        q *= 2.0;
        centre = level.1;
        misses = if best.gain > before { 0 } else { misses + 1 };
    }
    attempt(best.pole.omega, 0.5 * COARSE_Q, &mut best);
    (best.gain > 0.0).then_some(best)
}
