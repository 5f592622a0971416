//! A page as a picture of dots.

use std::collections::BTreeMap;

use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use tiny_skia::{FillRule, LineCap, LineJoin, Paint, PathBuilder, Pixmap, StrokeDash, Transform};

use crate::page::{Area, Colour, Ends, Item, Page, Path, Run, Step, Stroke, Text, Weight};
use crate::units::{Invalid, within};

const MM_PER_INCH: f64 = 25.4;
/// Most dots of a picture: A3 at 600 dots per inch. Each takes four bytes while it is drawn.
const MOST_DOTS: f64 = 70e6;
/// Farther out than this, in dots, nothing is in any picture; a place that is is brought here, where single
/// precision still tells neighbours apart.
const FARTHEST: f64 = 1e6;

/// A page as a PNG, on white, so many dots per inch; it says its size, so that it prints as large as the page.
///
/// # Errors
/// [`Invalid`] for a resolution that is not within 20 to 1,200 dots per inch, or more than 70 million dots.
///
/// # Examples
/// ```
/// use ovalpeg::export::png;
/// use ovalpeg::page::{Page, Paper};
/// let page = Page::new(Paper::A6.size_mm(), "Card", "", Vec::new())?;
/// assert!(png(&page, 72.0)?.starts_with(b"\x89PNG"));
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
pub fn png(page: &Page, dots_per_inch: f64) -> Result<Vec<u8>, Invalid> {
    let dpi = within("a picture's dots per inch", dots_per_inch, 20.0, 1200.0)?;
    let scale = dpi / MM_PER_INCH;
    let (width, height) = ((page.width_mm() * scale).round(), (page.height_mm() * scale).round());
    within("a picture's dots", width * height, 1.0, MOST_DOTS)?;
    let none = Invalid::Impossible { what: "a picture of no dots" };
    let mut dots = Pixmap::new(width as u32, height as u32).ok_or(none)?;
    dots.fill(tiny_skia::Color::WHITE);
    let mut painter = Painter { dots, scale, glyphs: BTreeMap::new() };
    painter.items(page.items());
    encoded(&painter.dots, dpi).map_err(|_| Invalid::Impossible { what: "a picture that no PNG can hold" })
}

/// The file of a picture: without the transparency that it hasn't got.
fn encoded(dots: &Pixmap, dpi: f64) -> Result<Vec<u8>, png::EncodingError> {
    let rgb: Vec<u8> = dots.data().as_chunks::<4>().0.iter().flat_map(|[r, g, b, _]| [*r, *g, *b]).collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, dots.width(), dots.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    let per_metre = (dpi * 1000.0 / MM_PER_INCH).round() as u32;
    let size = png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter };
    encoder.set_pixel_dims(Some(size));
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&rgb)?;
    writer.finish()?;
    Ok(file)
}

struct Painter {
    dots: Pixmap,
    /// Dots per millimetre.
    scale: f64,
    /// Outlines in parts of the size, y up; `None` of a glyph without one.
    glyphs: BTreeMap<(bool, u32), Option<tiny_skia::Path>>,
}

