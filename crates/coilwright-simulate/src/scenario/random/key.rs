use std::f64::consts::TAU;

use coilwright_signal::code::PhaseChange;
use coilwright_signal::frame::{FrameKind, Iso11784, ReadOnly64, Sia26};

use super::draw::Draw;
use super::half_duplex;
use crate::circuit::{Circuit, Configuration, Key, KeySwitch};
use crate::modulate::{CYCLES, Content, Divider, KeySignal, Keying, LineCode};
use crate::scenario::{KeyChoice, KeyModulation, Setup};

/// Depth of a healthy key at the pickup, amplitude and phase together, peak to peak.
pub(super) const HEALTHY_DEPTH: (f64, f64) = (0.008, 0.17);
/// Signal a bit over noise density that a readable key has at least: one frame in a hundred would fail at 8 dB.
const READABLE_DB: f64 = 10.0;

/// As [`READABLE_DB`], for subcarriers: two tones are told less well than levels, and the ring takes more off than is
/// reckoned with.
const READABLE_SUBCARRIER_DB: f64 = 15.0;

/// Which of the published keys.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    ReadOnly64,
    FdxB,
    Hdx,
    Sia26,
}

impl Kind {
    pub(super) fn draw(draw: &mut Draw, choice: &KeyChoice) -> Self {
        let drawn = draw.pick(&[(Self::ReadOnly64, 0.75), (Self::FdxB, 0.25)]);
        match (choice.frame, choice.modulation()) {
            (_, KeyModulation::HalfDuplex) => Self::Hdx,
            (Some(FrameKind::Sia26), _) => Self::Sia26,
            (Some(FrameKind::FdxB), _) => Self::FdxB,
            (Some(_), _) | (None, KeyModulation::Fsk | KeyModulation::Psk) => Self::ReadOnly64,
            (None, KeyModulation::Ask) => drawn,
        }
    }

    pub(super) const fn of(signal: &KeySignal) -> Self {
        match signal.content {
            Content::ReadOnly64(_) | Content::Bits { .. } => Self::ReadOnly64,
            Content::FdxB(_) => Self::FdxB,
            Content::Hdx(_) => Self::Hdx,
            Content::Sia26(_) => Self::Sia26,
        }
    }

    pub(super) const fn carrier_hz(self) -> f64 {
        match self {
            Self::ReadOnly64 | Self::Sia26 => 125_000.0,
            Self::FdxB | Self::Hdx => 134_200.0,
        }
    }
}

/// Returns a signal with a random payload.
pub(super) fn signal(draw: &mut Draw, kind: Kind, choice: &KeyChoice) -> KeySignal {
    let power_up_clocks = draw.whole(100, 400) as u32;
    let inverted = draw.chance(0.5);
    let usual = |content, line_code, clocks_per_bit| KeySignal {
        content,
        line_code,
        keying: Keying::Load,
        clocks_per_bit,
        power_up_clocks,
        inverted,
    };
    let mut signal = match kind {
        Kind::ReadOnly64 => usual(
            Content::ReadOnly64(ReadOnly64 {
                customer: draw.whole(0, 0xFF) as u8,
                number: draw.whole(0, 0xFFFF_FFFF) as u32,
            }),
            draw.pick(&[(LineCode::Manchester, 0.75), (LineCode::Biphase, 0.25)]),
            draw.pick(&[(64, 0.55), (32, 0.25), (16, 0.1), (40, 0.1)]),
        ),
        Kind::FdxB => usual(Content::FdxB(animal(draw)), LineCode::Biphase, 32),
        Kind::Hdx => KeySignal {
            inverted: false,
            ..usual(Content::Hdx(animal(draw)), LineCode::Nrz, CYCLES as u32)
        },
        Kind::Sia26 => usual(
            Content::Sia26(Sia26 {
                site: draw.whole(0, 0xFF) as u8,
                card: draw.whole(0, 0xFFFF) as u16,
            }),
            LineCode::Manchester,
            64,
        ),
    };
    apply(choice, draw, &mut signal);
    signal
}

fn animal(draw: &mut Draw) -> Iso11784 {
    Iso11784 {
        animal: draw.chance(0.5),
        reserved: 0,
        data_block: false,
        country: draw.whole(0, 999) as u16,
        national: draw.whole(0, (1 << 38) - 1),
        trailer: 0,
    }
}

