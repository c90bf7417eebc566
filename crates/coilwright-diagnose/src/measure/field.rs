//! When the field was on, in the form of the result.

use coilwright_signal::activity::{Activity, EdgeKind as Direction, Repetition as Seen};

use crate::result::{Burst, Dip, EdgeEvent, EdgeKind, Field, Repetition};

/// Bursts and dips that the result lists at most.
const LISTED: usize = 200;
/// Periods and lengths that vary by more than this share are no regular asking.
const REGULAR: f64 = 0.1;

pub(super) fn field(activity: &Activity, length_samples: u64) -> Field {
    let on: u64 = activity.bursts.iter().map(|burst| burst.span.len()).sum();
    Field {
        on_fraction: on as f64 / length_samples.max(1) as f64,
        bursts: activity
            .bursts
            .iter()
            .take(LISTED)
            .map(|burst| Burst {
                span: burst.span,
                level: burst.level,
            })
            .collect(),
        burst_count: activity.bursts.len() as u64,
        edges: activity
            .edges
            .iter()
            .take(2 * LISTED)
            .map(|edge| EdgeEvent {
                kind: match edge.kind {
                    Direction::On => EdgeKind::On,
                    Direction::Off => EdgeKind::Off,
                },
                sample: edge.sample,
            })
            .collect(),
        dips: activity
            .dips
            .iter()
            .take(LISTED)
            .map(|dip| Dip {
                span: dip.span,
                level_ratio: dip.level_ratio,
            })
            .collect(),
        dip_count: activity.dips.len() as u64,
        repetition: activity.repetition.as_ref().and_then(regular),
    }
}

fn regular(seen: &Seen) -> Option<Repetition> {
    let steady = |variation: Option<f64>| variation.is_none_or(|variation| variation < REGULAR);
    (steady(seen.period_variation) && steady(seen.length_variation)).then_some(Repetition {
        period_s: seen.period_s,
        length_s: seen.length_s?,
    })
}
