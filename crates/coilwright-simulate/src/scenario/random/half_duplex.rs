use std::f64::consts::TAU;

use super::draw::Draw;
use crate::circuit::{Circuit, Configuration, DriverSwitch, Key, KeySwitch};
use crate::integrate::Waveform;
use crate::modulate::OwnTones;

/// Level of the reply under the charge burst at the pickup, from prototype circuit simulations.
pub(super) const LEVEL_DB: (f64, f64) = (-50.0, -40.0);
/// Quality of the coil behind the output stage: both tones pass.
const SENDING_Q: (f64, f64) = (4.0, 8.0);

/// Returns the coil of a half-duplex key: tuned close to the carrier, and damped by the output stage while it sends.
pub(super) fn coil(draw: &mut Draw, frequency_hz: f64) -> Key {
    let inductance_henry = draw.log_uniform(2e-3, 8e-3);
    let resonance_hz = frequency_hz * (1.0 + draw.uniform(-0.03, 0.01));
    let reactance_ohm = TAU * resonance_hz * inductance_henry;
    let q = draw.log_uniform(20.0, 40.0);
    let coupling_ring = draw.log_uniform(0.005, 0.06);
    Key {
        inductance_henry,
        resistance_ohm: 0.5 * reactance_ohm / q,
        capacitance_farad: (TAU * resonance_hz).powi(-2) / inductance_henry,
        load_open_ohm: 2.0 * reactance_ohm * q,
        load_closed_ohm: reactance_ohm * draw.uniform(SENDING_Q.0, SENDING_Q.1),
        coupling_ring,
        coupling_pickup: draw.sign() * coupling_ring * draw.uniform(0.0, 1.0),
    }
}

/// Returns the reply of a random key, at a level that [`set_level`] sets.
pub(super) fn own_tones(draw: &mut Draw) -> OwnTones {
    let drift = 1.0 + draw.uniform(-2e-3, 2e-3);
    OwnTones {
        tones_hz: [134_200.0 * drift, 124_200.0 * drift],
        delay_s: draw.uniform(0.8e-3, 2.5e-3),
        leading_zeros: draw.pick(&[(16, 0.7), (0, 0.3)]),
        amplitude_volt: 1.0,
        // A fall of 0.5 to 6 dB over a telegram of 14 ms.
        decay_per_s: draw.log_uniform(4.0, 50.0),
    }
}

/// Sets the amplitude so that the stronger tone is so many decibels above the carrier at the pickup.
pub(super) fn set_level(
    own: &mut OwnTones,
    circuit: &Circuit,
    (waveform, frequency_hz): (Waveform, f64),
    level_db: f64,
) -> Option<()> {
    let charged = Configuration::resting(circuit);
    let field_volt =
        circuit.pickup_response(&charged, frequency_hz).ok()?.norm() * waveform.fundamental_volt();
    let sending = charged
        .with_driver(DriverSwitch::Off)
        .with_keys(KeySwitch::Closed);
    let loudest = own
        .tones_hz
        .iter()
        .filter_map(|&hz| circuit.pickup_response_to_key(&sending, 0, hz).ok())
        .fold(0.0, |loudest, response| response.norm().max(loudest));
    own.amplitude_volt = field_volt * 10_f64.powf(level_db / 20.0) / loudest;
    own.amplitude_volt.is_finite().then_some(())
}
