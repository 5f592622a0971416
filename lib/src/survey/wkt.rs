//! Well-known text of a geometry (OGC 06-103r4, Simple feature access, part 1, clause 7), perhaps with
//! PostGIS' `SRID=28355;` before it: points, lines, polygons,
//! their multiples and collections, in upper or lower case.
//!
//! Of `Z`, `M` and `ZM` only the height is kept. Curves and surfaces are refused by name. The parser is our
//! own, because the format is only eight keywords and brackets,
//! and every crate for it brings a geometry library.

use super::features::{Shape, Vertex};
use crate::units::{Problem, print};

/// Deepest nesting of collections: nobody nests them, and each level costs stack.
const DEEPEST: usize = 8;

/// A geometry as read.
#[derive(Default)]
pub(super) struct Wkt {
    /// The EPSG code of its coordinate system, if it gives one.
    pub(super) srid: Option<u32>,
    pub(super) parts: Vec<(Shape, Vec<Vertex>)>,
    /// Number of inner rings of polygons, which are not kept.
    pub(super) holes: usize,
}

/// Reads a geometry.
pub(super) fn read(text: &str) -> Result<Wkt, Problem> {
    let mut out = Wkt::default();
    let mut rest = text.trim();
    if rest.get(..5).is_some_and(|s| s.eq_ignore_ascii_case("srid=")) {
        let (srid, geometry) = rest.split_once(';').unwrap_or((rest, ""));
        let number = srid.get(5..).unwrap_or("").trim();
        out.srid = Some(number.parse().map_err(|_| {
            Problem::new(format!("SRID {} is no number of a coordinate system", print::quoted(number)))
                .hint("write SRID=28355;POINT (322511 5812242)")
        })?);
        rest = geometry;
    }
    let mut parser = Parser { rest, out };
    parser.geometry(0)?;
    if !parser.rest.trim().is_empty() {
        return Err(broken(parser.rest, "stands behind the geometry"));
    }
    Ok(parser.out)
}

struct Parser<'a> {
    rest: &'a str,
    out: Wkt,
}

/// Which numbers a position has.
#[derive(Clone, Copy, Default)]
struct Dimensions {
    /// Is the third number a measure and not a height?
    m_alone: bool,
}

fn broken(rest: &str, what: &str) -> Problem {
    Problem::new(format!("the geometry is broken: {} {what}", print::quoted(rest.trim())))
        .hint("write POINT (144.951 -37.803) or LINESTRING (144.951 -37.803, …), in quotes between commas")
}

impl<'a> Parser<'a> {
    fn word(&mut self) -> String {
        self.rest = self.rest.trim_start();
        let end = self.rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        word.to_ascii_uppercase()
    }

    /// Consumes a character if it comes next, and says whether it did.
    fn takes(&mut self, mark: char) -> bool {
        self.rest = self.rest.trim_start();
        let next = self.rest.strip_prefix(mark);
        self.rest = next.unwrap_or(self.rest);
        next.is_some()
    }

    fn expects(&mut self, mark: char) -> Result<(), Problem> {
        if self.takes(mark) {
            return Ok(());
        }
        Err(if self.rest.is_empty() {
            Problem::new(format!("the geometry is cut off: '{mark}' is missing"))
                .hint("between commas a geometry stands in quotes; or export it with semicolons")
        } else {
            broken(self.rest, &format!("stands where '{mark}' should"))
        })
    }

