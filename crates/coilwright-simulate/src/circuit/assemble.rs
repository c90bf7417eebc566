use nalgebra::{Cholesky, DMatrix, DVector};

use super::{Circuit, Configuration};
use crate::SimulateError;

/// One state of the circuit: the current of an inductor or the voltage of a capacitor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Current out of the driver.
    DriverCurrent,
    /// Current from the cable into the ring.
    RingLeadCurrent,
    /// Current of the ring's coil.
    CoilCurrent,
    /// Current of the pickup coil.
    PickupCurrent,
    /// Current of the closed loop with this index.
    LoopCurrent(usize),
    /// Current of the key coil with this index.
    KeyCurrent(usize),
    /// Voltage across the cable.
    CableVoltage,
    /// Voltage across the ring's series capacitor.
    SeriesVoltage,
    /// Voltage across the joint.
    JointVoltage,
    /// Voltage across the ring's coil and its self-capacitance.
    CoilVoltage,
    /// Voltage across the pickup coil: the captured signal.
    PickupVoltage,
    /// Voltage across the key's capacitor.
    KeyVoltage(usize),
}

/// The circuit in one configuration, `dx/dt = A x + b u`, in energy coordinates.
///
/// With inductance matrix `L = K Kᵀ` and capacitances `C`, the states are `x = (Kᵀ i, √C v)`, so that the stored
/// energy is `|x|²/2` and `A + Aᵀ` is never positive: every mode decays. `u` is the driver's open-circuit voltage.
#[derive(Clone, Debug)]
pub struct StateSpace {
    /// System matrix, 1/s.
    pub system: DMatrix<f64>,
    /// Input vector of the driver's voltage.
    pub input: DVector<f64>,
    /// Physical states (amperes and volts) from energy coordinates: `physical * x`.
    pub physical: DMatrix<f64>,
    /// Which physical state each row of `physical` is.
    pub states: Vec<State>,
    /// Dissipating resistance (current states, ohm) or conductance (voltage states, siemens) of each physical state.
    pub dissipation: DVector<f64>,
}

impl StateSpace {
    /// Returns the state space of `circuit` with the switches of `configuration`.
    ///
    /// # Errors
    /// [`SimulateError::InvalidValue`] for a value that makes no sense, [`SimulateError::NotPositiveDefinite`] when
    /// the couplings contradict each other, [`SimulateError::KeyCount`] when the configuration is of another circuit.
    pub fn new(circuit: &Circuit, configuration: &Configuration) -> Result<Self, SimulateError> {
        circuit.validate()?;
        if configuration.keys.len() != circuit.keys.len() {
            return Err(SimulateError::KeyCount {
                expected: circuit.keys.len(),
                found: configuration.keys.len(),
            });
        }
        let inductors = inductors(circuit);
        let capacitors = capacitors(circuit);
        let states: Vec<State> = inductors.iter().chain(&capacitors).copied().collect();
        let dissipation = DVector::from_iterator(
            states.len(),
            states
                .iter()
                .map(|&state| dissipation(circuit, configuration, state)),
        );

        let factor = Cholesky::new(inductance_matrix(circuit, &inductors))
            .ok_or(SimulateError::NotPositiveDefinite {
                coils: inductors.len(),
            })?
            .l();
        let physical = physical_from_energy(circuit, &factor, &capacitors)?;
        // dx/dt = physicalᵀ · (F − D) · physical · x, with F the skew incidence and D the diagonal dissipation.
        let mut network = incidence(circuit, &states);
        for (index, &loss) in dissipation.iter().enumerate() {
            network[(index, index)] -= loss;
        }
        let system = physical.transpose() * network * &physical;
        let mut drive = DVector::zeros(states.len());
        drive[0] = 1.0;
        let input = physical.transpose() * drive;
        Ok(Self {
            system,
            input,
            physical,
            states,
            dissipation,
        })
    }

    /// Returns the input vector of each key's output stage, a voltage behind the load that its switch selects.
    pub(crate) fn key_inputs(&self) -> Vec<DVector<f64>> {
        let rows = self.states.iter().enumerate();
        rows.filter(|(_, state)| matches!(state, State::KeyVoltage(_)))
            .map(|(row, _)| {
                let mut current = DVector::zeros(self.states.len());
                current[row] = self.dissipation[row];
                self.physical.transpose() * current
            })
            .collect()
    }

    /// Returns the row of a physical state, or `None` when the circuit has no such state.
    #[must_use]
    pub fn row(&self, state: State) -> Option<usize> {
        self.states.iter().position(|&other| other == state)
    }
}

fn inductors(circuit: &Circuit) -> Vec<State> {
    let mut states = vec![
        State::DriverCurrent,
        State::RingLeadCurrent,
        State::CoilCurrent,
        State::PickupCurrent,
    ];
    states.extend((0..circuit.loops.len()).map(State::LoopCurrent));
    states.extend((0..circuit.keys.len()).map(State::KeyCurrent));
    states
}

fn capacitors(circuit: &Circuit) -> Vec<State> {
    let mut states = vec![
        State::CableVoltage,
        State::SeriesVoltage,
        State::JointVoltage,
        State::CoilVoltage,
        State::PickupVoltage,
    ];
    states.extend((0..circuit.keys.len()).map(State::KeyVoltage));
    states
}

impl Circuit {
    /// Inductance of an inductor's state, 0 for a capacitor's.
    fn inductance_henry(&self, state: State) -> f64 {
        match state {
            State::DriverCurrent => self.driver.lead_henry,
            State::RingLeadCurrent => self.ring.lead_henry,
            State::CoilCurrent => self.ring.inductance_henry,
            State::PickupCurrent => self.pickup.inductance_henry,
            State::LoopCurrent(index) => self.loops[index].inductance_henry,
            State::KeyCurrent(index) => self.keys[index].inductance_henry,
            _ => 0.0,
        }
    }