/// Makes the signal what was chosen; draws nothing where nothing was.
fn apply(choice: &KeyChoice, draw: &mut Draw, signal: &mut KeySignal) {
    let given = choice.subcarrier_clocks.as_deref();
    match choice.modulation() {
        KeyModulation::Ask => {}
        KeyModulation::HalfDuplex => signal.keying = Keying::OwnTones(half_duplex::own_tones(draw)),
        KeyModulation::Fsk => {
            let drawn = draw.pick(&[([10, 8], 0.3), ([8, 10], 0.3), ([5, 8], 0.2), ([8, 5], 0.2)]);
            let [one_clocks, zero_clocks] = given
                .and_then(|clocks| clocks.try_into().ok())
                .unwrap_or(drawn);
            let divider = draw.pick(&[(Divider::GoesOn, 0.5), (Divider::Restarts, 0.5)]);
            signal.keying = Keying::Frequency {
                one_clocks,
                zero_clocks,
                divider,
            };
            signal.line_code = LineCode::Nrz;
            signal.clocks_per_bit = draw.pick(&[(50, 0.5), (64, 0.3), (40, 0.2)]);
        }
        KeyModulation::Psk => {
            let drawn = draw.pick(&[(2, 0.5), (4, 0.3), (8, 0.2)]);
            let clocks = given
                .and_then(|clocks| clocks.first().copied())
                .unwrap_or(drawn);
            let change = draw.pick(&[(PhaseChange::OnChange, 0.6), (PhaseChange::OnOne, 0.4)]);
            signal.keying = Keying::Phase {
                clocks,
                change: choice.phase_change.unwrap_or(change),
            };
            signal.line_code = LineCode::Nrz;
            signal.clocks_per_bit = draw.pick(&[(32, 0.6), (64, 0.4)]);
        }
    }
    signal.line_code = choice.line_code.unwrap_or(signal.line_code);
    signal.clocks_per_bit = choice.clocks_per_bit.unwrap_or(signal.clocks_per_bit);
}

/// Length of one frame.
pub(super) fn frame_s(signal: &KeySignal, frequency_hz: f64) -> f64 {
    let bits = signal.content.bits();
    match &signal.keying {
        Keying::OwnTones(own) => own.delay_s + own.length_s(&bits),
        _ => bits.len() as f64 * f64::from(signal.clocks_per_bit) / frequency_hz,
    }
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

/// Whether every sending key stands clear of the noise and has field, or a pause, for more than a frame.
pub(super) fn is_readable(setup: &Setup) -> bool {
    let bursts = &setup.drive.field_on_s;
    let longest = |spans: &mut dyn Iterator<Item = f64>| spans.fold(0.0, f64::max);
    let burst_s = longest(&mut bursts.iter().map(|(start, end)| end - start));
    let next = bursts.iter().skip(1).map(|burst| burst.0);
    let starts = next.chain([setup.recorder.length_s]);
    let pause_s = longest(
        &mut bursts
            .iter()
            .zip(starts)
            .map(|(burst, next)| next - burst.1),
    );
    (0..setup.signals.len()).all(|index| {
        let Some(signal) = &setup.signals[index] else {
            return true;
        };
        let frame_s = frame_s(signal, setup.drive.frequency_hz);
        let (enough, limit_db) = match signal.keying {
            Keying::OwnTones(_) => (frame_s < pause_s, READABLE_DB),
            Keying::Load => (1.2 * frame_s < burst_s, READABLE_DB),
            _ => (1.2 * frame_s < burst_s, READABLE_SUBCARRIER_DB),
        };
        enough && bit_energy_db(setup, index).is_some_and(|energy_db| energy_db >= limit_db)
    })
}

/// Energy of a bit over noise density, `m² · SNR · fs · T / 2`, with the band width of ring and key taken off `m`.
pub(super) fn bit_energy_db(setup: &Setup, index: usize) -> Option<f64> {
    let signal = setup.signals.get(index)?.as_ref()?;
    let frequency_hz = setup.drive.frequency_hz;
    let bit_s = f64::from(signal.clocks_per_bit) / frequency_hz;
    let noise_power = setup.recorder.noise_power();
    if let Some(reply) = setup.reply(index).ok()? {
        let weaker_volt = reply.tones_volt[0].min(reply.tones_volt[1]);
        let ratio = weaker_volt.powi(2) / 2.0 / noise_power;
        return Some(10.0 * (ratio * setup.recorder.sample_rate_hz * bit_s / 2.0).log10());
    }
    let pole = setup
        .circuit
        .without_keys()
        .ring_pole(&Configuration::resting(&setup.circuit.without_keys()))
        .ok()??;
    let left = |q: f64, offset_hz: f64| {
        let offset = 2.0 * q * offset_hz / pole.resonance_hz;
        1.0 / (1.0 + offset * offset)
    };
    let share = match signal.keying.clocks().into_iter().min() {
        // Most of a Manchester or biphase signal lies near three quarters of the bit rate.
        None => left(pole.q, 0.75 / bit_s),
        Some(clocks) => {
            let offset_hz = frequency_hz / f64::from(clocks);
            left(pole.q, offset_hz) * left(setup.circuit.keys.get(index)?.q(), offset_hz)
        }
    };
    let peak_squared = (0.5 * setup.depth(index).ok()?.total).powi(2) * share;
    let carrier_power = 0.5 * setup.carrier_volt().ok()?.powi(2);
    let ratio = carrier_power / noise_power;
    Some(10.0 * (peak_squared * ratio * setup.recorder.sample_rate_hz * bit_s / 2.0).log10())
}