impl Painter {
    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Stroke(stroke) => self.stroke(stroke),
                Item::Area(area) => self.area(area),
                Item::Text(text) => self.text(text),
                Item::Group(group) => self.items(group.items()),
            }
        }
    }

    fn dot(&self, mm: f64) -> f32 {
        (mm * self.scale).clamp(-FARTHEST, FARTHEST) as f32
    }

    fn path(&self, path: &Path) -> Option<tiny_skia::Path> {
        let mut out = PathBuilder::new();
        let at = |mm: f64| self.dot(mm);
        for step in path.steps() {
            match *step {
                Step::Move((x, y)) => out.move_to(at(x), at(y)),
                Step::Line((x, y)) => out.line_to(at(x), at(y)),
                Step::Cubic(a, b, c) => out.cubic_to(at(a.0), at(a.1), at(b.0), at(b.1), at(c.0), at(c.1)),
                Step::Close => out.close(),
            }
        }
        out.finish()
    }

    fn stroke(&mut self, stroke: &Stroke) {
        let Some(path) = self.path(stroke.path()) else { return };
        let look = tiny_skia::Stroke {
            width: self.dot(stroke.width_mm()),
            line_cap: if stroke.ends() == Ends::Round { LineCap::Round } else { LineCap::Butt },
            line_join: LineJoin::Round,
            dash: stroke
                .dash()
                .and_then(|d| StrokeDash::new(vec![self.dot(d.on_mm), self.dot(d.off_mm)], 0.0)),
            ..tiny_skia::Stroke::default()
        };
        self.dots.stroke_path(&path, &paint(stroke.colour()), &look, Transform::identity(), None);
    }

    fn area(&mut self, area: &Area) {
        let Some(path) = self.path(area.path()) else { return };
        self.dots.fill_path(&path, &paint(area.colour()), FillRule::EvenOdd, Transform::identity(), None);
    }

    fn text(&mut self, text: &Text) {
        let (left, y) = text.left_mm();
        let em = text.size_mm();
        for run in text.runs() {
            let Run::Glyphs { glyphs, from_mm, .. } = run else {
                let drawn = text.box_of(run);
                self.items(&drawn);
                continue;
            };
            let mut x = left + from_mm;
            for glyph in glyphs {
                let size = self.dot(em);
                let place = Transform::from_row(size, 0.0, 0.0, -size, self.dot(x), self.dot(y));
                let outline = self
                    .glyphs
                    .entry((text.weight() == Weight::SemiBold, glyph.id))
                    .or_insert_with(|| outline(text.weight(), glyph.id));
                if let Some(outline) = outline {
                    let ink = paint(text.colour());
                    self.dots.fill_path(outline, &ink, FillRule::Winding, place, None);
                }
                x += glyph.advance_em * em;
            }
        }
    }
}

fn paint(colour: Colour) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(colour.red, colour.green, colour.blue, 255);
    paint
}

/// A glyph's outline, one unit to the size, y up.
fn outline(weight: Weight, glyph: u32) -> Option<tiny_skia::Path> {
    let font = FontRef::new(weight.bytes()).ok()?;
    let outline = font.outline_glyphs().get(GlyphId::new(glyph))?;
    let mut pen = Pen(PathBuilder::new());
    outline.draw(DrawSettings::unhinted(Size::new(1.0), LocationRef::default()), &mut pen).ok()?;
    pen.0.finish()
}

