/// Values of one stretch.
pub(super) const STRETCH_VALUES: usize = 16_384;
const MOST: usize = 16;

/// At most 16 stretches of consecutive values, spread evenly over a stream of unknown length.
///
/// Every `stride`-th stretch is kept; when there are too many, every second one is dropped and the stride doubles.
#[derive(Debug)]
pub(super) struct StretchKeeper {
    kept: Vec<Vec<f32>>,
    filling: Option<Vec<f32>>,
    position: u64,
    stride: u64,
}

impl StretchKeeper {
    pub(super) const fn new() -> Self {
        Self {
            kept: Vec::new(),
            filling: None,
            position: 0,
            stride: STRETCH_VALUES as u64,
        }
    }

    pub(super) fn push(&mut self, mut values: &[f32]) {
        while !values.is_empty() {
            let to_next = self.position.next_multiple_of(self.stride) - self.position;
            if to_next == 0 && self.filling.is_none() {
                self.filling = Some(Vec::with_capacity(STRETCH_VALUES));
            }
            let taken = match &mut self.filling {
                Some(filling) => {
                    let taken = values.len().min(STRETCH_VALUES - filling.len());
                    filling.extend_from_slice(&values[..taken]);
                    taken
                }
                None => values
                    .len()
                    .min(usize::try_from(to_next).unwrap_or(usize::MAX)),
            };
            self.position += taken as u64;
            values = &values[taken..];
            if self
                .filling
                .as_ref()
                .is_some_and(|filling| filling.len() == STRETCH_VALUES)
            {
                self.keep();
            }
        }
    }

    /// The stretches; a capture shorter than one gives what there is.
    pub(super) fn finish(self) -> Vec<Vec<f32>> {
        if self.kept.is_empty() {
            return self.filling.into_iter().collect();
        }
        self.kept
    }

    fn keep(&mut self) {
        self.kept.extend(self.filling.take());
        if self.kept.len() > MOST {
            let mut index = 0;
            self.kept.retain(|_| {
                index += 1;
                index % 2 == 1
            });
            self.stride *= 2;
        }
    }
}
