//! Where along the line two grounds differ: stations along the old ground's lines, and stretches of
//! neighbouring stations that changed the same way.

use super::seen::Station;
use super::{StationChange, Stretch};
use crate::boundary::{End, Side};
use crate::ground::{NamedSpot, Oval, SpotRef};

/// Stations on each line: one every 8 or 9 m, which is closer than any detail of the fitted shapes.
pub(super) const STATIONS: usize = 24;

/// The stations of a ground, each in the middle of its part of the line.
pub(super) fn stations(oval: &Oval) -> Vec<Station> {
    let b = oval.boundary();
    Side::BOTH
        .into_iter()
        .flat_map(|side| {
            (0..STATIONS).map(move |i| {
                let from_a_m = (i as f64 + 0.5) * b.line_length_m(side) / STATIONS as f64;
                let chainage_m = b.chainage_from_post_m(side, End::A, from_a_m);
                let at = b.at(chainage_m);
                Station { side, from_a_m, chainage_m, point: at.point, normal: at.normal }
            })
        })
        .collect()
}

/// Stretches of neighbouring stations with significant changes the same way, the greatest change first.
pub(super) fn stretches(oval: &Oval, line: &[StationChange]) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    let mut run: Vec<&StationChange> = Vec::new();
    for (i, s) in line.iter().enumerate() {
        let goes_on = run.last().is_some_and(|last| {
            let step = oval.boundary().line_length_m(s.side) / STATIONS as f64;
            last.side == s.side && same_way(last, s) && (s.from_a_m - last.from_a_m) < 1.5 * step
        });
        if !goes_on || !s.found {
            out.extend(stretch(oval, &std::mem::take(&mut run)));
        }
        if s.found {
            run.push(s);
        }
        if i + 1 == line.len() {
            out.extend(stretch(oval, &std::mem::take(&mut run)));
        }
    }
    out.sort_by(|a, b| b.most.value().abs().total_cmp(&a.most.value().abs()));
    out
}

fn same_way(a: &StationChange, b: &StationChange) -> bool {
    (a.outward.value() > 0.0) == (b.outward.value() > 0.0)
}

fn stretch(oval: &Oval, run: &[&StationChange]) -> Option<Stretch> {
    let (first, last) = (run.first()?, run.last()?);
    let most = run.iter().max_by(|a, b| a.outward.value().abs().total_cmp(&b.outward.value().abs()))?;
    let (side, length) = (first.side, oval.boundary().line_length_m(first.side));
    let half = 0.5 * length / STATIONS as f64;
    let (from, to) = ((first.from_a_m - half).max(0.0), (last.from_a_m + half).min(length));
    let end = if from + to <= length { End::A } else { End::B };
    let (from_m, to_m) = if end == End::A { (from, to) } else { (length - to, length - from) };
    Some(Stretch {
        side,
        end,
        from_m,
        to_m,
        whole_line: run.len() == STATIONS,
        most: most.outward,
        most_at_m: if end == End::A { most.from_a_m } else { most.to_b_m },
        most_chainage_m: most.chainage_m,
        near: near(oval, most),
    })
}

/// The named spot of the line that is nearest to a station, and its end.
fn near(oval: &Oval, s: &StationChange) -> (NamedSpot, End) {
    let goal_range_m = oval.rules().practice.goal_range_m.value;
    let here = |name, end| {
        let spot = oval.spot(SpotRef::Named { side: s.side, end, name }, goal_range_m).ok()?;
        Some((spot.chainage_m - s.chainage_m).abs())
    };
    let mut best = (NamedSpot::Wing, s.from_post().0);
    let mut least = here(best.0, best.1).unwrap_or(f64::INFINITY);
    for end in End::BOTH {
        for name in [NamedSpot::Pocket, NamedSpot::Flank] {
            if let Some(d) = here(name, end).filter(|d| *d < least) {
                (best, least) = ((name, end), d);
            }
        }
    }
    best
}
