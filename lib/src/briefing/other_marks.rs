//! Markings of other sports: which of them can be mistaken for the boundary line, and which of them an
//! official stands on.

use super::SpotRow;
use super::along::{LineStretch, near};
use super::unusual::Unusual;
use crate::boundary::{End, Side};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::{MarkKind, NamedSpot, OtherMark};
use crate::officiate::Start;
use crate::units::print::fixed;
use crate::venue::{Names, Venue};

/// A mark within this distance of our line counts as beside it, m: the run-off that a new ground should have.
const BESIDE_M: f64 = 5.0;
/// A mark beside our line for at least this length can be mistaken for it, m: the distance that an official
/// stands back. A mark that crosses ours at more than about 35° is beside it over a shorter length.
const ALONGSIDE_M: f64 = 15.0;
/// An official within this distance of a mark stands on it, m: half a stride.
const ON_IT_M: f64 = 0.5;

/// A stretch along which a mark runs beside our line.
struct Alongside {
    side: Side,
    /// Metres along our line from end A's post.
    from_a_m: [f64; 2],
    /// Least and greatest distance outside our line, m.
    outside_m: [f64; 2],
}

/// What the card says about other marks: first what matters to officials, then the rest for the record.
pub(super) fn other_marks(
    venue: &Venue,
    spots: &[(Side, End, NamedSpot, SpotRow)],
    start: Option<&Start>,
) -> Vec<Unusual> {
    let mut out = Vec::new();
    let mut apart: Vec<&str> = Vec::new();
    for mark in &venue.document.surroundings.other_marks {
        let before = out.len();
        let beside = if mark.kind == MarkKind::Area { Vec::new() } else { alongside(venue, mark) };
        out.extend(beside.iter().map(|a| Unusual::on_the_line(words(venue, mark, a))));
        let on = stood_on(venue, mark, spots, start);
        if !on.is_empty() {
            let what = match mark.kind {
                MarkKind::Area => "you stand on it at",
                MarkKind::Rope => "do not trip over it at",
                MarkKind::Line => "it runs through where you stand at",
            };
            out.push(Unusual::on_the_line(format!("{}: {what} {}", mark.name, on.join(", "))));
        }
        if out.len() == before {
            apart.push(&mark.name);
        }
    }
    if !apart.is_empty() {
        out.push(Unusual::of_the_record(format!("Also marked, clear of our line: {}", apart.join(", "))));
    }
    out
}

/// Every part of a mark that runs beside our line.
fn alongside(venue: &Venue, mark: &OtherMark) -> Vec<Alongside> {
    let oval = venue.ground.oval();
    let b = oval.boundary();
    let beside = |p: Point<GroundFrame>| {
        let n = b.nearest(p);
        let from_a = b.to_post_m(n.chainage_m, End::A)?;
        (n.signed_distance_m.abs() <= BESIDE_M).then_some((n.side, from_a, n.signed_distance_m))
    };
    let mut points: Vec<_> = mark.points(oval).into_iter().map(beside).collect();
    if mark.is_closed() {
        // Start where the mark is not beside our line, so that no stretch is split in two.
        points.pop();
        let start = points.iter().position(Option::is_none).unwrap_or(0);
        points.rotate_left(start);
    }
    let mut all: Vec<Alongside> = Vec::new();
    let mut open = false;
    for found in points {
        let Some((side, from_a, outside)) = found else {
            open = false;
            continue;
        };
        match all.last_mut().filter(|a| open && a.side == side) {
            Some(a) => {
                a.from_a_m = [a.from_a_m[0].min(from_a), a.from_a_m[1].max(from_a)];
                a.outside_m = [a.outside_m[0].min(outside), a.outside_m[1].max(outside)];
            }
            None => all.push(Alongside { side, from_a_m: [from_a; 2], outside_m: [outside; 2] }),
        }
        open = true;
    }
    all.retain(|a| a.from_a_m[1] - a.from_a_m[0] >= ALONGSIDE_M);
    all
}

/// A stretch in words: `Road wing, 61 m from Silo post to 70 m from School post: soccer line 1 m inside ours.
/// Do not take it for the line`.
fn words(venue: &Venue, mark: &OtherMark, a: &Alongside) -> String {
    let (oval, names) = (venue.ground.oval(), &venue.document.names);
    let range = venue.document.practice.goal_range_m.value;
    let s = LineStretch::from_a(oval, range, a.side, a.from_a_m[0], a.from_a_m[1]);
    let middle = oval.boundary().chainage_from_post_m(a.side, End::A, 0.5 * (a.from_a_m[0] + a.from_a_m[1]));
    let place = near(oval, range, middle)
        .map_or_else(|| format!("{} line", names.side(a.side)), |place| place.words(names));
    let [least, most] = a.outside_m;
    let off = if least < 0.0 && most > 0.0 {
        "crosses ours".to_owned()
    } else {
        let [near, far] = if most <= 0.0 { [-most, -least] } else { [least, most] };
        let [near, far] = [near, far].map(|m| fixed(m, 0));
        let way = if most <= 0.0 { "inside" } else { "outside" };
        if near == far { format!("{near} m {way} ours") } else { format!("{near} to {far} m {way} ours") }
    };
    format!("{place}, {}: {} {off}. Do not take it for the line", metres(names, &s), mark.name)
}

