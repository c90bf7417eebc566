use num_complex::Complex64;

/// A natural mode `e^(−αn) cos(ωn + φ)` in units of the sampling interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pole {
    /// Damped angular frequency ω, radians per sample.
    pub(crate) omega: f64,
    /// Decay α, nepers per sample.
    pub(crate) alpha: f64,
}

impl Pole {
    /// The factor from one sample to the next, `e^(−α + iω)`.
    pub(crate) fn ratio(self) -> Complex64 {
        Complex64::from_polar((-self.alpha).exp(), self.omega)
    }

    /// Samples after which the mode has fallen by `nepers`.
    pub(crate) fn samples_to_decay(self, nepers: f64) -> usize {
        (nepers / self.alpha).ceil() as usize
    }
}

/// A steady line that follows the drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    /// Apparent angular frequency, radians per sample.
    pub(crate) omega: f64,
    /// Change of that frequency with the drive frequency: the order of the harmonic, negative if it is folded over.
    pub(crate) rate: f64,
}

/// What is known of the drive frequency before the fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct DrivePrior {
    /// Standard deviation, radians per sample.
    pub(crate) std_dev: f64,
    /// Fitted minus expected frequency, radians per sample.
    pub(crate) offset: f64,
}

/// What the oscillations ride on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Baseline {
    /// A constant.
    #[default]
    Level,
    /// A constant and a slope: hum or a coupling capacitor seen over a short record.
    Drift,
}

/// The nonlinear part of a model; amplitudes and DC follow by linear least squares.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Model {
    pub(crate) modes: Vec<Pole>,
    pub(crate) lines: Vec<Line>,
    pub(crate) baseline: Baseline,
    /// Set if the drive frequency is fitted too.
    pub(crate) drive: Option<DrivePrior>,
}

impl Model {
    /// An empty model over a sloping baseline.
    pub(crate) fn drifting() -> Self {
        Self {
            baseline: Baseline::Drift,
            ..Self::default()
        }
    }

    /// Number of components that have a cosine and a sine.
    pub(crate) fn components(&self) -> usize {
        self.modes.len() + self.lines.len()
    }

    /// Number of columns that enter linearly.
    pub(crate) fn columns(&self) -> usize {
        self.column(self.components())
    }

    /// Column of the cosine of a component; its sine is the next.
    pub(crate) fn column(&self, component: usize) -> usize {
        2 * component
            + match self.baseline {
                Baseline::Level => 1,
                Baseline::Drift => 2,
            }
    }

    /// Whether the baseline has a slope, in column 1.
    pub(crate) fn drifts(&self) -> bool {
        self.baseline == Baseline::Drift
    }

    /// Number of nonlinear parameters.
    pub(crate) fn free(&self) -> usize {
        2 * self.modes.len() + usize::from(self.drive.is_some())
    }

    /// Frequency and decay of component `index`: modes first, then lines.
    pub(crate) fn pole(&self, index: usize) -> Pole {
        let line = || {
            self.lines
                .get(index - self.modes.len())
                .map(|line| line.omega)
        };
        self.modes.get(index).copied().unwrap_or_else(|| Pole {
            omega: line().unwrap_or(0.0),
            alpha: 0.0,
        })
    }

    /// The factor from sample to sample of that component.
    pub(crate) fn ratio(&self, index: usize) -> Complex64 {
        self.pole(index).ratio()
    }

    /// This model with one more mode.
    pub(crate) fn with_mode(&self, pole: Pole) -> Self {
        let mut model = self.clone();
        model.modes.push(pole);
        model
    }
}
