//! What is unusual about a ground: what an official, a league or a surveyor would remark on.

use super::{Departed, Sizes};
use crate::boundary::{AxisFrom, NoEllipse, Side};
use crate::ground::{ArcAndSquare, Oval, Parting, Square};
use crate::officiate::Start;
use crate::rules::{Method, RuleSet, Sourced};
use crate::units::print::{PlusMinus, fixed, measured, plain};
use crate::units::{Call, Measured};
use crate::venue::Venue;

/// Half-widths that differ by more than this are worth a row, m, where the survey can tell.
const LOPSIDED_M: f64 = 0.5;
/// A goal axis known no better than this, ± degrees, can put the direction to face off by half a fist.
const ROUGH_AXIS_DEG: f64 = 4.0;
/// Acceptable goal axes, degrees east of north (WA Government, Orientation of
/// Outdoor Playing Areas: from 20° west to 45° east of north).
const AXIS_FROM_DEG: f64 = -20.0;
const AXIS_TO_DEG: f64 = 45.0;

/// One thing that is unusual.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unusual {
    /// What is unusual, in a sentence.
    pub text: String,
    /// Does the description of the start stations say it already?
    pub in_start: bool,
    /// Does it matter to an official, rather than to the league or a surveyor?
    pub on_the_line: bool,
}

impl Unusual {
    /// Something that matters to an official.
    pub(super) fn on_the_line(text: String) -> Self {
        Self { text, in_start: false, on_the_line: true }
    }

    /// Something that matters to a league or a surveyor.
    pub(super) fn of_the_record(text: String) -> Self {
        Self { text, in_start: false, on_the_line: false }
    }
}

pub(super) fn unusual(
    venue: &Venue,
    sizes: &Sizes,
    start: Option<&Start>,
    departed: &Result<Vec<Departed>, NoEllipse>,
) -> Vec<Unusual> {
    let mut all = Vec::new();
    no_room(venue.ground.oval(), &mut all);
    if let Some(start) = start {
        short_ground(venue.ground.oval(), start, &mut all);
    }
    all.extend(on_the_line(venue, sizes).into_iter().map(Unusual::on_the_line));
    let mut out = Vec::new();
    let names = &venue.document.names;
    if venue.document.surveys.iter().all(|s| s.method == Some(Method::Phone)) {
        out.push("Surveyed by phone: a walk's error runs on, so the sizes are rough".into());
    }
    out.extend(venue.fit.conflicts.iter().map(|c| format!("Contradiction: {c}")));
    out.extend(super::doubts::shape(venue));
    let r = &venue.document.rules;
    if let Some(length) = &sizes.length {
        limits(r, length, "length", ["length_min_m", "length_max_m"], &mut out);
    }
    if let Some(width) = &sizes.width {
        limits(r, width, "width", ["width_min_m", "width_max_m"], &mut out);
    }
    if let (Some(length), Some(width)) = (&sizes.length, &sizes.width)
        && width.lo95() > length.hi95()
    {
        out.push("Wider than it is long".into());
    }
    let b = venue
        .ground
        .measure(|o| Some(o.boundary().half_width_m(Side::Left) - o.boundary().half_width_m(Side::Right)));
    if let Some(d) = b.filter(|d| d.value().abs() > LOPSIDED_M && d.value().abs() > d.half_width()) {
        let wide = if d.value() > 0.0 { Side::Left } else { Side::Right };
        out.push(format!(
            "{} side {} m farther from the goal axis than {} side",
            names.side(wide),
            fixed(d.value().abs(), 1),
            names.side(wide.other())
        ));
    }
    match departed {
        Ok(all) => {
            let range = venue.document.practice.goal_range_m.value;
            out.extend(Departed::rows(all, venue.ground.oval(), names, range));
        }
        Err(why) => out.push(format!("Where the line departs from an even oval can't be told: {why}")),
    }
    departures(venue, &mut out);
    // Posts are as rough as the rest of the survey: only a miss that stands out from that is reported.
    if venue.fit.post_miss_m > (3.0 * venue.fit.rms_m).max(0.3) {
        out.push(format!("A post stands {} m from where the others put it", fixed(venue.fit.post_miss_m, 1)));
    }
    if venue.document.plane.datum_point().is_some() {
        let axis = venue.ground.oval().plan().axis().degrees();
        let east = if axis > 180.0 { axis - 360.0 } else { axis };
        let east = if east > 90.0 {
            east - 180.0
        } else if east < -90.0 {
            east + 180.0
        } else {
            east
        };
        if !(AXIS_FROM_DEG..=AXIS_TO_DEG).contains(&east) {
            out.push(format!(
                "Goal axis {}° {} of north: low sun along it",
                fixed(east.abs(), 0),
                if east < 0.0 { "west" } else { "east" }
            ));
        }
    }
    all.extend(out.into_iter().map(Unusual::of_the_record));
    all
}

