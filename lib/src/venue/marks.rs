//! Reads a moved centre square and the markings of other sports from a venue file.

use super::plane_in::local_place;
use super::table::{Source, Table};
use crate::frame::LocalPlane;
use crate::ground::{MarkKind, MarkShape, OtherMark, SquareAt};
use crate::units::Problem;
use crate::units::ranges::{MARK_CORNERS, MARK_RADIUS_M, OTHER_MARKS, SQUARE_MOVED_M, SQUARE_TURN_DEG};

/// Reads `[centre_square]`: where it is painted.
pub(super) fn square_at(root: &mut Table<'_, '_>, s: &mut Source) -> SquareAt {
    if !root.since(s, 2, "centre_square") {
        return SquareAt::default();
    }
    let Some(mut t) = root.table(s, "centre_square") else { return SquareAt::default() };
    let mut get = |key, range| t.number(s, key, range).unwrap_or_default();
    let found = SquareAt {
        along_m: get("along_m", &SQUARE_MOVED_M),
        across_m: get("across_m", &SQUARE_MOVED_M),
        turn_deg: get("turn_deg", &SQUARE_TURN_DEG),
    };
    t.finish(s);
    found
}

/// Reads every `[[other_mark]]`.
pub(super) fn other_marks(root: &mut Table<'_, '_>, s: &mut Source, plane: &LocalPlane) -> Vec<OtherMark> {
    if !root.since(s, 2, "other_mark") {
        return Vec::new();
    }
    root.tables(s, "other_mark", OTHER_MARKS).into_iter().filter_map(|t| other_mark(t, s, plane)).collect()
}

fn other_mark(mut t: Table<'_, '_>, s: &mut Source, plane: &LocalPlane) -> Option<OtherMark> {
    let name = t.must_text(s, "name", "\"soccer pitch\"");
    let at = t.offset_of("kind");
    let kind = t.must_text(s, "kind", "\"line\"").and_then(|id| {
        let found = MarkKind::find(&id);
        if found.is_none() {
            s.problem(
                at,
                Problem::new(format!("kind '{id}' is not known"))
                    .hint(format!("one of {}", MarkKind::ALL.map(MarkKind::id).join(", "))),
            );
        }
        found
    });
    let radius = t.number(s, "radius_m", &MARK_RADIUS_M);
    let corners = t.tables(s, "corner", MARK_CORNERS);
    let closed = t.boolean(s, "closed");
    let offset = t.offset;
    let shape = match radius {
        Some(radius_m) => {
            if !corners.is_empty() || closed.is_some() {
                let p =
                    Problem::new("a circle has no corners and is closed").hint("give radius_m or corners");
                s.problem(offset, p);
            }
            local_place(&mut t, s, plane, "this circle's centre")
                .map(|centre| MarkShape::Circle { centre, radius_m })
        }
        None => corners_of(corners, closed, offset, s, plane),
    };
    t.finish(s);
    Some(OtherMark { name: name?, kind: kind?, shape: shape? })
}

fn corners_of(
    corners: Vec<Table<'_, '_>>,
    closed: Option<bool>,
    offset: usize,
    s: &mut Source,
    plane: &LocalPlane,
) -> Option<MarkShape> {
    let closed = closed.unwrap_or(false);
    let (count, least) = (corners.len(), if closed { 3 } else { 2 });
    let mut line: Vec<_> = corners
        .into_iter()
        .filter_map(|mut t| {
            let at = local_place(&mut t, s, plane, "this corner");
            t.finish(s);
            at
        })
        .collect();
    if count < least {
        let p = Problem::new(format!("this mark has {count} corners, and it takes {least} or more"));
        s.problem(
            offset,
            p.hint("give [[other_mark.corner]]s, or radius_m and the place of the circle's centre"),
        );
        return None;
    }
    if let (true, Some(&first)) = (closed, line.first()) {
        line.push(first);
    }
    (line.len() > count.saturating_sub(1)).then_some(MarkShape::Corners(line))
}

#[cfg(test)]
mod tests {
    use super::super::document::Document;
    use super::super::document::tests::{GOOD_2, with};
    use crate::ground::{MarkKind, MarkShape};

    fn problems(more: &str) -> String {
        Document::parse(&with(GOOD_2, more)).unwrap_err().iter().map(|p| format!("{p}\n")).collect()
    }

    #[test]
    fn a_moved_square_and_other_codes_lines_are_read() {
        let d = Document::parse(&with(
            GOOD_2,
            "[centre_square]\nalong_m = 1.2\nturn_deg = -3\n\
             [[other_mark]]\nname = \"boundary rope\"\nkind = \"rope\"\nx_m = 0\ny_m = 0\nradius_m = 62.5\n\
             [[other_mark]]\nname = \"cricket square\"\nkind = \"area\"\nclosed = true\n\
             corner = [{x_m = 0, y_m = 0}, {x_m = 20, y_m = 0}, {latitude = -36.5, longitude = 145.0}]\n",
        ))
        .unwrap();
        let around = &d.surroundings;
        assert_eq!((around.square_at.along_m, around.square_at.across_m), (1.2, 0.0));
        assert_eq!(around.square_at.turn_deg, -3.0);
        assert_eq!(around.other_marks.len(), 2);
        assert_eq!(around.other_marks[0].kind, MarkKind::Rope);
        let MarkShape::Corners(corners) = &around.other_marks[1].shape else { panic!() };
        assert_eq!((corners.len(), corners[0]), (4, corners[3]));
    }

    #[test]
    fn what_is_wrong_with_them_is_said() {
        let e = problems("[centre_square]\nalong_m = 50\naccros_m = 1\n");
        assert!(e.contains("'along_m' in [centre_square] is 50, outside -30 to 30 m"), "{e}");
        assert!(e.contains("did you mean 'across_m'?"), "{e}");
        let mark = |more: &str| problems(&format!("[[other_mark]]\nname = \"x\"\n{more}"));
        assert!(
            mark("kind = \"lawn\"\nradius_m = 5\nx_m = 0\ny_m = 0\n").contains("one of line, rope, area")
        );
        assert!(mark("kind = \"line\"\n").contains("has 0 corners, and it takes 2 or more"));
        let two = "corner = [{x_m = 0, y_m = 0}, {x_m = 20, y_m = 0}]\n";
        assert!(mark(&format!("kind = \"area\"\nclosed = true\n{two}")).contains("takes 3 or more"));
        assert!(
            mark(&format!("kind = \"line\"\nradius_m = 5\nx_m = 0\ny_m = 0\n{two}")).contains("a circle has")
        );
        assert!(mark("kind = \"rope\"\nradius_m = 5\n").contains("this circle's centre has no place"));
        assert!(mark("kind = \"rope\"\nradius_m = 500\nx_m = 0\ny_m = 0\n").contains("outside 0.5 to 200 m"));
    }
}
