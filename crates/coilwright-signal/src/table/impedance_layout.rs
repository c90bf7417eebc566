use super::columns::Kind;
use num_complex::Complex64;
use std::f64::consts::TAU;

/// Which two numbers of a row make the impedance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ImpedanceLayout {
    /// Magnitude and phase.
    MagnitudePhase,
    /// Series resistance and reactance.
    ResistanceReactance,
    /// Series inductance and Q.
    SeriesInductanceQ,
    /// Parallel inductance and Q.
    ParallelInductanceQ,
    /// Series inductance and series resistance.
    SeriesInductanceResistance,
    /// Series inductance and dissipation factor.
    SeriesInductanceDissipation,
    /// Parallel inductance and dissipation factor.
    ParallelInductanceDissipation,
    /// Parallel inductance and parallel resistance.
    ParallelInductanceResistance,
}

impl ImpedanceLayout {
    /// All, in the order in which they are preferred where a table has more than one pair.
    pub(super) const ALL: [Self; 8] = [
        Self::ResistanceReactance,
        Self::MagnitudePhase,
        Self::SeriesInductanceResistance,
        Self::SeriesInductanceQ,
        Self::ParallelInductanceQ,
        Self::ParallelInductanceResistance,
        Self::SeriesInductanceDissipation,
        Self::ParallelInductanceDissipation,
    ];

    pub(super) const fn pair(self) -> (Kind, Kind) {
        match self {
            Self::MagnitudePhase => (Kind::Magnitude, Kind::Phase),
            Self::ResistanceReactance => (Kind::Resistance, Kind::Reactance),
            Self::SeriesInductanceQ => (Kind::SeriesInductance, Kind::Q),
            Self::ParallelInductanceQ => (Kind::ParallelInductance, Kind::Q),
            Self::SeriesInductanceResistance => (Kind::SeriesInductance, Kind::Resistance),
            Self::SeriesInductanceDissipation => (Kind::SeriesInductance, Kind::Dissipation),
            Self::ParallelInductanceDissipation => (Kind::ParallelInductance, Kind::Dissipation),
            Self::ParallelInductanceResistance => {
                (Kind::ParallelInductance, Kind::ParallelResistance)
            }
        }
    }

    /// The impedance of two values in ohm, radians, henry and ones.
    pub(super) fn impedance(self, frequency_hz: f64, first: f64, second: f64) -> Complex64 {
        let reactance = TAU * frequency_hz * first;
        match self {
            Self::MagnitudePhase => Complex64::from_polar(first, second),
            Self::ResistanceReactance => Complex64::new(first, second),
            Self::SeriesInductanceQ => Complex64::new(reactance / second, reactance),
            Self::ParallelInductanceQ => {
                Complex64::new((reactance * second).recip(), -reactance.recip()).inv()
            }
            Self::SeriesInductanceResistance => Complex64::new(second, reactance),
            Self::SeriesInductanceDissipation => Complex64::new(reactance * second, reactance),
            Self::ParallelInductanceDissipation => {
                Complex64::new(second / reactance, -reactance.recip()).inv()
            }
            Self::ParallelInductanceResistance => {
                Complex64::new(second.recip(), -reactance.recip()).inv()
            }
        }
    }
}
