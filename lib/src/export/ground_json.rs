//! A ground as JSON: its sizes, its curve, its square and what parts its ends.

use serde::Serialize;

use super::json::{MeasuredRow, Number, PlacedRow, PointRow, deg, m, measured_or_null, point};
use super::spot_json::placed;
use crate::boundary::Side;
use crate::briefing::Sizes;
use crate::frame::Ground as GroundFrame;
use crate::geometry::{Point, Shape};
use crate::ground::{Parting, Square};
use crate::venue::Venue;

/// The closed curve that both lines are parts of. Centre, semi-axes and turn are those
/// of the ellipse, also where it is then cut or departed from, or of the four arcs.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct BoundaryRow {
    model: &'static str,
    centre: PointRow,
    semi_axes_m: [Number; 2],
    turn_deg: Number,
    /// Of an oval of four arcs.
    #[serde(skip_serializing_if = "Option::is_none")]
    end_radius_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    side_radius_m: Option<Number>,
    /// Ends of the straight side of a cut ellipse.
    #[serde(skip_serializing_if = "Option::is_none")]
    cut: Option<[PointRow; 2]>,
    /// Of a periodic uniform cubic B-spline.
    #[serde(skip_serializing_if = "Option::is_none")]
    control_points: Option<Vec<PointRow>>,
}

fn boundary(curve: &Shape<GroundFrame>) -> BoundaryRow {
    let mut row = BoundaryRow {
        model: curve.model(),
        centre: point(curve.centre()),
        semi_axes_m: curve.semi_axes_m().map(m),
        turn_deg: deg(curve.turn_deg()),
        end_radius_m: None,
        side_radius_m: None,
        cut: None,
        control_points: None,
    };
    match curve {
        Shape::FourArc(o) => {
            row.end_radius_m = Some(m(o.end_radius_m()));
            row.side_radius_m = Some(m(o.side_radius_m()));
        }
        Shape::CutEllipse(c) => row.cut = Some(c.chord().map(point)),
        Shape::Freeform(s) => {
            row.control_points = Some(s.control_points().into_iter().map(point).collect());
        }
        _ => {}
    }
    row
}

/// The centre square, and whether there is room for it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SquareRow {
    fits: bool,
    side_m: Number,
    /// How far inside the line the worst corner is, where it does not fit; negative outside.
    #[serde(skip_serializing_if = "Option::is_none")]
    corner_inside_m: Option<Number>,
}

fn square(s: &Square) -> Option<SquareRow> {
    let (half, inside) = match *s {
        Square::Fits { half_m } => (half_m, None),
        Square::DoesNotFit { half_m, inside_m } => (half_m, Some(inside_m)),
        Square::NotInTheRules => return None,
    };
    Some(SquareRow { fits: inside.is_none(), side_m: m(2.0 * half), corner_inside_m: inside.map(m) })
}

/// What parts each end from the middle.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "kind", rename_all = "kebab-case")]
enum PartingRow {
    Arc { radius_m: Number },
    GoalRange { radius_m: Number },
    Zone { depth_m: Number },
}

fn parting(p: Parting) -> PartingRow {
    match p {
        Parting::Arc { radius_m } => PartingRow::Arc { radius_m: m(radius_m) },
        Parting::GoalRange { radius_m, .. } => PartingRow::GoalRange { radius_m: m(radius_m) },
        Parting::ZoneLine { depth_m } => PartingRow::Zone { depth_m: m(depth_m) },
    }
}

/// How the line's uncertainty is held.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct SpreadRow {
    half_width_over_sd: Number,
    /// Of a walk.
    error_lasts_m: Option<Number>,
}

/// A ground.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct GroundRow<'a> {
    length_m: Option<MeasuredRow>,
    width_m: Option<MeasuredRow>,
    width_at_wings_m: Option<MeasuredRow>,
    half_width_left_m: Option<MeasuredRow>,
    half_width_right_m: Option<MeasuredRow>,
    perimeter_m: Option<MeasuredRow>,
    area_m2: Option<MeasuredRow>,
    goal_axis_bearing_deg: Option<MeasuredRow>,
    boundary: BoundaryRow,
    centre: PlacedRow,
    rule_set: &'a str,
    /// Null where the rule set has none.
    square: Option<SquareRow>,
    ends_parted_by: PartingRow,
    kick_in_mark_m: Number,
    restart: &'static str,
    throw_ins: bool,
    spread: SpreadRow,
}

/// A venue's ground and its sizes.
pub(super) fn ground<'a>(venue: &'a Venue, s: &Sizes) -> GroundRow<'a> {
    let (rules, oval) = (&venue.document.rules, venue.ground.oval());
    GroundRow {
        length_m: measured_or_null(s.length.as_ref()),
        width_m: measured_or_null(s.width.as_ref()),
        width_at_wings_m: measured_or_null(s.width_at_wings.as_ref()),
        half_width_left_m: measured_or_null(s.half_width_left.as_ref()),
        half_width_right_m: measured_or_null(s.half_width_right.as_ref()),
        perimeter_m: measured_or_null(s.perimeter.as_ref()),
        area_m2: measured_or_null(s.area.as_ref()),
        goal_axis_bearing_deg: measured_or_null(s.axis_deg.as_ref()),
        boundary: boundary(oval.boundary().curve(Side::Left)),
        centre: placed(venue, Point::ORIGIN),
        rule_set: &rules.id,
        square: square(&oval.square()),
        ends_parted_by: parting(oval.parting()),
        kick_in_mark_m: m(rules.kick_in_mark_m.value),
        restart: rules.restart.words(),
        throw_ins: rules.throw_ins,
        spread: SpreadRow {
            half_width_over_sd: m(venue.fit.spread.ratio()),
            error_lasts_m: venue.fit.error_lasts_m.map(m),
        },
    }
}
