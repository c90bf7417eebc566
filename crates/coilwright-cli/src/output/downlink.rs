use coilwright_diagnose::result::Downlink;
use coilwright_signal::downlink::{Message, Symbol};

use super::number::quantity;
use super::page::Page;

/// Messages that the text shows; the JSON form has more.
const SHOWN: usize = 8;

/// What the reader said, if anything.
pub(crate) fn rows(page: &mut Page, downlink: &Downlink, sample_rate_hz: f64) {
    if downlink.messages.is_empty() {
        return;
    }
    page.headline(&format!(
        "The reader speaks by gaps in the field (messages: {}, gaps: {}).",
        downlink.message_count, downlink.gap_count
    ));
    for message in downlink.messages.iter().take(SHOWN) {
        let (start, end) = message.span.seconds(sample_rate_hz);
        let place = format!("{} to {}", quantity(start, "s"), quantity(end, "s"));
        page.row("Message", &place);
        if message.fits {
            page.row("Symbols", &symbols(message));
        }
        page.row("Intervals", &intervals(message));
        page.row("Does not fit", &unfit(message));
    }
}

/// Symbols in groups of eight, so that a line can break between them.
fn symbols(message: &Message) -> String {
    let letters: Vec<char> = message.text().chars().collect();
    let groups: Vec<String> = letters
        .chunks(8)
        .map(|group| group.iter().collect())
        .collect();
    format!("{} (pulse intervals, V a violation)", groups.join(" "))
}

/// The mean lengths in carrier cycles.
fn intervals(message: &Message) -> String {
    let mean = |lengths: Vec<f64>| lengths.iter().sum::<f64>() / lengths.len().max(1) as f64;
    let gap = mean(
        message
            .intervals
            .iter()
            .map(|interval| interval.gap_clocks)
            .collect(),
    );
    let of = |symbol: Option<Symbol>| {
        let alike = message
            .intervals
            .iter()
            .filter(|interval| interval.symbol == symbol);
        let lengths: Vec<f64> = alike.map(|interval| interval.clocks).collect();
        let name = symbol.map_or('?', Symbol::letter);
        (!lengths.is_empty()).then(|| format!("{name} {:.1}", mean(lengths)))
    };
    let kinds = [
        Some(Symbol::Zero),
        Some(Symbol::One),
        Some(Symbol::Violation),
        None,
    ];
    let means: Vec<String> = kinds.into_iter().filter_map(of).collect();
    format!(
        "{} carrier cycles in the mean, gaps of {gap:.1}",
        means.join(", ")
    )
}

fn unfit(message: &Message) -> String {
    let count = message.interval_count;
    if message.fits && message.unfit_count == 0 && message.unfit_gap_count == 0 {
        return format!("nothing of {count} intervals");
    }
    let gaps = format!(
        "{} gaps longer or shorter than 4 to 10 cycles",
        message.unfit_gap_count
    );
    if message.fits {
        format!("{} of {count} intervals, {gaps}", message.unfit_count)
    } else {
        format!(
            "{} of {count} intervals: these are no pulse intervals of 18 to 38 cycles, but another coding or a joint that \
             breaks; {gaps}",
            message.unfit_count
        )
    }
}
