//! Strokes, areas and glyphs onto a page of the PDF.

use krilla::color::rgb;
use krilla::geom::{Path as PdfPath, PathBuilder, Point, Rect};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke as PdfStroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use super::PdfRefused;
use crate::page::{Area, Colour, Ends, Glyph, Item, MM_PER_PT, Path, Run, Step, Stroke, Text, Weight};

/// Farther out than this nothing is on any page; a place that is is brought here, where the file can hold it.
const FARTHEST_PT: f64 = 30_000.0;

/// A length on the page in the file's unit, points.
pub(super) fn pt(mm: f64) -> f32 {
    (mm / MM_PER_PT).clamp(-FARTHEST_PT, FARTHEST_PT) as f32
}

/// A rectangle of left, top, right, bottom in mm; `None` where it has no extent.
pub(super) fn rect([l, t, r, b]: [f64; 4]) -> Option<Rect> {
    Rect::from_ltrb(pt(l), pt(t), pt(r), pt(b))
}

fn colour(colour: Colour) -> rgb::Color {
    rgb::Color::new(colour.red, colour.green, colour.blue)
}

fn path(path: &Path) -> Option<PdfPath> {
    let mut out = PathBuilder::new();
    for step in path.steps() {
        match *step {
            Step::Move((x, y)) => out.move_to(pt(x), pt(y)),
            Step::Line((x, y)) => out.line_to(pt(x), pt(y)),
            Step::Cubic(a, b, c) => out.cubic_to(pt(a.0), pt(a.1), pt(b.0), pt(b.1), pt(c.0), pt(c.1)),
            Step::Close => out.close(),
        }
    }
    out.finish()
}

/// The two fonts, as the file embeds what is used of them.
pub(super) struct Fonts([Font; 2]);

impl Fonts {
    pub(super) fn load() -> Result<Self, PdfRefused> {
        let load = |weight: Weight| {
            Font::new(weight.bytes().into(), 0)
                .ok_or_else(|| PdfRefused::Forbidden { what: vec!["a font that can't be read".to_owned()] })
        };
        Ok(Self([load(Weight::Regular)?, load(Weight::SemiBold)?]))
    }

    fn of(&self, weight: Weight) -> Font {
        self.0[usize::from(weight == Weight::SemiBold)].clone()
    }
}

pub(super) fn stroke(surface: &mut Surface<'_>, stroke: &Stroke) {
    let Some(path) = path(stroke.path()) else { return };
    surface.set_fill(None);
    surface.set_stroke(Some(PdfStroke {
        paint: colour(stroke.colour()).into(),
        width: pt(stroke.width_mm()),
        line_cap: if stroke.ends() == Ends::Round { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        dash: stroke
            .dash()
            .map(|dash| StrokeDash { array: vec![pt(dash.on_mm), pt(dash.off_mm)], offset: 0.0 }),
        ..PdfStroke::default()
    }));
    surface.draw_path(&path);
}

pub(super) fn area(surface: &mut Surface<'_>, area: &Area) {
    let Some(path) = path(area.path()) else { return };
    surface.set_stroke(None);
    surface.set_fill(Some(fill(area.colour())));
    surface.draw_path(&path);
}

fn fill(of: Colour) -> Fill {
    Fill { paint: colour(of).into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

/// One run of a text, whatever it is.
pub(super) fn run(surface: &mut Surface<'_>, fonts: &Fonts, text: &Text, run: &Run) {
    match run {
        Run::Glyphs { text: said, glyphs, from_mm, .. } => {
            let (left, y) = text.left_mm();
            let glyphs: Vec<KrillaGlyph> = glyphs.iter().map(glyph).collect();
            surface.set_stroke(None);
            surface.set_fill(Some(fill(text.colour())));
            let start = Point::from_xy(pt(left + from_mm), pt(y));
            surface.draw_glyphs(start, &glyphs, fonts.of(text.weight()), said, text.size_pt() as f32, false);
        }
        Run::Boxed { .. } => {
            for item in text.box_of(run) {
                match &item {
                    Item::Stroke(frame) => stroke(surface, frame),
                    Item::Area(ground) => area(surface, ground),
                    Item::Text(number) => {
                        number.runs().iter().for_each(|r| self::run(surface, fonts, number, r))
                    }
                    Item::Group(_) => {}
                }
            }
        }
    }
}

fn glyph(glyph: &Glyph) -> KrillaGlyph {
    KrillaGlyph::new(
        GlyphId::new(glyph.id),
        glyph.advance_em as f32,
        0.0,
        0.0,
        0.0,
        glyph.bytes.clone(),
        None,
    )
}
