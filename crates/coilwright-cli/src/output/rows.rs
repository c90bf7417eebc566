use coilwright_diagnose::Check;
use coilwright_diagnose::result::{
    CaptureSummary, Comparison, EdgePole, KeyFound, Ring, SignalKind, Tail,
};
use coilwright_signal::capture::Unit;

use super::number::{estimate, percent, quantity};
use super::words::{frame_words, line_code_words, modulation_words, signal_words, tail_words};

/// Name, length, rate, format and channel of the recording.
pub(crate) fn recording(file: &str, capture: &CaptureSummary) -> String {
    let mut parts = vec![
        file.to_owned(),
        quantity(capture.duration_s, "s"),
        quantity(capture.sample_rate_hz, "S/s"),
        capture.format.clone(),
    ];
    if capture.channels > 1 {
        parts.push(format!(
            "channel {} of {}, counted from 0",
            capture.channel, capture.channels
        ));
    }
    parts.join(", ")
}

/// What the samples hold and why that is thought.
pub(crate) fn signal(check: &Check) -> String {
    let forced = if check.signal.forced {
        " (as told)"
    } else {
        ""
    };
    let mut text = format!(
        "{}{forced}. {}",
        signal_words(check.signal.kind),
        check.signal.reason
    );
    let twins: Vec<String> = check
        .signal
        .ambiguous_with_hz
        .iter()
        .map(|hz| quantity(*hz, "Hz"))
        .collect();
    if !twins.is_empty() {
        text.push_str(" Would look the same: ");
        text.push_str(&twins.join(", "));
        text.push('.');
    }
    text
}

/// Frequency, nominal, level and signal-to-noise ratio of the carrier.
pub(crate) fn carrier(check: &Check) -> String {
    let carrier = &check.carrier;
    if check.signal.kind == SignalKind::RingDown {
        return "none, and none to be expected".to_owned();
    }
    let Some(frequency) = carrier.frequency_hz else {
        return "none found".to_owned();
    };
    let mut parts = vec![estimate(frequency, "Hz")];
    if let Some(nominal) = carrier.nominal_hz {
        parts.push(format!("nominal {}", quantity(nominal, "Hz")));
    }
    if let Some(amplitude) = carrier.amplitude {
        parts.push(format!("level {}", level(amplitude, check.capture.unit)));
    }
    if let Some(snr_db) = carrier.snr_db {
        parts.push(format!("{snr_db:.0} dB over the noise"));
    }
    if let Some(harmonic_db) = carrier.third_harmonic_db {
        parts.push(format!("third harmonic {harmonic_db:+.0} dB"));
    }
    parts.join(", ")
}

/// How much of the capture has a field, in how many bursts, how regular.
pub(crate) fn field(check: &Check) -> String {
    if check.signal.kind == SignalKind::RingDown {
        return "not driven in this capture, so nothing is said of it".to_owned();
    }
    let field = &check.field;
    let mut parts = vec![match field.burst_count {
        0 => "never on".to_owned(),
        1 => format!(
            "on for {} of the capture, in one burst",
            percent(field.on_fraction)
        ),
        count => format!(
            "on for {} of the capture, in {count} bursts",
            percent(field.on_fraction)
        ),
    }];
    if let Some(repetition) = &field.repetition {
        parts.push(format!(
            "{} every {}",
            quantity(repetition.length_s, "s"),
            quantity(repetition.period_s, "s")
        ));
    }
    if field.dip_count > 0 {
        parts.push(format!("{} sudden losses of level", field.dip_count));
    }
    parts.join(", ")
}

/// Resonance and Q of the ring with the edges that they come from, or why there are none.
pub(crate) fn ring(ring: &Ring) -> String {
    let (Some(resonance), Some(q)) = (ring.resonance_hz, ring.q) else {
        return format!("no resonance measured. {}", ring.reason)
            .trim_end()
            .to_owned();
    };
    if let Some(ring_down) = &ring.ring_down {
        let fitted = ring_down.pole.as_ref().map_or(0, |pole| pole.edges);
        let second = ring_down.pole.as_ref().and_then(second_mode);
        return format!(
            "resonance {}, loaded Q {}, from {fitted} of {} pings{}",
            estimate(resonance, "Hz"),
            estimate(q, ""),
            ring_down.ping_count,
            second.unwrap_or_default()
        );
    }
    let poles = [("on", &ring.turn_on), ("off", &ring.turn_off)];
    let poles = poles
        .into_iter()
        .filter_map(|(name, pole)| Some((name, pole.as_ref()?)));
    let edges: Vec<String> = poles
        .clone()
        .map(|(name, pole)| format!("{} switch-{name}", pole.edges))
        .collect();
    let mut text = format!(
        "resonance {}, loaded Q {}, from {} edges",
        estimate(resonance, "Hz"),
        estimate(q, ""),
        edges.join(" and ")
    );
    if ring.tail != Tail::Free {
        text.push_str("; ");
        text.push_str(tail_words(ring.tail));
    }
    if ring.tail == Tail::Held {
        poles.for_each(|(name, pole)| text.push_str(&edge(name, pole)));
    }
    text
}

fn second_mode(pole: &EdgePole) -> Option<String> {
    Some(format!(
        "; a second mode rings with it at {}, Q {}",
        estimate(pole.second_resonance_hz?, "Hz"),
        estimate(pole.second_q?, "")
    ))
}

fn edge(name: &str, pole: &EdgePole) -> String {
    format!(
        "; switch-{name}: {}, Q {}",
        estimate(pole.resonance_hz, "Hz"),
        estimate(pole.q, "")
    )
}

/// One key: its frame, code, rate, depth and repeats.
pub(crate) fn key(key: &KeyFound) -> String {
    let what = match &key.frame {
        Some(frame) => format!("{} {}", frame_words(&frame.kind), frame.payload),
        None => "answers, but no frame was read".to_owned(),
    };
    let times = match (&key.frame, key.repeats) {
        (None, _) => String::new(),
        (Some(_), 1) => ", read once".to_owned(),
        (Some(_), repeats) => format!(", read {repeats} times"),
    };
    let how = modulation_words(&key.modulation, &key.subcarrier_clocks);
    let how = how.map_or_else(String::new, |how| format!("{how}, "));
    let cycles = if key.modulation == "half_duplex" {
        "cycles"
    } else {
        "carrier cycles"
    };
    format!(
        "{what}: {how}{}, {} {cycles} a bit, depth {}{times}",
        line_code_words(&key.line_code),
        key.clocks_per_bit,
        percent(key.depth.value)
    )
}

/// This capture over the known-good one.
pub(crate) fn against(comparison: &Comparison) -> String {
    let mut parts = Vec::new();
    if let Some(ratio) = comparison.level_ratio {
        parts.push(format!("level × {ratio:.3}"));
    }
    if let Some(ratio) = comparison.resonance_ratio {
        parts.push(format!("resonance × {}", estimate(ratio, "")));
    }
    if let Some(ratio) = comparison.q_ratio {
        parts.push(format!("Q × {}", estimate(ratio, "")));
    }
    if let Some(ratio) = comparison.depth_ratio {
        parts.push(format!("key depth × {ratio:.3}"));
    }
    if parts.is_empty() {
        parts.push("nothing in common could be measured".to_owned());
    }
    format!("{} ({})", parts.join(", "), comparison.file)
}

fn level(amplitude: f64, unit: Unit) -> String {
    match unit {
        Unit::Volt => quantity(amplitude, "V"),
        Unit::FullScale => format!("{} of full scale", percent(amplitude)),
        Unit::Unknown => format!("{amplitude:.4} (unit not stated)"),
    }
}