/// A stretch's place: `61 to 80 m from Silo post`, `61 m from Silo post to 70 m from School post`.
fn metres(names: &Names, s: &LineStretch) -> String {
    let m = |metres| fixed(metres, 0);
    match s.end() {
        Some(end) => {
            let (lo, hi) = (s.from.metres.min(s.to.metres), s.from.metres.max(s.to.metres));
            format!("{} to {} m from {} post", m(lo), m(hi), names.end(end))
        }
        None => format!(
            "{} m from {} post to {} m from {} post",
            m(s.from.metres),
            names.end(s.from.end),
            m(s.to.metres),
            names.end(s.to.end)
        ),
    }
}

/// Which of an official's places lie on a mark, of those to watch the named spots from and the start
/// stations.
fn stood_on(
    venue: &Venue,
    mark: &OtherMark,
    spots: &[(Side, End, NamedSpot, SpotRow)],
    start: Option<&Start>,
) -> Vec<String> {
    let (oval, names) = (venue.ground.oval(), &venue.document.names);
    let range = venue.document.practice.goal_range_m.value;
    let watching = spots.iter().map(|(side, end, name, row)| {
        let place = match name {
            NamedSpot::Wing => format!("{} wing", names.side(*side)),
            _ => format!("{}/{} {}", names.end(*end), names.side(*side), name.label(range)),
        };
        (row.stand.point, place)
    });
    let starting = start.into_iter().flat_map(|s| {
        End::BOTH.into_iter().flat_map(move |end| {
            Side::BOTH.into_iter().map(move |side| {
                (s.station(side, end), format!("{}/{} start", names.end(end), names.side(side)))
            })
        })
    });
    watching
        .chain(starting)
        .filter(|(p, _)| mark.is_stood_on(oval, *p, ON_IT_M))
        .map(|(_, place)| place)
        .collect()
}

#[cfg(test)]
mod tests {
    use crate::briefing::{Unusual, briefing};
    use crate::ground::{outline_for_tests as outline, oval_for_tests as oval};
    use crate::units::Day;
    use crate::venue::for_tests::venue;

    fn said(more: &str) -> Vec<Unusual> {
        let v = venue(&outline(165.0, 135.0), more).0;
        briefing(&v, Day::new(2026, 8, 1).unwrap()).unusual
    }

    fn mark(kind: &str, closed: bool, corners: &[(f64, f64)]) -> String {
        // The outline's axis bears north: x of the ground is north of the plane, y of the ground is west.
        let corners: Vec<String> =
            corners.iter().map(|(x, y)| format!("{{x_m = {:.3}, y_m = {x:.3}}}", -y)).collect();
        format!(
            "[[other_mark]]\nname = \"soccer\"\nkind = \"{kind}\"\nclosed = {closed}\ncorner = [{}]\n",
            corners.join(", ")
        )
    }

    fn texts(all: &[Unusual], on_the_line: bool) -> Vec<&str> {
        all.iter().filter(|u| u.on_the_line == on_the_line).map(|u| u.text.as_str()).collect()
    }

    #[test]
    fn a_line_beside_ours_is_told_where_it_is_and_not_one_that_crosses() {
        // A touch line 2 m inside the left wing: there the ground's line falls away by x²/2R, R = 83.4²/67.5
        // = 103 m, so ours comes to it at x = √(2 · 103 · 2) = 20 m and lies 5 m inside it at x = √(2 · 103 ·
        // 7) = 38 m.
        let along = said(&mark("line", false, &[(60.0, 65.5), (-60.0, 65.5)]));
        let [told] = &texts(&along, true)[..] else { panic!("{along:?}") };
        assert!(told.starts_with("Shed wing, ") && told.contains("soccer crosses ours"), "{told}");
        let metres: Vec<f64> = told.split(' ').filter_map(|w| w.parse().ok()).collect();
        let wing = oval(165.0, 135.0).boundary().line_length_m(crate::boundary::Side::Left) / 2.0;
        assert!(metres.iter().all(|m| (m - (wing - 38.0)).abs() < 4.0), "{told} {wing}");
        // Straight across, wing to wing: nobody mistakes that for the boundary.
        let across = said(&mark("line", false, &[(20.0, 80.0), (20.0, -80.0)]));
        assert_eq!(texts(&across, true), [""; 0]);
        assert!(texts(&across, false).contains(&"Also marked, clear of our line: soccer"), "{across:?}");
    }

    #[test]
    fn a_rope_all_round_is_told_of_each_line_once() {
        let rope = "[[other_mark]]\nname = \"rope\"\nkind = \"rope\"\nx_m = 0\ny_m = 0\nradius_m = 66\n";
        let all = said(rope);
        let told = texts(&all, true);
        assert_eq!(told.iter().filter(|t| t.contains("rope") && t.contains("wing")).count(), 2, "{told:?}");
    }

    #[test]
    fn an_area_is_told_where_an_official_stands_on_it() {
        // On a ground of 165 m a start station is 32.5 m along and 25.5 m across.
        let on = said(&mark("area", true, &[(30.0, 20.0), (40.0, 20.0), (40.0, 30.0), (30.0, 30.0)]));
        assert_eq!(texts(&on, true), ["soccer: you stand on it at Silo/Shed start"]);
        let off = said(&mark("area", true, &[(-12.0, -12.0), (12.0, -12.0), (12.0, 12.0), (-12.0, 12.0)]));
        assert_eq!(texts(&off, true), [""; 0]);
    }
}
