/// Why a circuit or a scenario could not be simulated.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SimulateError {
    /// A parameter lies outside the range in which the model makes sense.
    #[error("{field} is {found}, expected {expected}")]
    InvalidValue {
        /// The parameter, as a path from the circuit or the scenario.
        field: &'static str,
        /// What was given.
        found: f64,
        /// What is allowed, in words.
        expected: &'static str,
    },
    /// The couplings contradict each other: no set of coils has such an inductance matrix.
    #[error(
        "the couplings of the {coils} coils contradict each other: the inductance matrix is not positive definite; \
         lower the couplings"
    )]
    NotPositiveDefinite {
        /// How many coils the circuit has.
        coils: usize,
    },
    /// The circuit's modes could not be told apart well enough to step exactly.
    #[error(
        "the circuit has (nearly) coinciding modes: the modal residual is {residual:.1e}, expected below {limit:.1e}; \
         change a resistance by a part in a thousand"
    )]
    CoincidingModes {
        /// Largest relative residual of the modal decomposition.
        residual: f64,
        /// The largest residual that is accepted.
        limit: f64,
    },
    /// The eigenvalue iteration did not converge.
    #[error("the modes of the circuit did not converge: {states} states")]
    NoConvergence {
        /// Number of states of the circuit.
        states: usize,
    },
    /// A configuration is of another circuit.
    #[error("the configuration switches {found} keys, but the circuit has {expected}")]
    KeyCount {
        /// Keys in the circuit.
        expected: usize,
        /// Key switches in the configuration.
        found: usize,
    },
    /// What a key is to be does not go together.
    #[error("{choice} does not go with a key of modulation {modulation}, expected {expected}")]
    KeyChoice {
        /// What was chosen.
        choice: &'static str,
        /// How the key modulates.
        modulation: &'static str,
        /// What goes with it, in words.
        expected: &'static str,
    },
    /// No draw of circuit and recorder lets the key be read.
    #[error(
        "no lock was drawn in {attempts} attempts that lets such a key be read; try a slower bit, a slower subcarrier or \
         another seed"
    )]
    NeverReadable {
        /// How many were drawn.
        attempts: u64,
    },
    /// A capture could not be written.
    #[error(transparent)]
    Capture(#[from] coilwright_signal::capture::WriteError),
    /// The truth could not be written.
    #[error(
        "{path}: cannot be written: {source}; check the folder, its permissions and the space left"
    )]
    TruthFile {
        /// The file as the user named it.
        path: String,
        /// What the system said.
        source: std::io::Error,
    },
}

/// Returns an error unless `value` is finite and above zero.
pub(crate) fn require_positive(field: &'static str, value: f64) -> Result<(), SimulateError> {
    require(
        value.is_finite() && value > 0.0,
        field,
        value,
        "a finite number above 0",
    )
}

/// Returns an error unless `value` is finite and at least zero.
pub(crate) fn require_not_negative(field: &'static str, value: f64) -> Result<(), SimulateError> {
    require(
        value.is_finite() && value >= 0.0,
        field,
        value,
        "a finite number, 0 or above",
    )
}

/// Returns an error unless `value` is a coupling factor.
pub(crate) fn require_coupling(field: &'static str, value: f64) -> Result<(), SimulateError> {
    require(
        value.abs() < 1.0,
        field,
        value,
        "a coupling factor between -1 and 1",
    )
}

/// Returns an error that names the field unless `holds`.
pub(crate) fn require(
    holds: bool,
    field: &'static str,
    found: f64,
    expected: &'static str,
) -> Result<(), SimulateError> {
    if holds {
        Ok(())
    } else {
        Err(SimulateError::InvalidValue {
            field,
            found,
            expected,
        })
    }
}