struct Pen(PathBuilder);

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(x, y);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.0.quad_to(cx, cy, x, y);
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.0.cubic_to(ax, ay, bx, by, x, y);
    }

    fn close(&mut self) {
        self.0.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::{Anchor, Group, Role};

    fn page(items: Vec<Item>) -> Page {
        Page::new((20.0, 10.0), "Card", "", items).unwrap()
    }

    /// The dots of a picture, row by row, and how many a row has.
    fn read(bytes: &[u8]) -> (Vec<[u8; 3]>, usize) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
        let mut dots = vec![0; reader.output_buffer_size().unwrap()];
        let info = reader.next_frame(&mut dots).unwrap();
        assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Rgb, png::BitDepth::Eight));
        (dots.as_chunks::<3>().0.to_vec(), info.width as usize)
    }

    fn words(said: &str, at: (f64, f64)) -> Text {
        Text::new(said, at, 8.0, Weight::SemiBold, Colour::BLACK).unwrap()
    }

    #[test]
    fn y_runs_down_and_a_dot_has_its_colour() {
        let green = Colour::rgb(0x00_80_40);
        // The lower right quarter.
        let area = Area::new(Path::rectangle(10.0, 5.0, 10.0, 5.0), green).unwrap();
        let bytes = png(&page(vec![area.into()]), 25.4).unwrap();
        let (dots, wide) = read(&bytes);
        assert_eq!((wide, dots.len()), (20, 200));
        for (i, dot) in dots.iter().enumerate() {
            let inside = i % 20 >= 10 && i / 20 >= 5;
            assert_eq!(*dot, if inside { [0x00, 0x80, 0x40] } else { [255; 3] }, "{i}");
        }
        // 25.4 dots per inch are 1,000 per metre.
        let said = [b"pHYs".as_slice(), &1000_u32.to_be_bytes(), &1000_u32.to_be_bytes(), &[1]].concat();
        assert!(bytes.windows(said.len()).any(|window| window == said));
    }

    #[test]
    fn a_text_stands_where_it_was_measured() {
        let text = words("HILL", (10.0, 7.0)).anchored(Anchor::Middle);
        let filled = text.filled();
        let (dots, wide) = read(&png(&page(vec![text.into()]), 254.0).unwrap());
        let dark: Vec<(f64, f64)> = (0..dots.len())
            .filter(|i| dots[*i][0] < 128)
            .map(|i| ((i % wide) as f64 / 10.0, (i / wide) as f64 / 10.0))
            .collect();
        let reach = |of: fn(&(f64, f64)) -> f64| {
            let all = dark.iter().map(of);
            (all.clone().fold(f64::INFINITY, f64::min), all.fold(0.0, f64::max))
        };
        let ((left, right), (top, bottom)) = (reach(|d| d.0), reach(|d| d.1));
        // A capital's stems stand within a fifth of a millimetre of the edges of its place, and it on the baseline.
        assert!(left > filled.left && left < filled.left + 0.4, "{left} {filled:?}");
        assert!(right < filled.right && right > filled.right - 0.5, "{right} {filled:?}");
        let capital = Weight::CAPITAL_EM * 8.0 * crate::page::MM_PER_PT;
        assert!((bottom - 7.0).abs() < 0.15 && (top - (7.0 - capital)).abs() < 0.15, "{top} {bottom}");
    }

    #[test]
    fn the_same_page_is_the_same_bytes_and_a_hole_stays_a_hole() {
        let mut ring = Path::circle((10.0, 5.0), 4.0);
        ring.append(&Path::circle((10.0, 5.0), 2.0));
        let mut group = Group::new(Role::Figure);
        group.push(Area::new(ring, Colour::BLACK).unwrap());
        let laid = page(vec![group.into()]);
        let bytes = png(&laid, 127.0).unwrap();
        assert_eq!(bytes, png(&laid, 127.0).unwrap());
        let (dots, wide) = read(&bytes);
        assert_eq!((dots[25 * wide + 50], dots[25 * wide + 65]), ([255; 3], [0; 3]));
    }

    #[test]
    fn nothing_that_a_name_holds_stops_a_picture() {
        let long = "n".repeat(10_000);
        for name in ["<script>", "\u{202e}\u{0}\u{1b}[31m", "שלום", "粮仓", "🏉👨‍👩‍👧", "\u{10ffff}", "", &long]
        {
            let far = Stroke::new(Path::line((-1e300, 0.0), (1e300, 5.0)), 50.0, Colour::BLACK).unwrap();
            let items = vec![words(name, (1.0, 5.0)).into(), words(name, (1e300, -1e300)).into(), far.into()];
            assert!(png(&page(items), 50.0).is_ok(), "{name:?}");
        }
        // A box is drawn for what the font lacks: more than nothing, and within its place.
        let (dots, _) = read(&png(&page(vec![words("中", (1.0, 5.0)).into()]), 127.0).unwrap());
        assert!(dots.iter().any(|dot| dot[0] < 100));
    }

    #[test]
    fn a_picture_too_coarse_or_too_large_is_refused() {
        for dpi in [0.0, 19.0, 1300.0, f64::NAN] {
            assert!(png(&page(vec![]), dpi).is_err());
        }
        let wall = Page::new((2000.0, 2000.0), "", "", vec![]).unwrap();
        let refused = png(&wall, 600.0).unwrap_err().to_string();
        assert!(refused.starts_with("a picture's dots"), "{refused}");
    }
}
