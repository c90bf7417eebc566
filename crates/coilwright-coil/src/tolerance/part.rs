use crate::ModelError;
use crate::model_error::{finite, within};
use rand::{Rng, RngExt};

/// How values of a part spread within its tolerance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Spread {
    /// Evenly over the whole tolerance: what a parts bin may hold.
    #[default]
    Even,
    /// Normally, the tolerance being three standard deviations, cut there.
    ThreeSigma,
    /// Triangular: the middle is likeliest, the ends do not occur.
    Triangle,
}

/// One part of a circuit with its tolerance.
#[derive(Clone, Debug, PartialEq, serde::Deserialize)]
pub struct Part {
    /// What to call it in results.
    pub name: String,
    /// Nominal value, in any unit.
    pub nominal: f64,
    /// Relative tolerance, 0.05 for 5 %.
    pub relative_tolerance: f64,
    /// How values spread.
    pub spread: Spread,
}

impl Part {
    /// A part of a tolerance whose values spread evenly.
    #[must_use]
    pub fn even(name: &str, nominal: f64, relative_tolerance: f64) -> Self {
        Self {
            name: name.to_owned(),
            nominal,
            relative_tolerance,
            spread: Spread::Even,
        }
    }

    pub(super) fn checked(&self) -> Result<(), ModelError> {
        finite("nominal value of a part", self.nominal, "")?;
        within(
            "tolerance",
            "relative tolerance",
            self.relative_tolerance,
            0.0,
            0.999,
        )
        .map(|_| ())
    }

    /// Largest deviation from the nominal value.
    pub(super) fn reach(&self) -> f64 {
        (self.nominal * self.relative_tolerance).abs()
    }

    /// Standard deviation of the value.
    pub(super) fn std_dev(&self) -> f64 {
        // A normal distribution cut at three standard deviations keeps 0.9866 of its own.
        const CUT: f64 = 0.986_578;
        self.reach()
            * match self.spread {
                Spread::Even => 3.0_f64.sqrt().recip(),
                Spread::ThreeSigma => CUT / 3.0,
                Spread::Triangle => 6.0_f64.sqrt().recip(),
            }
    }

    /// One value.
    pub(super) fn draw(&self, random: &mut impl Rng) -> f64 {
        let mut even = || random.random::<f64>() * 2.0 - 1.0;
        let unit = match self.spread {
            Spread::Even => even(),
            Spread::Triangle => 0.5 * (even() + even()),
            Spread::ThreeSigma => loop {
                // Marsaglia's polar method.
                let (u, v) = (even(), even());
                let s = u * u + v * v;
                if s > 0.0 && s < 1.0 {
                    let normal = u * (-2.0 * s.ln() / s).sqrt() / 3.0;
                    if normal.abs() <= 1.0 {
                        break normal;
                    }
                }
            },
        };
        self.nominal + self.reach() * unit
    }
}