    fn geometry(&mut self, depth: usize) -> Result<(), Problem> {
        let before = self.rest;
        let word = self.word();
        let mut dimensions = word.as_str();
        const KINDS: [&str; 7] = [
            "MULTIPOINT",
            "MULTILINESTRING",
            "MULTIPOLYGON",
            "GEOMETRYCOLLECTION",
            "POINT",
            "LINESTRING",
            "POLYGON",
        ];
        let kind = KINDS.into_iter().find(|k| {
            let rest = word.strip_prefix(k).filter(|d| ["", "Z", "M", "ZM"].contains(d));
            dimensions = rest.unwrap_or(dimensions);
            rest.is_some()
        });
        let Some(kind) = kind else {
            return Err(if word.is_empty() {
                broken(before, "is no geometry")
            } else {
                Problem::new(format!("a geometry of the kind {} is not read", print::quoted(&word)))
                    .hint("export it as points, lines or polygons")
            });
        };
        let mut dimensions = dimensions.to_owned();
        let after_kind = self.rest;
        if dimensions.is_empty() {
            dimensions = self.word();
        }
        if dimensions == "EMPTY" || (!dimensions.is_empty() && self.is_empty()) {
            return Ok(());
        }
        if !["", "Z", "M", "ZM"].contains(&dimensions.as_str()) {
            return Err(broken(after_kind, "stands where '(' should"));
        }
        let d = Dimensions { m_alone: dimensions == "M" };
        match kind {
            "POINT" => {
                let points = self.positions(d)?;
                if points.len() != 1 {
                    return Err(Problem::new(format!("a POINT of {} positions", points.len())));
                }
                self.out.parts.push((Shape::Point, points));
            }
            "LINESTRING" => {
                let points = self.positions(d)?;
                self.out.parts.push((Shape::Line, points));
            }
            "MULTIPOINT" => self.multipoint(d)?,
            "POLYGON" => self.polygon(d)?,
            "MULTILINESTRING" => self.list(|p| {
                let points = p.positions(d)?;
                p.out.parts.push((Shape::Line, points));
                Ok(())
            })?,
            "MULTIPOLYGON" => self.list(|p| p.polygon(d))?,
            _ if depth >= DEEPEST => {
                return Err(Problem::new(format!("more than {DEEPEST} collections in each other")));
            }
            _ => self.list(|p| p.geometry(depth + 1))?,
        }
        Ok(())
    }

    fn is_empty(&mut self) -> bool {
        let before = self.rest;
        let empty = self.word() == "EMPTY";
        if !empty {
            self.rest = before;
        }
        empty
    }

    /// A list in brackets, separated by commas.
    fn list(&mut self, mut thing: impl FnMut(&mut Self) -> Result<(), Problem>) -> Result<(), Problem> {
        self.expects('(')?;
        loop {
            let before = self.rest.len();
            if !self.is_empty() {
                thing(self)?;
            }
            // Each round consumes something, so the length of the text bounds the loop.
            if !self.takes(',') || self.rest.len() == before {
                break;
            }
        }
        self.expects(')')
    }

    fn positions(&mut self, d: Dimensions) -> Result<Vec<Vertex>, Problem> {
        let mut points = Vec::new();
        self.list(|p| {
            points.push(p.position(d, points.len() + 1)?);
            Ok(())
        })?;
        Ok(points)
    }

    /// A MULTIPOINT, with or without brackets around each point.
    fn multipoint(&mut self, d: Dimensions) -> Result<(), Problem> {
        self.list(|p| {
            let bracket = p.takes('(');
            let at = p.position(d, 1)?;
            if bracket {
                p.expects(')')?;
            }
            p.out.parts.push((Shape::Point, vec![at]));
            Ok(())
        })
    }

    fn polygon(&mut self, d: Dimensions) -> Result<(), Problem> {
        let mut rings = 0;
        self.list(|p| {
            let ring = p.positions(d)?;
            rings += 1;
            if rings == 1 {
                p.out.parts.push((Shape::Ring, ring));
            } else {
                p.out.holes += 1;
            }
            Ok(())
        })
    }

