use coilwright_signal::view::Heard;

/// What a measurement passes on while it listens, for exports and plots.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub enum Passage<'a> {
    /// The listening begins: forget every stretch so far, which was heard at the wrong carrier.
    Restart,
    /// A stretch was listened to. Neighbouring stretches may overlap.
    Heard(Heard<'a>),
}

/// Who is told of every passage; called on another thread.
pub(crate) type Observer<'a> = &'a mut (dyn FnMut(Passage<'_>) + Send);
