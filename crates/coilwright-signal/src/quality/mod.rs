//! What is wrong with the recording itself: clipping, dropouts, DC, hum, interference, quantisation.
#![allow(missing_docs)]
use crate::capture::CaptureInfo;
#[derive(Clone, Debug)]
pub struct Quality {}
pub struct QualityMeter {}
impl QualityMeter {
    pub fn new(_: &CaptureInfo) -> Self {
        Self {}
    }
    pub fn push(&mut self, _: &[f32]) {}
    pub fn finish(self, _: Option<f64>) -> Quality {
        Quality {}
    }
}