    fn position(&mut self, d: Dimensions, number: usize) -> Result<Vertex, Problem> {
        let mut values: Vec<f64> = Vec::new();
        // At most four numbers, and a fifth to see that there are too many.
        for _ in 0..5 {
            self.rest = self.rest.trim_start();
            let end = self
                .rest
                .find(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '+')))
                .unwrap_or(self.rest.len());
            let (text, rest) = self.rest.split_at(end);
            if text.is_empty() {
                break;
            }
            match text.parse::<f64>() {
                Ok(v) if v.is_finite() => values.push(v),
                _ => return Err(broken(self.rest, "is no number")),
            }
            self.rest = rest;
        }
        match values.as_slice() {
            [east, north, more @ ..] if more.len() <= 2 => {
                let height = more.first().copied().filter(|_| !d.m_alone);
                Ok(Vertex { height, ..Vertex::new(*east, *north, number) })
            }
            _ => Err(broken(self.rest, "comes after a position of one number or too many")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Positions = Vec<(f64, f64, Option<f64>)>;

    /// Shape, positions and heights of each part.
    fn parts(text: &str) -> Vec<(Shape, Positions)> {
        let of = |v: Vec<Vertex>| v.into_iter().map(|v| (v.east, v.north, v.height)).collect();
        read(text).map_err(|p| p.to_string()).unwrap().parts.into_iter().map(|(s, v)| (s, of(v))).collect()
    }

    #[test]
    fn every_kind_in_every_spelling() {
        let point = |h| vec![(Shape::Point, vec![(144.9, -37.8, h)])];
        assert_eq!(parts("POINT (144.9 -37.8)"), point(None));
        assert_eq!(parts(" point(1.449e2 -37.8) "), point(None));
        assert_eq!(parts("POINT Z (144.9 -37.8 12)"), point(Some(12.0)));
        assert_eq!(parts("POINTZ(144.9 -37.8 12)"), point(Some(12.0)));
        assert_eq!(parts("POINT (144.9 -37.8 12)"), point(Some(12.0)));
        assert_eq!(parts("POINT M (144.9 -37.8 12)"), point(None));
        assert_eq!(parts("Point ZM (144.9 -37.8 12 3)"), point(Some(12.0)));
        let two = vec![(1.0, 2.0, None), (3.0, 4.0, None)];
        assert_eq!(parts("LINESTRING (1 2, 3 4)"), [(Shape::Line, two.clone())]);
        assert_eq!(
            parts("MULTILINESTRING ((1 2,3 4),(1 2,3 4))"),
            [(Shape::Line, two.clone()), (Shape::Line, two)]
        );
        for multi in [
            "MULTIPOINT (1 2, 3 4)",
            "MULTIPOINT ((1 2), (3 4))",
            "GEOMETRYCOLLECTION (POINT (1 2), POINT (3 4))",
        ] {
            assert_eq!(
                parts(multi),
                [(Shape::Point, vec![(1.0, 2.0, None)]), (Shape::Point, vec![(3.0, 4.0, None)])],
                "{multi}"
            );
        }
        let ring = vec![(0.0, 0.0, None), (4.0, 0.0, None), (4.0, 4.0, None), (0.0, 0.0, None)];
        let polygon = "((0 0,4 0,4 4,0 0),(1 1,2 1,2 2,1 1))";
        assert_eq!(parts(&format!("POLYGON {polygon}")), [(Shape::Ring, ring.clone())]);
        assert_eq!(parts(&format!("MULTIPOLYGON ({polygon})")), [(Shape::Ring, ring)]);
        assert_eq!(read(&format!("POLYGON {polygon}")).ok().unwrap().holes, 1);
        for empty in ["POINT EMPTY", "LINESTRING Z EMPTY", "GEOMETRYCOLLECTION (POINT EMPTY)"] {
            assert!(parts(empty).is_empty(), "{empty}");
        }
    }

    #[test]
    fn the_system_before_it_is_read() {
        let wkt = read("SRID=28355;POINT(322511 5812242)").ok().unwrap();
        assert_eq!((wkt.srid, wkt.parts.len()), (Some(28_355), 1));
        assert_eq!(read("srid=4326; POINT (1 2)").ok().unwrap().srid, Some(4326));
        assert_eq!(read("POINT (1 2)").ok().unwrap().srid, None);
    }

    #[test]
    fn what_is_broken_is_said() {
        for (text, want) in [
            ("LINESTRING (144.9 -37.8", "cut off: ')' is missing"),
            ("POINT (144.9)", "one number or too many"),
            ("POINT (1 2 3 4 5)", "one number or too many"),
            ("POINT (1 x)", "'x)' is no number"),
            ("POINT (1 NaN)", "is no number"),
            ("POINT (1 2) more", "'more' stands behind"),
            ("POINT (1 2, 3 4)", "a POINT of 2 positions"),
            ("CIRCULARSTRING (1 2, 3 4, 5 6)", "'CIRCULARSTRING' is not read"),
            ("0101000020E6100000", "is no geometry"),
            ("SRID=x;POINT (1 2)", "SRID 'x' is no number"),
            ("POINT Q (1 2)", "stands where '(' should"),
            ("", "is no geometry"),
            (&"GEOMETRYCOLLECTION (".repeat(5_000), "collections in each other"),
        ] {
            let e = read(text).err().unwrap().to_string();
            assert!(e.contains(want), "{text:.40}: {e}");
        }
    }
}