/// What matters to officials: goals that were assumed, a part of the line that nobody surveyed, a line that
/// misses its post.
fn on_the_line(venue: &Venue, sizes: &Sizes) -> Vec<String> {
    let mut out = Vec::new();
    match venue.fit.axis_from {
        AxisFrom::LongAxis => out.push("Goals not surveyed: assumed on the longer axis".into()),
        AxisFrom::PostsAtOneEnd => {
            out.push("Posts surveyed at one end only: the other goal line is assumed".into())
        }
        AxisFrom::Posts => {}
    }
    super::doubts::unsurveyed(venue, &mut out);
    if let Some(axis) = sizes.axis_deg.filter(|a| a.half_width() > ROUGH_AXIS_DEG) {
        out.push(format!(
            "The way the goals face is known to ± {}° only: check FACE against the real goals",
            fixed(axis.half_width(), 0)
        ));
    }
    line_misses_posts(venue, &mut out);
    out
}

/// Markings of the rule set that the ground has no room for.
fn no_room(oval: &Oval, out: &mut Vec<Unusual>) {
    if let Square::DoesNotFit { half_m, inside_m } = oval.square() {
        let corner = if inside_m >= 0.0 {
            format!("{} m inside the line", fixed(inside_m, 1))
        } else {
            format!("{} m outside it", fixed(-inside_m, 1))
        };
        let text = format!(
            "A centre square of {} m does not fit: its corner would be {corner}. There is none here",
            plain(2.0 * half_m)
        );
        out.push(Unusual { text, in_start: true, on_the_line: true });
    }
    if let Parting::GoalRange { radius_m, arc_m: Some(arc) } = oval.parting() {
        let text = format!(
            "Arcs of {} m would all but meet in the middle: goal range, {} m from goal, takes their place",
            plain(arc),
            fixed(radius_m, 0)
        );
        out.push(Unusual { text, in_start: true, on_the_line: true });
    }
}

fn short_ground(oval: &Oval, start: &Start, out: &mut Vec<Unusual>) {
    let (Some(angle), Some(kind)) = (start.arc_top_angle_deg, start.arc_and_square) else { return };
    let arc = plain(oval.arc_radius_m().unwrap_or_default());
    let how = match kind {
        ArcAndSquare::Apart(_) => return,
        ArcAndSquare::Cuts => format!("The {arc} m arc cuts the centre square's end edge"),
        ArcAndSquare::Swallows => format!("The centre square's whole end edge lies inside the {arc} m arc"),
    };
    let text =
        format!("{how}: from the start station the arc's top is {}° in from that edge", fixed(angle, 1));
    out.push(Unusual { text, in_start: true, on_the_line: true });
}

fn limits(rules: &RuleSet, m: &Measured, what: &str, [min, max]: [&str; 2], out: &mut Vec<String>) {
    let shown = measured(m, "m", PlusMinus::Unicode);
    let given = |key| rules.get(key).and_then(Sourced::given);
    if let Some(least) = given(min) {
        match m.above(least) {
            Call::No => out.push(format!(
                "{what} {shown}: under the least of {} m ({})",
                plain(least),
                rules.cite(min)
            )),
            Call::TooClose => {
                out.push(format!("{what} {shown}: too close to the least of {} m to call", plain(least)))
            }
            Call::Yes => {}
        }
    }
    if let Some(most) = given(max) {
        match m.above(most) {
            Call::Yes => {
                out.push(format!("{what} {shown}: over the most of {} m ({})", plain(most), rules.cite(max)))
            }
            Call::TooClose => {
                out.push(format!("{what} {shown}: too close to the most of {} m to call", plain(most)))
            }
            Call::No => {}
        }
    }
}

/// The three places where the line is farthest off the fitted oval, by the names of ends and sides.
fn departures(venue: &Venue, out: &mut Vec<String>) {
    let mut said: Vec<String> = Vec::new();
    for off in &venue.fit.departures {
        if said.len() == 3 {
            break;
        }
        let Some(place) = super::doubts::place(venue, off.bearing_deg) else { continue };
        // Worst first, so a place's second stretch adds nothing.
        if said.contains(&place) {
            continue;
        }
        out.push(format!(
            "{place}: the line is {} m {} than the oval that this card is built on",
            fixed(off.mean_m.abs(), 1),
            if off.mean_m < 0.0 { "flatter" } else { "fuller" }
        ));
        said.push(place);
    }
}

/// Behind posts that the painted line misses by more than the ±.
fn line_misses_posts(venue: &Venue, out: &mut Vec<String>) {
    for end in crate::boundary::End::BOTH {
        for side in Side::BOTH {
            let miss =
                venue.ground.measure(|o| Some(o.boundary().off_curve_m(side, o.behind_post(side, end))));
            if let Some(m) = miss.filter(|m| m.value().abs() > m.half_width().max(0.1)) {
                out.push(format!(
                    "{}/{}: the line passes its behind post {} m {}",
                    venue.document.names.end(end),
                    venue.document.names.side(side),
                    fixed(m.value().abs(), 1),
                    if m.value() > 0.0 { "inside" } else { "outside" }
                ));
            }
        }
    }
}
