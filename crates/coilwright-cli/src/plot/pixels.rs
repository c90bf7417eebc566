use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::fontdb::Source;
use resvg::usvg::{Options, Tree};
use std::sync::Arc;

/// Pixels a unit of the page, so that small print stays sharp on a dense screen and on paper.
const FINENESS: f32 = 2.0;
/// A page of many keys gets fewer: the picture takes four bytes of memory a pixel.
const MOST_PIXELS: f32 = 24e6;
const FONT: &str = "DejaVu Sans";

/// A page as PNG with its own letters, whatever the machine has; none where it has no size.
pub(super) fn pixels(page: &str) -> Option<Vec<u8>> {
    let mut options = Options::default();
    let fonts = options.fontdb_mut();
    fonts.load_font_source(Source::Binary(Arc::new(dejavu::sans::regular())));
    fonts.set_sans_serif_family(FONT);
    let tree = Tree::from_str(page, &options).ok()?;
    let size = tree.size();
    let fineness = FINENESS.min((MOST_PIXELS / (size.width() * size.height())).sqrt());
    let along = |length: f32| (length * fineness).ceil() as u32;
    let mut picture = Pixmap::new(along(size.width()), along(size.height()))?;
    resvg::render(
        &tree,
        Transform::from_scale(fineness, fineness),
        &mut picture.as_mut(),
    );
    picture.encode_png().ok()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use crate::plot::canvas::{Anchor, BLACK, Canvas, Stroke};

    fn decoded(draw: impl Fn(&mut Canvas), size: (f64, f64)) -> Pixmap {
        let mut canvas = Canvas::new(size.0, size.1);
        draw(&mut canvas);
        Pixmap::decode_png(&pixels(&canvas.finish()).unwrap()).unwrap()
    }

    /// Dark pixels within a part of the page, in units of the page.
    fn dark(picture: &Pixmap, x: (u32, u32), y: (u32, u32)) -> usize {
        let places = (2 * y.0..2 * y.1).flat_map(|row| (2 * x.0..2 * x.1).map(move |c| (c, row)));
        places
            .filter(|(c, row)| picture.pixel(*c, *row).unwrap().red() < 128)
            .count()
    }

    #[test]
    fn lines_and_letters_stand_where_they_were_drawn() {
        let picture = decoded(
            |canvas| {
                canvas.line(&[(10.0, 10.0), (60.0, 10.0)], Stroke::solid(BLACK, 2.0));
                canvas.text((10.0, 40.0), 16.0, Anchor::Start, "125 kHz ± 3 Ω");
            },
            (200.0, 60.0),
        );
        assert_eq!((picture.width(), picture.height()), (400, 120));
        // 50 by 2 units are 100 by 4 pixels.
        assert_eq!(dark(&picture, (0, 200), (0, 20)), 400);
        // Thirteen letters of 16 units are about 120 units long and 12 high; a tenth to a third of that is ink.
        let ink = dark(&picture, (10, 130), (26, 44));
        assert!((600..2000).contains(&ink), "{ink}");
        assert_eq!(dark(&picture, (140, 200), (20, 60)), 0);
    }

    #[test]
    fn a_long_page_is_coarser() {
        let picture = decoded(|_| {}, (1000.0, 24_000.0));
        assert_eq!((picture.width(), picture.height()), (1000, 24_000));
    }
}
