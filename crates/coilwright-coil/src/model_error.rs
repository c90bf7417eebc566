use serde::Serialize;

/// Why a model gives no number.
#[derive(Clone, Debug, PartialEq, Serialize, thiserror::Error)]
#[serde(rename_all = "snake_case", tag = "reason")]
#[non_exhaustive]
pub enum ModelError {
    /// A quantity that must be a positive finite number is not.
    #[error("{quantity} is {found} {unit}, a positive finite number is needed")]
    NotPositive {
        /// Which quantity.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A quantity is infinite or not a number.
    #[error("{quantity} is {found} {unit}, a finite number is needed")]
    NotFinite {
        /// Which quantity.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// The formula does not hold here.
    #[error(
        "{formula} holds for {quantity} {}, found {found:.6}: choose another formula or geometry", Range(*low, *high)
    )]
    OutsideValidity {
        /// The formula.
        formula: &'static str,
        /// The quantity that limits it.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// Least value.
        low: f64,
        /// Largest value.
        high: f64,
    },
    /// A size that only a slip of the unit explains.
    #[error("{quantity} is {found_m} m: sizes are in metres, so that 0.2 mm is 0.2e-3")]
    SizeDoubtful {
        /// Which size.
        quantity: &'static str,
        /// What was given.
        found_m: f64,
    },
    /// An upper limit lies below its lower one.
    #[error(
        "largest {quantity} {high} is below least {quantity} {low}: raise the one or lower the other"
    )]
    LimitsCrossed {
        /// What is limited.
        quantity: &'static str,
        /// Least value.
        low: f64,
        /// Largest value.
        high: f64,
    },
    /// Two pieces of the geometry would have to be at the same place.
    #[error(
        "{first} does not leave room for {second}: {found_m:.6} m are there, {needed_m:.6} m are needed"
    )]
    NoRoom {
        /// What limits.
        first: &'static str,
        /// What does not fit.
        second: &'static str,
        /// Room that is there.
        found_m: f64,
        /// Room that is needed.
        needed_m: f64,
    },
    /// The two conductors touch or cross, where the mutual inductance of thin wires is infinite.
    #[error(
        "the conductors come as near as {distance_m:.3e} m: thin wires must not touch or cross"
    )]
    Touching {
        /// Smallest distance between the two.
        distance_m: f64,
    },
    /// A quadrature did not settle.
    #[error(
        "the integral for {quantity} settled only to {reached:.1e} of its value, {needed:.1e} is needed: move the parts further from each other"
    )]
    NotSettled {
        /// What was integrated.
        quantity: &'static str,
        /// Relative change at the last doubling.
        reached: f64,
        /// What is needed.
        needed: f64,
    },
    /// A count is larger than a model takes on.
    #[error("{quantity} is {found}, from 1 to {most} are taken")]
    TooMany {
        /// Which count.
        quantity: &'static str,
        /// What was given.
        found: usize,
        /// The most that is taken.
        most: usize,
    },
    /// The aim cannot be reached by any candidate.
    #[error("none of {tried} windings meets the aim; nearest: {nearest}")]
    NoWinding {
        /// How many were tried.
        tried: usize,
        /// What came nearest and by what it misses.
        nearest: NearestMiss,
    },
}

/// Where a formula holds, in words.
struct Range(f64, f64);

impl std::fmt::Display for Range {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self(low, high) = self;
        if *high >= f64::MAX {
            return write!(f, "from {low} up");
        }
        write!(f, "from {low} to {high}")
    }
}

/// The candidate that came nearest to an aim that nothing meets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NearestMiss {
    /// Its turns; zero if no winding fits the room.
    pub turns: usize,
    /// Its inductance.
    pub inductance_henry: f64,
    /// Its Q at the aimed frequency.
    pub q: f64,
}

impl std::fmt::Display for NearestMiss {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.turns == 0 {
            return f.write_str("no winding fits the room");
        }
        write!(
            f,
            "{} turns with {:.4e} H and Q {:.1}",
            self.turns, self.inductance_henry, self.q
        )
    }
}

/// The quantity if it is positive and finite.
pub(crate) fn positive(
    quantity: &'static str,
    found: f64,
    unit: &'static str,
) -> Result<f64, ModelError> {
    if found.is_finite() && found > 0.0 {
        Ok(found)
    } else {
        Err(ModelError::NotPositive {
            quantity,
            found,
            unit,
        })
    }
}

/// The quantity if it is finite.
pub(crate) fn finite(
    quantity: &'static str,
    found: f64,
    unit: &'static str,
) -> Result<f64, ModelError> {
    if found.is_finite() {
        Ok(found)
    } else {
        Err(ModelError::NotFinite {
            quantity,
            found,
            unit,
        })
    }
}

/// The count if it is from 1 to the most.
pub(crate) fn count(
    quantity: &'static str,
    found: usize,
    most: usize,
) -> Result<usize, ModelError> {
    if (1..=most).contains(&found) {
        Ok(found)
    } else {
        Err(ModelError::TooMany {
            quantity,
            found,
            most,
        })
    }
}

/// The quantity if the formula holds for it.
pub(crate) fn within(
    formula: &'static str,
    quantity: &'static str,
    found: f64,
    low: f64,
    high: f64,
) -> Result<f64, ModelError> {
    if (low..=high).contains(&found) {
        Ok(found)
    } else {
        Err(ModelError::OutsideValidity {
            formula,
            quantity,
            found,
            low,
            high,
        })
    }
}
