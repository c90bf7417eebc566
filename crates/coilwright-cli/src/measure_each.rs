//! Measures several captures at once and hands them over in the order in which they were named.

use std::collections::BTreeMap;
use std::num::NonZero;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use coilwright_diagnose::{CheckError, Measurement};

use crate::inputs::Inputs;
use crate::progress::Bars;

/// Captures in work at once, at most; each takes some 12 MB whatever its length.
const AT_ONCE_AT_MOST: usize = 8;
/// Captures begun for each one in work; those that are done early wait for the ones named before them.
const BEGUN_PER_WORKER: usize = 4;

type Outcome = Result<Measurement, CheckError>;

/// Measures each of the paths, as many at once as there are processors, and calls `take` with the outcomes in the
/// order of the paths.
pub(crate) fn measure_each(
    inputs: &Inputs,
    paths: &[PathBuf],
    bars: &Bars,
    mut take: impl FnMut(Outcome),
) {
    let processors = thread::available_parallelism().map_or(1, NonZero::get);
    let workers = processors.min(AT_ONCE_AT_MOST).min(paths.len());
    if workers < 2 {
        for path in paths {
            take(inputs.measure(path, bars));
        }
        return;
    }
    let (tickets, waiting) = channel();
    let waiting = Mutex::new(waiting);
    thread::scope(|scope| {
        let (done, outcomes) = channel();
        for _ in 0..workers {
            let (done, waiting) = (done.clone(), &waiting);
            scope.spawn(move || work(inputs, paths, bars, waiting, &done));
        }
        drop(done);
        let line = Line { tickets, outcomes };
        line.hand_over(paths.len(), BEGUN_PER_WORKER * workers, take);
    });
}

/// To the workers and back.
struct Line {
    tickets: Sender<usize>,
    outcomes: Receiver<(usize, thread::Result<Outcome>)>,
}

impl Line {
    /// Has `count` captures measured, `ahead` of them begun before they can be handed over, and hands them over in order.
    fn hand_over(self, count: usize, ahead: usize, mut take: impl FnMut(Outcome)) {
        let mut begun = 0;
        let mut early = BTreeMap::new();
        for next in 0..count {
            while begun < count.min(next + ahead) {
                // The workers only end once there are no more tickets.
                let _ = self.tickets.send(begun);
                begun += 1;
            }
            while !early.contains_key(&next) {
                let Ok((index, outcome)) = self.outcomes.recv() else {
                    return;
                };
                early.insert(index, outcome);
            }
            match early.remove(&next) {
                Some(Ok(outcome)) => take(outcome),
                Some(Err(panic)) => resume_unwind(panic),
                None => {}
            }
        }
    }
}

/// Measures what the tickets name until there are no more.
fn work(
    inputs: &Inputs,
    paths: &[PathBuf],
    bars: &Bars,
    tickets: &Mutex<Receiver<usize>>,
    done: &Sender<(usize, thread::Result<Outcome>)>,
) {
    let next = || tickets.lock().ok()?.recv().ok();
    while let Some(index) = next() {
        let Some(path) = paths.get(index) else { return };
        // A worker that died silently would be waited for without end.
        let outcome = catch_unwind(AssertUnwindSafe(|| inputs.measure(path, bars)));
        let _ = done.send((index, outcome));
    }
}
