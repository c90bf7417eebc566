//! The faults as a page for people, made from the very numbers that the verdict weighs.

use std::fmt::Write as _;

use super::{PROFILES, Profile};
use crate::density::Normal;
use crate::limits;
use crate::result::Fault;

/// The documentation of each fault's own file, in the order of [`PROFILES`].
const SOURCES: [&str; PROFILES.len()] = [
    include_str!("none.rs"),
    include_str!("no_field.rs"),
    include_str!("ring_shorted.rs"),
    include_str!("turns_shorted.rs"),
    include_str!("metal_near.rs"),
    include_str!("tuning_drifted.rs"),
    include_str!("drive_weak.rs"),
    include_str!("joint_intermittent.rs"),
    include_str!("carrier_off.rs"),
    include_str!("key_silent.rs"),
    include_str!("key_weak.rs"),
    include_str!("keys_collide.rs"),
    include_str!("interference.rs"),
    include_str!("cannot_tell.rs"),
];

/// Returns Markdown with one section a fault: what it is, what it does to the measurements, what one capture cannot split, and
/// what confirms it. `docs/faults.md` is this text.
///
/// ```
/// let page = coilwright_diagnose::fault_pages();
/// assert!(page.contains("## `metal_near`"));
/// ```
#[must_use]
pub fn fault_pages() -> String {
    let mut page = String::from(HEAD);
    limits_table(&mut page);
    for (profile, source) in PROFILES.iter().zip(SOURCES) {
        section(&mut page, profile, source);
    }
    page
}

const HEAD: &str = "# The faults

Made from the code by `cargo xtask generate`; do not edit.

Each fault has a profile: what it does to the measurements. A verdict weighs all profiles by Bayes' rule. The numbers are of
simulated circuits (no real capture was available) and may be contradicted by real ones; how common a fault is before anything is measured is
common practice, no source. A number given as `a ± b` is a normal population with that mean and standard deviation; several are parts of a
mixture. `ring_open` and `not_driven` have no profile of their own: one capture cannot split them, so they stay
`no_field` until an ohmmeter or an injection test does.

## Limits that findings are held against

| limit | value | origin |
| --- | --- | --- |
";

fn limits_table(page: &mut String) {
    for (name, limit, unit) in [
        ("carrier off nominal", limits::CARRIER_OFFSET, ""),
        (
            "carrier low against full scale",
            limits::LOW_LEVEL_DB,
            " dB",
        ),
        ("third harmonic strong", limits::THIRD_HARMONIC_DB, " dB"),
        ("ring off its carrier", limits::DETUNING, ""),
        ("ring damped, loaded Q under", limits::LOW_Q, ""),
        ("key weak, depth under", limits::LOW_DEPTH, ""),
        (
            "\"no key\" needs a visible depth under",
            limits::VISIBLE_DEPTH,
            "",
        ),
        (
            "level against a known-good capture",
            limits::LEVEL_CHANGE,
            "",
        ),
        (
            "resonance against a known-good capture",
            limits::RESONANCE_CHANGE,
            "",
        ),
        ("Q against a known-good capture", limits::Q_CHANGE, ""),
    ] {
        // Writing to a string cannot fail.
        let _ = writeln!(
            page,
            "| {name} | {}{unit} | {} |",
            limit.value, limit.origin
        );
    }
}

fn section(page: &mut String, profile: &Profile, source: &str) {
    let _ = writeln!(page, "\n## `{}`\n", profile.fault.id());
    let _ = writeln!(page, "{}\n", documentation(source));
    let _ = writeln!(page, "**The verdict says:** {}\n", profile.sentence);
    let _ = writeln!(
        page,
        "**Before any measurement:** {} of calls.\n",
        percent(profile.prior)
    );
    page.push_str("**Evidence:**\n\n");
    for line in evidence(profile) {
        let _ = writeln!(page, "- {line}");
    }
    if !profile.cannot_split.is_empty() {
        let _ = writeln!(page, "\n**Cannot be split:** {}", profile.cannot_split);
    }
    page.push_str("\n**What confirms it, to be measured next:**\n\n");
    for (number, (action, tells)) in (1..).zip(profile.next) {
        let _ = writeln!(page, "{number}. {action} *{tells}*");
    }
}

