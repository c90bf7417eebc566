use coilwright_diagnose::Check;
use coilwright_diagnose::result::{Finding, SignalKind, Weight};

use super::number::{probability, quantity, sureness};
use super::page::Page;
use super::rows;
use super::words::fault_words;

/// Below this probability the first line says that it is not sure.
const UNSURE: f64 = 0.5;
/// Other faults less likely than this are left to the JSON form.
const WORTH_READING: f64 = 0.03;

/// A check as text: the verdict first, then what was measured, why, and what to do next.
pub(crate) fn check(check: &Check) -> String {
    let mut page = Page::default();
    verdict(&mut page, check);
    measured(&mut page, check);
    reasons(&mut page, check);
    next(&mut page, check);
    page.finish()
}

fn verdict(page: &mut Page, check: &Check) {
    let verdict = &check.verdict;
    if verdict.probability < UNSURE {
        page.headline(&format!("Not sure. The likeliest: {}", verdict.sentence));
    } else {
        page.headline(&verdict.sentence);
    }
    page.paragraph(&format!(
        "How sure: {}, {}.",
        sureness(verdict.probability),
        probability(verdict.probability)
    ));
    let others: Vec<String> = verdict
        .others
        .iter()
        .filter(|other| other.probability >= WORTH_READING)
        .map(|other| {
            format!(
                "{} ({})",
                fault_words(other.fault),
                probability(other.probability)
            )
        })
        .collect();
    if !others.is_empty() {
        page.paragraph(&format!("Also possible: {}.", others.join(", ")));
    }
    if !verdict.cannot_split.is_empty() {
        page.paragraph(&verdict.cannot_split);
    }
}

fn measured(page: &mut Page, check: &Check) {
    page.heading("What was measured");
    page.row("Recording", &rows::recording(&check.file, &check.capture));
    page.row("Signal", &rows::signal(check));
    page.row("Carrier", &rows::carrier(check));
    page.row("Field", &rows::field(check));
    page.row("Ring", &rows::ring(&check.ring));
    if check.signal.kind == SignalKind::RingDown {
        page.row("Key", "none can answer without a field");
    } else if check.keys.is_empty() {
        page.row("Key", "none was read");
    }
    for key in &check.keys {
        page.row("Key", &rows::key(key));
    }
    if let Some(comparison) = &check.against {
        page.row("Against good", &rows::against(comparison));
    }
    for warning in &check.capture.warnings {
        page.row("Note", warning);
    }
}

fn reasons(page: &mut Page, check: &Check) {
    let shown: Vec<&Finding> = check
        .findings
        .iter()
        .filter(|finding| finding.weight != Weight::Minor)
        .collect();
    if !shown.is_empty() {
        page.heading("Why");
    }
    for finding in shown {
        page.item("  - ", &reason(finding));
    }
    if !check.verdict.missing.is_empty() {
        page.heading("Missing for a surer answer");
    }
    for missing in &check.verdict.missing {
        page.item("  - ", missing);
    }
}

fn next(page: &mut Page, check: &Check) {
    if !check.verdict.next.is_empty() {
        page.heading("Measure next");
    }
    for (index, step) in check.verdict.next.iter().enumerate() {
        page.item(&format!("{:3}. ", index + 1), &step.action);
        page.item("     ", &step.tells);
    }
    if !check.cautions.is_empty() {
        page.heading("Take care");
    }
    for caution in &check.cautions {
        page.caution(caution.text());
    }
}

fn reason(finding: &Finding) -> String {
    match finding.limit {
        Some(limit) => format!(
            "{} (limit {}; {})",
            finding.text,
            quantity(limit, finding.unit),
            finding.origin
        ),
        None => finding.text.clone(),
    }
}
