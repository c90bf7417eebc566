//! Plots of a decode, of a coil's measurement and of its model, as an SVG picture (Scalable Vector Graphics 1.1) or the same in pixels (PNG), made without any
//! other program.
//!
//! Two colours of Okabe and Ito's palette, dark blue and light orange, stand for 1 and 0; they differ in lightness too, and
//! so do their marks and strokes, so that the picture can be read in grey and with every kind of colour vision.

mod canvas;
mod chart;
mod coil;
mod compared;
mod constellation;
mod eye;
mod front;
mod header;
mod lettering;
mod page;
mod panel;
mod picture;
mod pixels;
mod scale;
mod soft_bits;
mod spectrum;
mod timing;

pub(crate) use chart::{Chart, Histogram, Line, Look, Shown, charts_page};
pub(crate) use coil::{Drawn, Form, coil_page};
pub(crate) use compared::{Compared, compared_page};
pub(crate) use front::{Point, front_page};
pub(crate) use page::page;
pub(crate) use picture::Picture;
