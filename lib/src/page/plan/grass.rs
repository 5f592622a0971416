//! The ground itself: grass, run-off, line and markings.

use super::look::{GRASS, INK, PAINT, TIGHT, UNSURE};
use super::space::Place;
use super::view::{View, off};
use crate::briefing::{Drawing, EdgePoint};
use crate::geometry::{Point, Vector};
use crate::page::{Area, Colour, Group, Path, Role, Stroke};
use crate::units::Invalid;

/// A line whose ± is narrower than this on paper shows none, mm each way.
const LEAST_BAND: f64 = 0.35;
/// Teeth of the hatch are this far apart, mm.
const TEETH: f64 = 0.9;

/// The line on the page, closed.
pub(super) fn edge_of(d: &Drawing, view: &View) -> Vec<Place> {
    d.edge.iter().map(|p| view.at(p.at)).collect()
}

fn polyline(points: impl Iterator<Item = Place>) -> Path {
    Path::polyline(&points.collect::<Vec<_>>())
}

/// The ground with what is painted on it, under everything else.
pub(super) fn ground(d: &Drawing, view: &View) -> Result<Group, Invalid> {
    let mut g = Group::new(Role::Decoration);
    let edge = edge_of(d, view);
    g.push(Area::new(Path::polygon(&edge), GRASS)?);
    run_off(d, view, &mut g)?;
    unsure(d, view, &mut g)?;
    for mark in &d.marks {
        let path = polyline(mark.points.iter().map(|p| view.at(*p)));
        let stroke = Stroke::new(path, 0.28, PAINT)?;
        g.push(if mark.other.is_some() { stroke.dashed(0.9, 0.7)? } else { stroke });
    }
    if d.fence.len() > 1 {
        let path = polyline(d.fence.iter().map(|p| view.at(*p)));
        g.push(Stroke::new(path, 0.3, PAINT)?);
    }
    Ok(g)
}

/// The boundary line, over grass and run-off.
pub(super) fn line(d: &Drawing, view: &View) -> Result<Stroke, Invalid> {
    Ok(Stroke::new(Path::polygon(&edge_of(d, view)), 0.65, INK)?.round())
}

/// The posts: goal posts taller, so larger.
pub(super) fn posts(d: &Drawing, view: &View) -> Result<Group, Invalid> {
    let mut g = Group::new(Role::Decoration);
    for (i, p) in d.posts.iter().enumerate() {
        let goal = matches!(i % 4, 1 | 2);
        let radius = if goal { 0.75 } else { 0.55 };
        g.push(Area::new(Path::circle(view.at(*p), radius), INK)?);
        g.push(Area::new(Path::circle(view.at(*p), 0.45 * radius), Colour::WHITE)?);
    }
    Ok(g)
}

fn outside(view: &View, p: &EdgePoint, by_m: f64) -> Place {
    view.at(p.at + p.normal * by_m)
}

/// Stretches of the edge whose points are alike.
fn runs(edge: &[EdgePoint], alike: impl Fn(&EdgePoint) -> bool) -> Vec<&[EdgePoint]> {
    edge.split(|p| !alike(p)).filter(|run| run.len() > 1).collect()
}

/// A fence farther from the line than this on paper has labels between it and the line, mm.
pub(super) const FENCE_NEAR: f64 = 7.0;

/// Where fences are drawn that labels keep off.
pub(super) fn fences(d: &Drawing, view: &View) -> Vec<Vec<Place>> {
    let near = |p: &EdgePoint| p.fence_m.is_some_and(|m| m * view.mm_per_m() < FENCE_NEAR);
    let mut all: Vec<Vec<Place>> = runs(&d.edge, near)
        .into_iter()
        .map(|run| run.iter().map(|p| outside(view, p, p.fence_m.unwrap_or(0.0))).collect())
        .collect();
    all.push(d.fence.iter().map(|p| view.at(*p)).collect());
    all
}

fn run_off(d: &Drawing, view: &View, g: &mut Group) -> Result<(), Invalid> {
    // A surveyed fence has its own line.
    if d.fence.len() < 2 {
        for run in runs(&d.edge, |p| p.fence_m.is_some()) {
            let path = polyline(run.iter().map(|p| outside(view, p, p.fence_m.unwrap_or(0.0))));
            g.push(Stroke::new(path, 0.22, PAINT)?);
        }
    }
    for run in runs(&d.edge, |p| p.tight) {
        let outer = run.iter().map(|p| outside(view, p, p.fence_m.unwrap_or(0.0)));
        let band: Vec<Place> = outer.chain(run.iter().rev().map(|p| view.at(p.at))).collect();
        g.push(Area::new(Path::polygon(&band), TIGHT)?);
        // Teeth, so that it is seen without colour too.
        let mut since = TEETH;
        for (p, next) in run.iter().zip(run.iter().skip(1)) {
            since += p.at.distance_to(next.at) * view.mm_per_m();
            if since >= TEETH {
                since = 0.0;
                let (a, z) = (view.at(p.at), outside(view, p, p.fence_m.unwrap_or(0.0)));
                if (a.0 - z.0).hypot(a.1 - z.1) > 0.05 {
                    g.push(Stroke::new(Path::line(a, z), 0.22, INK)?);
                }
            }
        }
        let path = polyline(run.iter().map(|p| outside(view, p, p.fence_m.unwrap_or(0.0))));
        g.push(Stroke::new(path, 0.45, INK)?);
    }
    Ok(())
}

/// Where the line may be with 95 %, where that is wide enough to be seen.
fn unsure(d: &Drawing, view: &View, g: &mut Group) -> Result<(), Invalid> {
    for run in runs(&d.edge, |p| p.half_width_m * view.mm_per_m() > LEAST_BAND) {
        let outer = run.iter().map(|p| outside(view, p, p.half_width_m));
        let inner = run.iter().rev().map(|p| outside(view, p, -p.half_width_m));
        let band: Vec<Place> = outer.chain(inner).collect();
        g.push(Area::new(Path::polygon(&band), UNSURE)?);
    }
    Ok(())
}

/// Does the line show its ± on the page?
pub(super) fn shows_unsure(d: &Drawing, view: &View) -> bool {
    d.edge.iter().any(|p| p.half_width_m * view.mm_per_m() > LEAST_BAND)
}

/// An arrow's head at a place, pointing in a direction of unit length.
pub(super) fn head(at: Place, way: Place, length: f64, colour: Colour) -> Result<Area, Invalid> {
    let back = off(at, way, -length);
    let across = (-way.1, way.0);
    let (l, r) = (off(back, across, 0.38 * length), off(back, across, -0.38 * length));
    Area::new(Path::polygon(&[at, l, r]), colour)
}

/// Left, top, right, bottom of the ground in its own metres: y most and least, x most and least.
pub(super) fn extent(d: &Drawing) -> ([f64; 4], Point<crate::frame::Ground>) {
    let fold =
        |f: fn(f64, f64) -> f64, of: fn(&EdgePoint) -> f64| d.edge.iter().map(of).reduce(f).unwrap_or(0.0);
    let (left, right) = (fold(f64::max, |p| p.at.y), fold(f64::min, |p| p.at.y));
    let (top, bottom) = (fold(f64::max, |p| p.at.x), fold(f64::min, |p| p.at.x));
    let middle = Point::ORIGIN + Vector::new(0.5 * (top + bottom), 0.5 * (left + right));
    ([left, top, right, bottom], middle)
}
