use crate::coil_args::MeasureArgs;
use crate::commands::coil::Sheet;

/// Says which options were given and made no difference, by what was measured.
pub(super) fn note(arguments: &MeasureArgs, sheet: &Sheet) -> Option<String> {
    let is_recording = matches!(
        sheet.kind,
        "ring_down" | "switching_edges" | "silent" | "injection"
    );
    let is_response = matches!(sheet.kind, "sweep" | "response" | "injection");
    let is_untuned = sheet.numbers.iter().any(|entry| entry.key == "at_hz");
    let is_impedance = sheet.kind == "impedance";
    let samples = arguments.samples;
    let options = [
        ("--at", arguments.at.is_some() && !is_untuned),
        ("--accuracy", arguments.accuracy.is_some() && !is_impedance),
        ("--quantity", arguments.quantity.is_some() && !is_response),
        ("--near", arguments.near.is_some() && !is_recording),
        (
            "--signal-kind",
            arguments.signal_kind.is_some() && !is_recording,
        ),
        ("--channel", samples.channel.is_some() && !is_recording),
        (
            "--sample-rate",
            samples.sample_rate.is_some() && !is_recording,
        ),
    ];
    let idle: Vec<&str> = options
        .into_iter()
        .filter_map(|(name, is_idle)| is_idle.then_some(name))
        .collect();
    (!idle.is_empty()).then(|| format!("Without effect on this measurement: {}.", idle.join(", ")))
}