    /// Capacitance of a capacitor's state, 0 for an inductor's.
    fn capacitance_farad(&self, state: State) -> f64 {
        match state {
            State::CableVoltage => self.driver.cable_farad,
            State::SeriesVoltage => self.ring.capacitance_farad,
            State::JointVoltage => self.ring.joint.gap_farad,
            State::CoilVoltage => self.ring.stray_farad,
            State::PickupVoltage => self.pickup.capacitance_farad,
            State::KeyVoltage(index) => self.keys[index].capacitance_farad,
            _ => 0.0,
        }
    }

    /// Coupling factor between two different inductors, in the order of [`StateSpace::states`]; 0 for capacitors.
    pub(crate) fn coupling(&self, first: State, second: State) -> f64 {
        use State::{CoilCurrent, DriverCurrent, KeyCurrent, LoopCurrent, PickupCurrent};
        match (first, second) {
            (CoilCurrent, PickupCurrent) => self.pickup.coupling_ring,
            (DriverCurrent, PickupCurrent) => self.pickup.coupling_lead,
            (CoilCurrent, LoopCurrent(index)) => self.loops[index].coupling_ring,
            (PickupCurrent, LoopCurrent(index)) => self.loops[index].coupling_pickup,
            (CoilCurrent, KeyCurrent(index)) => self.keys[index].coupling_ring,
            (PickupCurrent, KeyCurrent(index)) => self.keys[index].coupling_pickup,
            (LoopCurrent(index), KeyCurrent(_)) => self.loops[index].coupling_keys,
            (KeyCurrent(_), KeyCurrent(_)) => self.coupling_between_keys,
            _ => 0.0,
        }
    }
}

fn inductance_matrix(circuit: &Circuit, inductors: &[State]) -> DMatrix<f64> {
    DMatrix::from_fn(inductors.len(), inductors.len(), |row, column| {
        let (first, second) = (inductors[row.min(column)], inductors[row.max(column)]);
        let product = circuit.inductance_henry(first) * circuit.inductance_henry(second);
        if row == column {
            circuit.inductance_henry(first)
        } else {
            circuit.coupling(first, second) * product.sqrt()
        }
    })
}

fn dissipation(circuit: &Circuit, configuration: &Configuration, state: State) -> f64 {
    match state {
        State::DriverCurrent => configuration.source_ohm(circuit),
        State::RingLeadCurrent | State::SeriesVoltage => 0.0,
        State::CoilCurrent => circuit.ring.resistance_ohm,
        State::PickupCurrent => circuit.pickup.resistance_ohm,
        State::LoopCurrent(index) => circuit.loops[index].resistance_ohm,
        State::KeyCurrent(index) => circuit.keys[index].resistance_ohm,
        State::CableVoltage => circuit.ring.terminal_short_ohm.map_or(0.0, f64::recip),
        State::JointVoltage => configuration.joint_ohm(circuit).recip(),
        State::CoilVoltage => {
            circuit.ring.stray_loss_ohm.recip()
                + circuit.ring.coil_short_ohm.map_or(0.0, f64::recip)
        }
        State::PickupVoltage => circuit.pickup.load_ohm.recip(),
        State::KeyVoltage(index) => configuration.keys[index]
            .load_ohm(&circuit.keys[index])
            .recip(),
    }
}

/// The skew matrix that says which capacitor voltages stand across which inductor.
fn incidence(circuit: &Circuit, states: &[State]) -> DMatrix<f64> {
    use State::{
        CableVoltage, CoilCurrent, CoilVoltage, DriverCurrent, JointVoltage, KeyCurrent,
        KeyVoltage, PickupCurrent, PickupVoltage, RingLeadCurrent, SeriesVoltage,
    };
    let mut links = vec![
        (DriverCurrent, CableVoltage, -1.0),
        (RingLeadCurrent, CableVoltage, 1.0),
        (RingLeadCurrent, SeriesVoltage, -1.0),
        (RingLeadCurrent, JointVoltage, -1.0),
        (RingLeadCurrent, CoilVoltage, -1.0),
        (CoilCurrent, CoilVoltage, 1.0),
        (PickupCurrent, PickupVoltage, -1.0),
    ];
    links.extend((0..circuit.keys.len()).map(|index| (KeyCurrent(index), KeyVoltage(index), -1.0)));
    let mut matrix = DMatrix::zeros(states.len(), states.len());
    for (current, voltage, sign) in links {
        let row = states.iter().position(|&state| state == current);
        let column = states.iter().position(|&state| state == voltage);
        if let (Some(row), Some(column)) = (row, column) {
            matrix[(row, column)] = sign;
            matrix[(column, row)] = -sign;
        }
    }
    matrix
}

/// `diag(K⁻ᵀ, C^(−1/2))`: amperes and volts from energy coordinates.
fn physical_from_energy(
    circuit: &Circuit,
    factor: &DMatrix<f64>,
    capacitors: &[State],
) -> Result<DMatrix<f64>, SimulateError> {
    let coils = factor.nrows();
    let inverse = factor
        .clone()
        .try_inverse()
        .ok_or(SimulateError::NotPositiveDefinite { coils })?;
    let mut physical = DMatrix::zeros(coils + capacitors.len(), coils + capacitors.len());
    physical
        .view_mut((0, 0), (coils, coils))
        .copy_from(&inverse.transpose());
    for (index, &capacitor) in capacitors.iter().enumerate() {
        physical[(coils + index, coils + index)] =
            circuit.capacitance_farad(capacitor).sqrt().recip();
    }
    Ok(physical)
}
