use serde::Serialize;

/// A published formula: what it is called and where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Formula {
    /// What the trade calls it.
    pub name: &'static str,
    /// Author, year, place; "from memory" where the text was not at hand.
    pub reference: &'static str,
}

/// What a model says of a coil: the number, how far the formula may be from the truth, and which formula.
///
/// The accuracy is the formula's own for the geometry that was given; what the geometry itself is uncertain by comes on top
/// ([`crate::tolerance`]).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Modelled {
    /// The number, in the unit that the function's name states.
    pub value: f64,
    /// Largest relative error that the formula is stated to have here.
    pub relative_accuracy: f64,
    /// The formula.
    pub formula: Formula,
}

impl Modelled {
    /// A number with the formula it came from.
    #[must_use]
    pub const fn new(value: f64, relative_accuracy: f64, formula: Formula) -> Self {
        Self {
            value,
            relative_accuracy,
            formula,
        }
    }

    /// The largest absolute error that the formula is stated to have here, in the unit of the value.
    #[must_use]
    pub fn absolute_accuracy(&self) -> f64 {
        self.value.abs() * self.relative_accuracy
    }
}
