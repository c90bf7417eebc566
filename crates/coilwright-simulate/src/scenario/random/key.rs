use std::f64::consts::TAU;

use coilwright_signal::frame::{FdxB, ReadOnly64};

use super::draw::Draw;
use crate::circuit::{Circuit, Configuration, Key, KeySwitch};
use crate::modulate::{Content, KeySignal, LineCode};
use crate::scenario::Setup;

/// Depth of a healthy key at the pickup, amplitude and phase together, peak to peak.
pub(super) const HEALTHY_DEPTH: (f64, f64) = (0.008, 0.17);
/// Signal a bit over noise density that a readable key has at least: one frame in a hundred would fail at 8 dB.
const READABLE_DB: f64 = 10.0;

/// Which of the published keys.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    ReadOnly64,
    FdxB,
}

impl Kind {
    pub(super) fn draw(draw: &mut Draw) -> Self {
        draw.pick(&[(Self::ReadOnly64, 0.75), (Self::FdxB, 0.25)])
    }

    pub(super) const fn of(signal: &KeySignal) -> Self {
        match signal.content {
            Content::ReadOnly64(_) => Self::ReadOnly64,
            Content::FdxB(_) => Self::FdxB,
        }
    }

    pub(super) const fn carrier_hz(self) -> f64 {
        match self {
            Self::ReadOnly64 => 125_000.0,
            Self::FdxB => 134_200.0,
        }
    }
}

/// Returns a signal with a random payload.
pub(super) fn signal(draw: &mut Draw, kind: Kind) -> KeySignal {
    let power_up_clocks = draw.whole(100, 400) as u32;
    let inverted = draw.chance(0.5);
    match kind {
        Kind::ReadOnly64 => KeySignal {
            content: Content::ReadOnly64(ReadOnly64 {
                customer: draw.whole(0, 0xFF) as u8,
                number: draw.whole(0, 0xFFFF_FFFF) as u32,
            }),
            line_code: draw.pick(&[(LineCode::Manchester, 0.75), (LineCode::Biphase, 0.25)]),
            clocks_per_bit: draw.pick(&[(64, 0.55), (32, 0.25), (16, 0.1), (40, 0.1)]),
            power_up_clocks,
            inverted,
        },
        Kind::FdxB => KeySignal {
            content: Content::FdxB(FdxB {
                animal: draw.chance(0.5),
                reserved: 0,
                data_block: false,
                country: draw.whole(0, 999) as u16,
                national: draw.whole(0, (1 << 38) - 1),
                trailer: 0,
            }),
            line_code: LineCode::Biphase,
            clocks_per_bit: 32,
            power_up_clocks,
            inverted,
        },
    }
}

/// Length of one frame.
pub(super) fn frame_s(signal: &KeySignal, frequency_hz: f64) -> f64 {
    signal.content.frame().bits.len() as f64 * f64::from(signal.clocks_per_bit) / frequency_hz
}

/// Returns a key coil near the carrier whose heavy load is such that the depth lies in the range; `None` when the
/// drawn coil and coupling cannot reach it.
pub(super) fn fitting(
    draw: &mut Draw,
    circuit: &Circuit,
    frequency_hz: f64,
    depth: (f64, f64),
) -> Option<Key> {
    let detuning = 1.0 + draw.uniform(-0.03, 0.03);
    let coupling = draw.log_uniform(0.005, 0.06);
    fitting_with(draw, circuit, frequency_hz, (detuning, coupling), depth)
}

