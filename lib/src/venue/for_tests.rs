//! Venues for tests, made by `register`.

use super::{FitFile, Names, Registration, Said, SurveyBytes, Venue, above_end_mark, open, register};
use crate::boundary::{AxisFrom, End, Outline, Side, Spread};
use crate::frame::{Local, LocalPlane};
use crate::geometry::Point;
use crate::ground::Oval;
use crate::rules::{Edge, RuleSet};
use crate::units::Day;

/// A registered venue of this outline, opened again, and the text of its venue file, with `more` added at its
/// end.
pub(crate) fn venue(outline: &Outline, more: &str) -> (Venue, String) {
    let names = Names { ends: ["Silo".into(), "School".into()], sides: ["Shed".into(), "Road".into()] };
    named(outline, "Test Oval", &names, more)
}

/// As [`venue`], with the given names.
pub(crate) fn named(outline: &Outline, name: &str, names: &Names, more: &str) -> (Venue, String) {
    let n = outline.parameters().len();
    let mut spread = Spread::none();
    for i in 0..n {
        spread.add_axis((0..n).map(|j| if i == j { 0.02 } else { 0.0 }).collect::<Vec<_>>());
    }
    let fit = FitFile {
        outline: outline.clone(),
        spread,
        axis_from: AxisFrom::Posts,
        end_width_m: 19.2,
        points_used: 90,
        points_set_aside: 0,
        rms_m: 0.02,
        largest_m: 0.05,
        largest_bearing_deg: 190.0,
        post_miss_m: 0.01,
        departures: Vec::new(),
        error_lasts_m: None,
        conflicts: Vec::new(),
        also_possible: Vec::new(),
        unsurveyed: Vec::new(),
    };
    let rules = RuleSet::laws();
    let survey = SurveyBytes {
        bytes: b"x,y\n",
        ending: "csv",
        method: None,
        edge: Edge::Outer,
        line_width_m: None,
        said: Said::default(),
    };
    let made = register(&Registration {
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        id: "test-oval",
        name,
        names,
        plane: LocalPlane::own(),
        surveys: &[survey],
        surveyed: Day::new(2026, 3, 14).unwrap(),
        place_sd_m: 0.05,
        point_sd_m: None,
        fit: &fit,
        rules: &rules,
    })
    .unwrap();
    let get = |name: &str| {
        made.files.iter().find(|(n, _)| n == name).map(|(_, b)| b.clone()).ok_or("no such file".to_owned())
    };
    let text = above_end_mark(&String::from_utf8(get("venue.toml").unwrap()).unwrap(), more);
    (open(&text, get).unwrap(), text)
}

/// A hazard of 0.2 m radius for a venue file: `from_post_m` along the line from a behind post, its near edge
/// `off_m` outside the line.
pub(crate) fn hazard(
    outline: &Outline,
    name: &str,
    (side, end): (Side, End),
    from_post_m: f64,
    off_m: f64,
) -> String {
    let at = beside(outline, side, end, from_post_m, off_m + 0.2);
    format!("\n[[hazard]]\nname = \"{name}\"\nx_m = {:.6}\ny_m = {:.6}\nradius_m = 0.2\n", at.x, at.y)
}

/// A tight stretch of fence whose middle is `from_post_m` along the line from a behind post.
pub(crate) fn tight(
    outline: &Outline,
    (side, end): (Side, End),
    from_post_m: f64,
    distance_m: f64,
    along_m: f64,
) -> String {
    let at = beside(outline, side, end, from_post_m, 0.0);
    format!(
        "\n[[fence.tight]]\nx_m = {:.6}\ny_m = {:.6}\ndistance_m = {distance_m:?}\nalong_m = {along_m:?}\n",
        at.x, at.y
    )
}

/// A landmark 1 m wide, `off_m` outside the line at `from_post_m` from a behind post.
pub(crate) fn landmark(
    outline: &Outline,
    name: &str,
    (side, end): (Side, End),
    from_post_m: f64,
    off_m: f64,
) -> String {
    let at = beside(outline, side, end, from_post_m, off_m);
    format!("\n[[landmark]]\nname = \"{name}\"\nx_m = {:.6}\ny_m = {:.6}\nwidth_m = 1.0\n", at.x, at.y)
}

fn beside(outline: &Outline, side: Side, end: End, from_post_m: f64, out_m: f64) -> Point<Local> {
    let oval = Oval::new(outline, RuleSet::laws()).unwrap();
    let b = oval.boundary();
    let foot = b.at(b.chainage_from_post_m(side, end, from_post_m));
    oval.plan().to_local(foot.point + foot.normal * out_m)
}
