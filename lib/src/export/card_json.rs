//! The whole briefing of a venue as JSON.

use serde::Serialize;

use super::departure_json::{NamedDepartureRow, named_departure};
use super::ground_json::{GroundRow, ground};
use super::json::{EndRow, MeasuredRow, Number, SCHEMA, SideRow, bearing, deg, m, measured, pretty};
use super::markings_json::{MarkingRow, marking};
use super::moment_json::{PhaseRow, phase};
use super::record_json::{RecordRow, record};
use super::spot_json::{SpotAnswerRow, row};
use super::start_json::{StartsRow, starts};
use super::sun_json::{SunRow, sun};
use super::watch_json::{LimitRow, PostRow, WalkRoundRow, WatchRow, limit, posts, walk_round, watch};
use crate::briefing::{Briefing, Corridor, MomentAnswer, Stands};
use crate::rules::LastDisposal;
use crate::units::TrueBearing;
use crate::venue::{Document, SurveyFile, Venue};

/// Names of the ends.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct EndsRow<'a> {
    a: &'a str,
    b: &'a str,
}

/// Names of the sides.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SidesRow<'a> {
    left: &'a str,
    right: &'a str,
}

/// A venue's names.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct VenueRow<'a> {
    id: &'a str,
    name: &'a str,
    ends: EndsRow<'a>,
    sides: SidesRow<'a>,
}

fn venue_row(d: &Document) -> VenueRow<'_> {
    let ([a, b], [left, right]) = (&d.names.ends, &d.names.sides);
    VenueRow { id: &d.id, name: &d.name, ends: EndsRow { a, b }, sides: SidesRow { left, right } }
}

/// A survey's file, and what was said of it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SurveyRow<'a> {
    file: &'a str,
    method: Option<&'static str>,
    edge: &'static str,
    line_width_m: Option<Number>,
}

fn survey(s: &SurveyFile) -> SurveyRow<'_> {
    SurveyRow {
        file: &s.file,
        method: s.method.map(|k| k.id()),
        edge: s.edge.id(),
        line_width_m: s.line_width_m.map(Number::as_given),
    }
}

/// True bearings from the centre.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct BearingsRow {
    end_a: Number,
    end_b: Number,
    left: Number,
    right: Number,
}

fn bearings(facing: [TrueBearing; 4]) -> BearingsRow {
    let [end_a, end_b, left, right] = facing.map(|b| bearing(b.degrees()));
    BearingsRow { end_a, end_b, left, right }
}

/// A stretch of line where the way back is cut short, and by how much at its worst.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CorridorRow<'a> {
    side: SideRow,
    side_name: &'a str,
    end: EndRow,
    end_name: &'a str,
    from_post_m: Number,
    to_from_post_m: Number,
    limited_by: LimitRow<'a>,
    least_back_m: Option<Number>,
    missing_m: Number,
    blocked: bool,
    at_post: bool,
    off_tangent_deg: Number,
}

fn corridor<'a>(venue: &'a Venue, c: &Corridor) -> CorridorRow<'a> {
    let d = &venue.document;
    CorridorRow {
        side: c.side.into(),
        side_name: d.names.side(c.side),
        end: c.end.into(),
        end_name: d.names.end(c.end),
        from_post_m: m(c.from_m),
        to_from_post_m: m(c.to_m),
        limited_by: limit(venue, c.limit),
        least_back_m: c.least_back_m.map(m),
        missing_m: m(c.missing_m(&d.practice)),
        blocked: c.blocked,
        at_post: c.stands == Stands::AtPost,
        off_tangent_deg: deg(c.off_tangent_deg),
    }
}

/// A spot that has a name, answered.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct NamedSpotRow<'a> {
    name: &'static str,
    #[serde(flatten)]
    answer: SpotAnswerRow<'a>,
}

/// The whole briefing and the phases of a match: `card --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct CardDocument<'a> {
    schema: u32,
    venue: VenueRow<'a>,
    day: String,
    night: bool,
    surveyed: String,
    /// Of the first survey.
    method: Option<&'static str>,
    surveys: Vec<SurveyRow<'a>>,
    record: RecordRow<'a>,
    declination_deg: Option<MeasuredRow>,
    bearings_true_deg: Option<BearingsRow>,
    watch: Vec<WatchRow<'a>>,
    posts: Vec<PostRow<'a>>,
    walk_round: WalkRoundRow<'a>,
    tight_corridors: Vec<CorridorRow<'a>>,
    sun: Option<SunRow<'a>>,
    ground: GroundRow<'a>,
    markings: Vec<MarkingRow>,
    spots: Vec<NamedSpotRow<'a>>,
    stations: StartsRow<'a>,
    phases: Vec<PhaseRow<'a>>,
    /// Null where the league has not said.
    last_disposal_between_arcs: Option<bool>,
    departures: Vec<NamedDepartureRow<'a>>,
    unusual: Vec<&'a str>,
    cautions: &'a [String],
}

