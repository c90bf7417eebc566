//! Measures several files at once and hands the outcomes over in the order in which the files were named.

use std::collections::BTreeMap;
use std::num::NonZero;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

/// Files in work at once, at most; a capture takes some 12 MB whatever its length.
const AT_ONCE_AT_MOST: usize = 8;
/// Files begun for each one in work; those that are done early wait for the ones named before them.
const BEGUN_PER_WORKER: usize = 4;

/// Measures each of the paths, as many at once as there are processors, and calls `take` with the outcomes in the
/// order of the paths.
pub(crate) fn measure_each<T: Send>(
    paths: &[PathBuf],
    measure: impl Fn(&Path) -> T + Sync,
    mut take: impl FnMut(T),
) {
    let processors = thread::available_parallelism().map_or(1, NonZero::get);
    let workers = processors.min(AT_ONCE_AT_MOST).min(paths.len());
    if workers < 2 {
        for path in paths {
            take(measure(path));
        }
        return;
    }
    let (tickets, waiting) = channel();
    let waiting = Mutex::new(waiting);
    thread::scope(|scope| {
        let (done, outcomes) = channel();
        for _ in 0..workers {
            let (done, waiting, measure) = (done.clone(), &waiting, &measure);
            scope.spawn(move || work(paths, measure, waiting, &done));
        }
        drop(done);
        let line = Line { tickets, outcomes };
        line.hand_over(paths.len(), BEGUN_PER_WORKER * workers, take);
    });
}

/// To the workers and back.
struct Line<T> {
    tickets: Sender<usize>,
    outcomes: Receiver<(usize, thread::Result<T>)>,
}

impl<T> Line<T> {
    /// Has `count` files measured, `ahead` of them begun before they can be handed over, and hands them over in order.
    fn hand_over(self, count: usize, ahead: usize, mut take: impl FnMut(T)) {
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
fn work<T>(
    paths: &[PathBuf],
    measure: &impl Fn(&Path) -> T,
    tickets: &Mutex<Receiver<usize>>,
    done: &Sender<(usize, thread::Result<T>)>,
) {
    let next = || tickets.lock().ok()?.recv().ok();
    while let Some(index) = next() {
        let Some(path) = paths.get(index) else { return };
        // A worker that died silently would be waited for without end.
        let outcome = catch_unwind(AssertUnwindSafe(|| measure(path)));
        let _ = done.send((index, outcome));
    }
}
