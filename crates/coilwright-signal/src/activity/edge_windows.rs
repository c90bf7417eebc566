/// Raw samples round an edge, for the fit of the ring.
#[derive(Clone, Debug, PartialEq)]
pub struct EdgeWindow {
    /// The edge in [`Activity::edges`](super::Activity::edges).
    pub edge_index: usize,
    /// Position of the first sample in the capture.
    pub first_sample: u64,
    /// The samples, I, Q pairs for a complex capture; up to the next change of level at most.
    pub samples: Vec<f32>,
}

/// A window kept for a change of level that may turn out to be an edge.
#[derive(Clone, Debug)]
pub(super) struct KeptWindow {
    pub(super) segment: usize,
    pub(super) first_sample: u64,
    pub(super) samples: Vec<f32>,
}

/// The first changes are all kept, the later ones are sampled evenly.
const FIRST_KEPT: usize = 16;
const LATER_KEPT: usize = 16;

/// Windows of one direction: the first few and a fair choice of the later ones.
#[derive(Debug)]
pub(super) struct WindowStore {
    first: Vec<KeptWindow>,
    later: Vec<KeptWindow>,
    later_seen: u64,
    random: u64,
}

impl WindowStore {
    pub(super) const fn new() -> Self {
        Self {
            first: Vec::new(),
            later: Vec::new(),
            later_seen: 0,
            random: 0x9E37_79B9_7F4A_7C15,
        }
    }

    /// Keeps the window or not; it is only cut out if it is kept.
    pub(super) fn offer(&mut self, cut: impl FnOnce() -> KeptWindow) {
        if self.first.len() < FIRST_KEPT {
            self.first.push(cut());
            return;
        }
        self.later_seen += 1;
        if self.later.len() < LATER_KEPT {
            self.later.push(cut());
            return;
        }
        let slot = self.next_random() % self.later_seen;
        if let Some(place) = usize::try_from(slot)
            .ok()
            .and_then(|slot| self.later.get_mut(slot))
        {
            *place = cut();
        }
    }

    /// Forgets the window of a change that was cancelled.
    pub(super) fn forget(&mut self, segment: usize) {
        self.first.retain(|window| window.segment != segment);
        self.later.retain(|window| window.segment != segment);
    }

    pub(super) fn into_windows(self) -> impl Iterator<Item = KeptWindow> {
        self.first.into_iter().chain(self.later)
    }

    /// Xorshift: the choice must be the same in every run.
    fn next_random(&mut self) -> u64 {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        self.random
    }
}
