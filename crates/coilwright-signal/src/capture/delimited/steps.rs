/// Rare steps that must be seen before their spacing can be judged.
const RARE_STEPS: u64 = 3;
/// Rows by which the distances of the rarer step may differ: one, and one more where a time lies half way between two
/// printed ones and goes either way.
const GAP_DIFFERENCE: u64 = 2;
/// Part of a step by which two steps must differ before a row may be missing between them: one lost row makes a step
/// longer by a whole one. Smaller differences are held against the even grid instead.
const LEAST_LOST: f64 = 0.5;

/// Parts steps that rounding made from steps that were lost.
///
/// Where times are printed in units that are not much finer than the step, an even clock shows two steps, one unit
/// apart, and the rarer of them comes at distances that are even but for rounding (a digital straight line).
/// Lost rows show a longer step at uneven distances.
#[derive(Clone, Debug)]
pub(super) struct Steps {
    kinds: [Option<Kind>; 2],
    /// There are more than two steps: the printed unit changes, and rounding cannot be judged this way.
    varied: bool,
}

/// One step that occurs.
#[derive(Clone, Copy, Debug)]
struct Kind {
    step: f64,
    count: u64,
    first_line: u64,
    last_row: u64,
    shortest_gap: u64,
    longest_gap: u64,
}

/// A step that rounding does not explain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OddStep {
    pub(super) line: u64,
    pub(super) found: f64,
    pub(super) expected: f64,
}

impl Steps {
    pub(super) const fn new() -> Self {
        Self {
            kinds: [None; 2],
            varied: false,
        }
    }

    /// Takes the step before this row; steps within `tolerance` are the same.
    pub(super) fn note(&mut self, row: u64, line: u64, step: f64, tolerance: f64) {
        for kind in &mut self.kinds {
            match kind {
                Some(kind) if (kind.step - step).abs() <= tolerance => {
                    let gap = row - kind.last_row;
                    kind.count += 1;
                    kind.last_row = row;
                    kind.shortest_gap = kind.shortest_gap.min(gap);
                    kind.longest_gap = kind.longest_gap.max(gap);
                    return;
                }
                Some(_) => {}
                None => {
                    *kind = Some(Kind {
                        step,
                        count: 1,
                        first_line: line,
                        last_row: row,
                        shortest_gap: u64::MAX,
                        longest_gap: 0,
                    });
                    return;
                }
            }
        }
        self.varied = true;
    }

    /// The first step that is not explained.
    pub(super) fn odd_step(&self) -> Option<OddStep> {
        let [Some(one), Some(other)] = self.kinds else {
            return None;
        };
        let (rare, common) = if one.count < other.count {
            (one, other)
        } else {
            (other, one)
        };
        let even =
            rare.count >= RARE_STEPS && rare.longest_gap - rare.shortest_gap <= GAP_DIFFERENCE;
        let a_row_apart = (rare.step - common.step).abs() > LEAST_LOST * common.step;
        (a_row_apart && !even && !self.varied).then_some(OddStep {
            line: rare.first_line,
            found: rare.step,
            expected: common.step,
        })
    }
}