/// As [`fitting`], with the key's resonance over the carrier and its coupling given.
pub(super) fn fitting_with(
    draw: &mut Draw,
    circuit: &Circuit,
    frequency_hz: f64,
    (detuning, coupling_ring): (f64, f64),
    depth: (f64, f64),
) -> Option<Key> {
    let inductance_henry = draw.log_uniform(2e-3, 8e-3);
    let resonance_hz = frequency_hz * detuning;
    let reactance_ohm = TAU * resonance_hz * inductance_henry;
    let q = draw.log_uniform(10.0, 40.0);
    let coil_share = draw.uniform(0.3, 0.8);
    let wanted = draw.log_uniform(depth.0, depth.1);
    let key = Key {
        inductance_henry,
        resistance_ohm: coil_share * reactance_ohm / q,
        capacitance_farad: (TAU * resonance_hz).powi(-2) / inductance_henry,
        load_open_ohm: reactance_ohm * q / (1.0 - coil_share),
        load_closed_ohm: reactance_ohm,
        coupling_ring,
        coupling_pickup: draw.sign() * coupling_ring * draw.uniform(0.0, 1.0),
    };
    with_depth(circuit, key, frequency_hz, wanted)
}

/// Bisects the heavy load until the depth is as wanted.
fn with_depth(circuit: &Circuit, mut key: Key, frequency_hz: f64, wanted: f64) -> Option<Key> {
    let (mut light, mut heavy) = (1.0_f64, 0.002_f64);
    let mut depth_at = |ratio: f64| {
        key.load_closed_ohm = key.load_open_ohm * ratio;
        let mut with_key = circuit.clone();
        with_key.keys.push(key.clone());
        depth(&with_key, with_key.keys.len() - 1, frequency_hz)
    };
    if depth_at(heavy)? < wanted {
        return None;
    }
    for _ in 0..30 {
        let middle = (light * heavy).sqrt();
        if depth_at(middle)? < wanted {
            light = middle;
        } else {
            heavy = middle;
        }
    }
    key.load_closed_ohm = key.load_open_ohm * heavy;
    Some(key)
}

fn depth(circuit: &Circuit, index: usize, frequency_hz: f64) -> Option<f64> {
    let open = Configuration::resting(circuit);
    let mut closed = open.clone();
    closed.keys[index] = KeySwitch::Closed;
    let light = circuit.pickup_response(&open, frequency_hz).ok()?;
    let heavy = circuit.pickup_response(&closed, frequency_hz).ok()?;
    Some((heavy - light).norm() / (0.5 * (heavy.norm() + light.norm())))
}

/// Whether every sending key stands clear of the noise and has field for more than a frame.
pub(super) fn is_readable(setup: &Setup) -> bool {
    let longest_s = setup
        .drive
        .field_on_s
        .iter()
        .fold(0.0_f64, |longest, (start, end)| longest.max(end - start));
    (0..setup.signals.len()).all(|index| {
        let Some(signal) = &setup.signals[index] else {
            return true;
        };
        let enough = 1.2 * frame_s(signal, setup.drive.frequency_hz) < longest_s;
        enough && bit_energy_db(setup, index).is_some_and(|energy_db| energy_db >= READABLE_DB)
    })
}

/// Energy of a bit over noise density, `m² · SNR · fs · T / 2`, with the ring's band width taken off `m`.
pub(super) fn bit_energy_db(setup: &Setup, index: usize) -> Option<f64> {
    let signal = setup.signals.get(index)?.as_ref()?;
    let frequency_hz = setup.drive.frequency_hz;
    let bit_s = f64::from(signal.clocks_per_bit) / frequency_hz;
    let pole = setup
        .circuit
        .without_keys()
        .ring_pole(&Configuration::resting(&setup.circuit.without_keys()))
        .ok()??;
    // Most of a Manchester or biphase signal lies near three quarters of the bit rate.
    let offset = 2.0 * pole.q * 0.75 / bit_s / pole.resonance_hz;
    let peak_squared = (0.5 * setup.depth(index).ok()?.total).powi(2) / (1.0 + offset * offset);
    let carrier_power = 0.5 * setup.carrier_volt().ok()?.powi(2);
    let ratio = carrier_power / setup.recorder.noise_power();
    Some(10.0 * (peak_squared * ratio * setup.recorder.sample_rate_hz * bit_s / 2.0).log10())
}
