use crate::model::{Limits, Model, Pole, Record, Search};

/// Q of the first, coarse grid.
const COARSE_Q: f64 = 3.0;
/// Ratio of neighbouring frequencies in the coarse grid; a mode of `COARSE_Q` reaches half of it.
const COARSE_RATIO: f64 = 1.3;
/// Highest Q that is tried as a start.
const HIGHEST_Q: f64 = 600.0;
/// Peaks of the coarse grid that are followed.
const MOST_PEAKS: usize = 2;
/// Part of the squares from which no other peak is followed: what is left cannot explain more.
const MOST_OF_IT: f64 = 0.5;
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
pub(crate) fn strongest(records: &[Record]) -> Vec<&Record> {
    let mut order: Vec<&Record> = records.iter().collect();
    order.sort_by(|a, b| b.energy.total_cmp(&a.energy));
    order.truncate(MOST_RECORDS);
    order
}

/// Seeks the mode that explains most beyond `model`, from coarse to fine.
///
/// The exact projected likelihood on a logarithmic grid of low-Q modes, which need few samples. From its two highest
/// peaks, and from each mode of the model, Q is doubled and the frequency moved by half a line width for as long as that
/// explains more. `None` if nothing is explained.
pub(crate) fn search(records: &[&Record], model: &Model, limits: &Limits) -> Option<Start> {
    let start = Start {
        pole: Pole {
            omega: limits.omega.0,
            alpha: limits.alpha.1,
        },
        gain: 0.0,
        tried: 0,
    };
    let mut grid = Grid {
        search: Search::new(records, model)?,
        limits,
        best: start,
    };
    let enough = MOST_OF_IT * grid.search.squares();
    for peak in grid.coarse() {
        grid.descend(peak, COARSE_Q);
        if grid.best.gain > enough {
            break;
        }
    }
    for mode in &model.modes {
        grid.descend(mode.omega, (mode.omega / (4.0 * mode.alpha)).max(1.0));
    }
    let omega = grid.best.pole.omega;
    grid.attempt(omega, 0.5 * COARSE_Q);
    (grid.best.gain > 0.0).then_some(grid.best)
}

struct Grid<'a> {
    search: Search<'a>,
    limits: &'a Limits,
    best: Start,
}

impl Grid<'_> {
    /// What a mode explains; kept if it is the most so far.
    fn attempt(&mut self, omega: f64, q: f64) -> f64 {
        let omega = omega.clamp(self.limits.omega.0, self.limits.omega.1);
        let alpha = (omega / (2.0 * q)).clamp(self.limits.alpha.0, self.limits.alpha.1);
        let pole = Pole { omega, alpha };
        let gain = self.search.gain(pole);
        self.best.tried += 1;
        if gain > self.best.gain {
            (self.best.gain, self.best.pole) = (gain, pole);
        }
        gain
    }

    /// The two highest peaks of the coarse grid.
    fn coarse(&mut self) -> Vec<f64> {
        let mut grid: Vec<(f64, f64)> = Vec::new();
        let mut omega = self.limits.omega.0;
        while omega < self.limits.omega.1 * COARSE_RATIO {
            grid.push((omega, self.attempt(omega, COARSE_Q)));
            omega *= COARSE_RATIO;
        }
        let gain = |i: usize| grid.get(i).map_or(0.0, |p| p.1);
        let mut peaks: Vec<(f64, f64)> = (0..grid.len())
            .filter(|&i| gain(i) >= gain(i.wrapping_sub(1)) && gain(i) > gain(i + 1))
            .filter_map(|i| grid.get(i).copied())
            .collect();
        peaks.sort_by(|a, b| b.1.total_cmp(&a.1));
        peaks
            .into_iter()
            .take(MOST_PEAKS)
            .map(|peak| peak.0)
            .collect()
    }

    /// Doubles Q and follows the best of three frequencies, until two levels in turn explain less than the best of this descent.
    fn descend(&mut self, from: f64, from_q: f64) {
        let (mut q, mut centre, mut reached, mut misses) = (from_q, from, 0.0, 0);
        while q < HIGHEST_Q && misses < 2 {
            let shift = centre / (2.0 * q);
            let mut level = (0.0, centre);
            for trial in [centre - shift, centre, centre + shift] {
                let gain = self.attempt(trial, 2.0 * q);
                if gain > level.0 {
                    level = (gain, trial);
                }
            }
            q *= 2.0;
            centre = level.1;
            misses = if level.0 > reached { 0 } else { misses + 1 };
            reached = level.0.max(reached);
        }
    }
}
