use nalgebra::{Complex, DMatrix, DVector};

use super::{Circuit, Configuration, State, StateSpace};
use crate::SimulateError;

impl StateSpace {
    /// Returns the steady-state phasor of a physical state (amperes or volts) for a driver of 1 V at `frequency_hz`,
    /// `x = (jω − A)⁻¹ b`; zero when the circuit has no such state.
    #[must_use]
    pub fn response(&self, frequency_hz: f64, state: State) -> Complex<f64> {
        self.response_to(&self.input, frequency_hz, state)
    }

    /// As [`response`](Self::response), for an input with another input vector.
    fn response_to(&self, input: &DVector<f64>, frequency_hz: f64, state: State) -> Complex<f64> {
        let zero = Complex::new(0.0, 0.0);
        let Some(row) = self.row(state) else {
            return zero;
        };
        let size = self.system.nrows();
        let omega = Complex::new(0.0, std::f64::consts::TAU * frequency_hz);
        let matrix = DMatrix::from_diagonal_element(size, size, omega)
            - self.system.map(|value| Complex::new(value, 0.0));
        let Some(states) = matrix
            .lu()
            .solve(&input.map(|value| Complex::new(value, 0.0)))
        else {
            return zero;
        };
        self.physical
            .row(row)
            .iter()
            .zip(states.iter())
            .map(|(&scale, component)| component * scale)
            .sum()
    }
}

impl Circuit {
    /// Returns the pickup's steady-state phasor in volts for a driver of 1 V at `frequency_hz`.
    ///
    /// # Errors
    /// When the circuit makes no sense.
    pub fn pickup_response(
        &self,
        configuration: &Configuration,
        frequency_hz: f64,
    ) -> Result<Complex<f64>, SimulateError> {
        Ok(StateSpace::new(self, configuration)?.response(frequency_hz, State::PickupVoltage))
    }

    /// Returns the pickup's steady-state phasor in volts for 1 V at `frequency_hz` of the output stage of key `index`,
    /// behind the load that its switch selects, the driver at rest; zero without such a key.
    ///
    /// # Errors
    /// When the circuit makes no sense.
    pub fn pickup_response_to_key(
        &self,
        configuration: &Configuration,
        index: usize,
        frequency_hz: f64,
    ) -> Result<Complex<f64>, SimulateError> {
        let space = StateSpace::new(self, configuration)?;
        let inputs = space.key_inputs();
        let response = |input| space.response_to(input, frequency_hz, State::PickupVoltage);
        Ok(inputs.get(index).map_or(Complex::default(), response))
    }
}