/// The text of a file's own `//!` lines.
fn documentation(source: &str) -> String {
    source
        .lines()
        .map_while(|line| line.strip_prefix("//!"))
        .map(|line| line.strip_prefix(' ').unwrap_or(line))
        .collect::<Vec<_>>()
        .join("\n")
}

/// What differs from a working lock; for the working lock itself, everything.
fn evidence(profile: &Profile) -> Vec<String> {
    let usual = &Profile::WORKING_LOCK;
    let all = profile.fault == Fault::None;
    let cases = [
        (
            "field: present, a trace, absent",
            &profile.field[..],
            &usual.field[..],
        ),
        (
            "ring at its edges: measured, gone within a cycle, unexplained, too weak to be the ring",
            &profile.ring,
            &usual.ring,
        ),
        (
            "key: reads, unreadable, two at once, silent",
            &profile.key,
            &usual.key,
        ),
        (
            "drop-outs: none, doubtful, irregular",
            &profile.dropouts,
            &usual.dropouts,
        ),
        (
            "interference: none, mild, strong",
            &profile.interference,
            &usual.interference,
        ),
        (
            "recording: fit, doubtful, unfit",
            &profile.recording,
            &usual.recording,
        ),
    ];
    let populations = [
        (
            "carrier over full scale, dB",
            profile.level_db,
            usual.level_db,
        ),
        (
            "third harmonic over fundamental, dB",
            profile.third_harmonic_db,
            usual.third_harmonic_db,
        ),
        (
            "carrier over nominal, less 1",
            profile.carrier_offset,
            usual.carrier_offset,
        ),
        (
            "ln of resonance over carrier",
            profile.detuning,
            usual.detuning,
        ),
        ("ln of loaded Q", profile.ln_q, usual.ln_q),
        ("ln of key depth", profile.ln_depth, usual.ln_depth),
        (
            "ln of level against known-good",
            profile.against_level,
            usual.against_level,
        ),
        (
            "ln of resonance against known-good",
            profile.against_resonance,
            usual.against_resonance,
        ),
        (
            "ln of Q against known-good",
            profile.against_q,
            usual.against_q,
        ),
    ];
    let shares = cases
        .into_iter()
        .filter(|(_, own, usual)| all || own != usual)
        .map(|(name, own, _)| {
            let shares: Vec<String> = own.iter().map(|&share| percent(share)).collect();
            format!("{name}: {}", shares.join(", "))
        });
    let mixtures = populations
        .into_iter()
        .filter(|(_, own, usual)| all || mixture(own) != mixture(usual))
        .map(|(name, own, _)| format!("{name}: {}", mixture(own)));
    let mut lines: Vec<String> = shares.chain(mixtures).collect();
    if !all {
        lines.push("all else as in a working lock (`none`)".to_owned());
    }
    lines
}

fn mixture(parts: &[Normal]) -> String {
    parts
        .iter()
        .map(|part| {
            let population = format!("{} ± {}", part.mean, part.std_dev);
            if parts.len() == 1 {
                population
            } else {
                format!("{population} ({})", percent(part.weight))
            }
        })
        .collect::<Vec<_>>()
        .join(" or ")
}

fn percent(share: f64) -> String {
    format!("{} %", (1000.0 * share).round() / 10.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_fault_stands_with_its_own_documentation() {
        for (profile, source) in PROFILES.iter().zip(SOURCES) {
            let variant = format!("fault: Fault::{:?},", profile.fault);
            assert!(source.contains(&variant), "{variant}");
            assert!(documentation(source).len() > 20, "{variant}");
        }
    }

    #[test]
    fn a_fault_lists_only_what_differs() {
        let lines = evidence(super::super::profile_of(Fault::KeysCollide));
        assert!(lines.iter().any(|line| line.starts_with("key:")));
        assert!(lines.iter().all(|line| !line.starts_with("field:")));
    }
}