/// The whole briefing and the phases of a match: `ovalpeg card --json`.
#[must_use]
pub fn card_json(venue: &Venue, b: &Briefing, phases: &[(&'static str, MomentAnswer)]) -> String {
    let d = &venue.document;
    let spots = b.spots.iter();
    pretty(&CardDocument {
        schema: SCHEMA,
        venue: venue_row(d),
        day: b.day.to_string(),
        night: b.night,
        surveyed: d.surveyed.to_string(),
        method: d.surveys.first().and_then(|s| s.method).map(|k| k.id()),
        surveys: d.surveys.iter().map(survey).collect(),
        record: record(d, b.day),
        declination_deg: b.declination.map(|k| measured(&k.measured_deg())),
        bearings_true_deg: b.facing.map(bearings),
        watch: b.watch.iter().map(|w| watch(venue, w)).collect(),
        posts: posts(venue, b),
        walk_round: walk_round(venue, b),
        tight_corridors: b.corridors.iter().map(|c| corridor(venue, c)).collect(),
        sun: b.sun.as_ref().map(|s| sun(venue, s)),
        ground: ground(venue, &b.sizes),
        markings: b.markings.iter().map(marking).collect(),
        spots: spots
            .map(|(_, _, name, r)| NamedSpotRow { name: name.name(), answer: row(venue, r) })
            .collect(),
        stations: starts(venue, b.start.as_ref()),
        phases: phases.iter().map(|(title, a)| phase(venue, title, a)).collect(),
        last_disposal_between_arcs: match d.rules.last_disposal {
            LastDisposal::BetweenArcs => Some(true),
            LastDisposal::No => Some(false),
            LastDisposal::NotStated => None,
        },
        departures: b.departures.iter().map(|k| named_departure(venue, k)).collect(),
        unusual: b.unusual.iter().map(|u| u.text.as_str()).collect(),
        cautions: &b.cautions,
    })
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;
    use crate::boundary::outlines_for_tests;
    use crate::export::{CARD_COLUMNS, Paper, card, long_card};
    use crate::units::Day;
    use crate::venue::for_tests::venue;

    #[test]
    fn a_ground_of_any_shape_is_registered_opened_and_printed() {
        for (name, outline) in outlines_for_tests() {
            let (v, toml) = venue(&outline, "");
            let model = outline.model();
            assert!(toml.contains(&format!("model = \"{model}\"")), "{name} {toml}");
            let b = crate::briefing::briefing(&v, Day::new(2026, 8, 1).unwrap());
            let json: Value = serde_json::from_str(&card_json(&v, &b, &[])).unwrap();
            let shape = &json["ground"]["boundary"];
            assert_eq!(shape["model"], model, "{name}");
            assert!(shape["semi_axes_m"][0].as_f64().unwrap() > 80.0, "{name}");
            for (key, of) in
                [("side_radius_m", "four-arc"), ("cut", "cut-ellipse"), ("control_points", "freeform")]
            {
                assert_eq!(shape.get(key).is_some(), model == of, "{name} {key}");
            }
            let departures = json["departures"].as_array().unwrap();
            assert_eq!(departures.is_empty(), name.contains("ellipse") || name.contains("without"), "{name}");
            for d in departures {
                let straight = d["kind"] == "straight";
                assert_eq!(d["straight_m"]["value"].is_f64(), straight, "{name}");
                let (from, to) = (d["from_m"].as_f64().unwrap(), d["to_m"].as_f64().unwrap());
                let most = d["most"]["value"].as_f64().unwrap();
                assert!(to > from && (straight || most.abs() >= 0.5), "{name} {d}");
                assert!(d["most"]["sd"].as_f64().unwrap() > 0.0, "{name}");
                assert!(straight || (d["kind"] == "inside") == (most < 0.0), "{name}");
            }
            let paper = Paper::new(CARD_COLUMNS, false);
            let (short, long) = (card(&v, &b, paper), long_card(&v, &b, None, paper));
            let flat = short.split_whitespace().collect::<Vec<_>>().join(" ");
            let spoken = flat.contains("straight for") || flat.contains("best ellipse");
            assert_eq!(spoken, departures.iter().any(|d| d["sure"] == true), "{name} {short}");
            assert!(!short.is_empty() && long.contains("perimeter"), "{name}");
            assert_eq!(long.contains("\nshape  "), model != "ellipse", "{name}");
            assert!(long.lines().all(|l| l.chars().count() < 52), "{name}");
        }
    }
}
