use std::fmt::Write as _;

use coilwright_coil::condition::{CoilVerdict, Condition, Finding, Side};
use coilwright_signal::Estimate;

use super::Sheet;
use crate::output::number::{estimate, probability, quantity, sureness};
use crate::output::page::Page;

/// Less likely conditions than this are left to the JSON form.
const WORTH_READING: f64 = 0.03;

/// A sheet as text: the verdict, if any, then the numbers, then what to mind.
pub(crate) fn page(sheet: &Sheet) -> String {
    let mut page = Page::default();
    page.headline(&sheet.subject);
    page.paragraph(&sheet.method);
    if let Some(verdict) = &sheet.verdict {
        condition(&mut page, verdict);
    }
    if !sheet.numbers.is_empty() {
        page.heading("Numbers");
    }
    let mut before = None;
    for entry in &sheet.numbers {
        if let Some(heading) = entry.heading {
            page.heading(heading);
        }
        let value = match entry.std_dev {
            Some(std_dev) => estimate(Estimate::new(entry.value, std_dev), entry.unit),
            None => quantity(entry.value, entry.unit),
        };
        let source = entry.source.as_deref();
        let value = source.map_or(value.clone(), |source| {
            format!("{value} ({})", once(source, before))
        });
        before = source.or(before);
        page.item(&format!("  {:<25}", entry.name), &value);
    }
    if !sheet.notes.is_empty() {
        page.heading("Note");
    }
    for note in &sheet.notes {
        page.item("  - ", note);
    }
    if !sheet.cautions.is_empty() {
        page.heading("Take care");
    }
    for caution in &sheet.cautions {
        page.caution(caution);
    }
    page.finish()
}

/// A source in full, or only its accuracy where its formula is that of the number before.
fn once(source: &str, before: Option<&str>) -> String {
    let formula = |text| match str::split_once(text, "; ") {
        Some((accuracy, formula)) if accuracy.starts_with("within") => (Some(accuracy), formula),
        _ => (None, text),
    };
    match (formula(source), before.map(formula)) {
        ((accuracy, this), Some((_, last))) if this == last => match accuracy {
            Some(accuracy) => format!("{accuracy}; as above"),
            None => "as above".to_owned(),
        },
        _ => source.to_owned(),
    }
}

const fn words(condition: Condition) -> &'static str {
    match condition {
        Condition::Sound => "the coil is sound",
        Condition::Open => "the coil is open",
        Condition::Shorted => "the coil is shorted at its terminals",
        Condition::TurnsShorted => "turns of the coil are shorted",
        Condition::CapacitorDrifted => "the tuning capacitor has drifted",
        Condition::MetalNear => "metal is near the coil",
        _ => "none of the faults that are named",
    }
}

fn condition(page: &mut Page, verdict: &CoilVerdict) {
    page.heading("Condition");
    if verdict.condition == Condition::CannotTell {
        page.paragraph("Cannot tell: the numbers leave more than one answer, or fit none.");
    } else {
        let sentence = words(verdict.condition);
        page.paragraph(&format!(
            "Found: {sentence} ({}, {}).",
            sureness(verdict.probability),
            probability(verdict.probability)
        ));
    }
    for likely in &verdict.likely {
        if likely.probability < WORTH_READING {
            continue;
        }
        let size = likely.size_text.as_deref().unwrap_or_default();
        let size = if size.is_empty() {
            String::new()
        } else {
            format!(", {size}")
        };
        page.item(
            "  - ",
            &format!(
                "{}: {}{size}",
                probability(likely.probability),
                words(likely.condition)
            ),
        );
        page.item("    ", likely.physics);
        page.item("    ", &format!("To confirm: {}", likely.confirm));
    }
    page.heading("Why");
    for finding in &verdict.findings {
        page.item("  - ", &reason(finding));
        if finding.is_deviation() {
            page.item("    ", &format!("To confirm: {}", confirm(finding)));
        }
    }
}

/// What would confirm a finding.
const fn confirm(finding: &Finding) -> &'static str {
    match finding {
        Finding::Number { confirm, .. }
        | Finding::Ohmmeter { confirm, .. }
        | Finding::OpenCircuit { confirm, .. }
        | Finding::NoRing { confirm, .. } => confirm,
        _ => "",
    }
}

fn reason(finding: &Finding) -> String {
    match finding {
        Finding::Number {
            number,
            measured,
            low,
            high,
            side,
            origin,
            physics,
            ..
        } => {
            let unit = number.unit();
            let limits = against(
                *side,
                quantity_or_none(*low, unit),
                quantity_or_none(*high, unit),
            );
            format!(
                "{} {} is {limits} ({origin}). {physics}",
                number.name(),
                quantity(measured.value, unit)
            )
        }
        Finding::Ohmmeter { physics, .. }
        | Finding::OpenCircuit { physics, .. }
        | Finding::NoRing { physics, .. } => (*physics).to_owned(),
        _ => String::new(),
    }
}

/// A limit, unless it is none.
fn quantity_or_none(limit: f64, unit: &str) -> Option<String> {
    (limit > 0.0 && limit.is_finite()).then(|| quantity(limit, unit))
}

/// Where a number lies against its limits.
fn against(side: Side, low: Option<String>, high: Option<String>) -> String {
    match (side, low, high) {
        (Side::Within, Some(low), Some(high)) => format!("within {low} to {high}"),
        (Side::Below, Some(low), Some(high)) => format!("below {low} to {high}"),
        (Side::Above, Some(low), Some(high)) => format!("above {low} to {high}"),
        (Side::Below, low, _) => format!("below {}", low.unwrap_or_default()),
        (Side::Above, _, high) => format!("above {}", high.unwrap_or_default()),
        (Side::Within, Some(low), None) => format!("at least {low}"),
        (Side::Within, None, high) => format!("at most {}", high.unwrap_or_default()),
    }
}

/// Several measurements side by side, one line each.
pub(crate) fn table(sheets: &[Sheet]) -> String {
    const COLUMNS: [(&str, &str, &str); 4] = [
        ("resonance_hz", "resonance", "Hz"),
        ("q", "Q", ""),
        ("inductance_henry", "inductance", "H"),
        ("resistance_ohm", "resistance", "Ω"),
    ];
    let mut text = format!("{:<28}", "file");
    // Writing to a string cannot fail.
    for (_, name, _) in COLUMNS {
        let _ = write!(text, "{name:>13}");
    }
    text.push('\n');
    for sheet in sheets {
        let tail: Vec<char> = sheet.subject.chars().rev().take(27).collect();
        let tail: String = tail.into_iter().rev().collect();
        let _ = write!(text, "{tail:<28}");
        for (key, _, unit) in COLUMNS {
            let cell = sheet
                .estimate(key)
                .map_or("-".to_owned(), |e| quantity(e.value, unit));
            let _ = write!(text, "{cell:>13}");
        }
        text.push('\n');
        if let Some(verdict) = &sheet.verdict {
            let _ = writeln!(text, "    {}", judged(verdict));
        }
        if let Some(unjudged) = &sheet.unjudged {
            let mut page = Page::default();
            page.item("    ", unjudged);
            text.push_str(&page.finish());
        }
    }
    text.push_str("Q is unloaded from reflection and impedance, loaded from the others. Deviations\nand the rest: `coil fit` on each file, or --csv.\n");
    text
}

/// A verdict in a few words.
fn judged(verdict: &CoilVerdict) -> String {
    if verdict.condition == Condition::CannotTell {
        return "cannot tell".to_owned();
    }
    format!(
        "{} ({})",
        words(verdict.condition),
        probability(verdict.probability)
    )
}
