//! Writes the registered fit as a JSON file.

use serde::Serialize;
use serde_json::Value;

use crate::boundary::AxisFrom;
use crate::frame::Local;
use crate::geometry::Shape;
use crate::units::print::{round_significant, round_to};
use crate::venue::{FIT_SCHEMA, FitFile};

/// Decimals of metres and degrees that are kept: enough that a venue's answers equal those of its survey's
/// own fit in every printed digit (six decimals).
const DECIMALS: i32 = 10;
/// Significant digits of the spread that are kept.
const DIGITS: i32 = 9;

#[derive(Serialize)]
struct Raw {
    schema: i64,
    model: String,
    survey_sha256: String,
    axis_from: RawAxis,
    end_width_m: f64,
    /// For every model except the ellipse, whose five numbers are among the parameters.
    #[serde(skip_serializing_if = "Option::is_none")]
    shape: Option<serde_json::Value>,
    parameters: RawParameters,
    spread: RawSpread,
    points: RawPoints,
    residuals_m: RawResiduals,
    post_miss_m: f64,
    departures: Vec<RawDeparture>,
    error_lasts_m: Option<f64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    conflicts: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    also_possible: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unsurveyed: Vec<RawUnsurveyed>,
}

#[derive(Serialize)]
struct RawUnsurveyed {
    length_m: f64,
    bearing_deg: f64,
    sd_m: f64,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
enum RawAxis {
    Posts,
    PostsAtOneEnd,
    LongAxis,
}

#[derive(Serialize)]
struct RawParameters {
    // The first five are for the ellipse only.
    #[serde(skip_serializing_if = "Option::is_none")]
    x_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    y_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    semi_major_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    semi_minor_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bearing_deg: Option<f64>,
    goals_x_m: f64,
    goals_y_m: f64,
    axis_deg: f64,
    half_length_m: f64,
}

#[derive(Serialize)]
struct RawSpread {
    half_width_over_sd: f64,
    /// The numbers of each axis are in the order of the shape's parameters, then the goals'.
    axes: Vec<Vec<f64>>,
}

#[derive(Serialize)]
struct RawPoints {
    used: usize,
    set_aside: usize,
}

#[derive(Serialize)]
struct RawResiduals {
    rms: f64,
    max: f64,
    max_bearing_deg: f64,
}

#[derive(Serialize)]
struct RawDeparture {
    bearing_deg: f64,
    mean_m: f64,
}

/// The numbers of an ellipse that is a shape's base.
#[derive(Serialize)]
struct RawEllipse {
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
}

#[derive(Serialize)]
struct RawFourArc {
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
    end_radius_m: f64,
}

#[derive(Serialize)]
struct RawCutEllipse {
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
    cut_bearing_deg: f64,
    cut_distance_m: f64,
}

#[derive(Serialize)]
struct RawFreeform {
    base: RawEllipse,
    offsets_m: Vec<f64>,
}

impl FitFile {
    /// The fit as JSON, ending in a newline.
    #[must_use]
    pub fn to_json(&self, survey_sha256: &str) -> String {
        let round = |v: f64| round_to(v, DECIMALS);
        let p: Vec<f64> = self.outline.parameters().into_iter().map(round).collect();
        let (shape, goals) = p.split_at(p.len() - 4);
        // An ellipse's five numbers are among the parameters.
        let own = |i: usize| self.outline.ellipse().and_then(|_| shape.get(i).copied());
        let m = |v: f64| round_to(v, 4);
        let raw = Raw {
            schema: FIT_SCHEMA,
            model: self.outline.model().into(),
            survey_sha256: survey_sha256.into(),
            axis_from: match self.axis_from {
                AxisFrom::Posts => RawAxis::Posts,
                AxisFrom::PostsAtOneEnd => RawAxis::PostsAtOneEnd,
                AxisFrom::LongAxis => RawAxis::LongAxis,
            },
            end_width_m: round_to(self.end_width_m, DECIMALS),
            shape: shape_object(self.outline.shape(), shape, round),
            parameters: RawParameters {
                x_m: own(0),
                y_m: own(1),
                semi_major_m: own(2),
                semi_minor_m: own(3),
                bearing_deg: own(4),
                goals_x_m: goals[0],
                goals_y_m: goals[1],
                axis_deg: goals[2],
                half_length_m: goals[3],
            },
            spread: RawSpread {
                half_width_over_sd: round_significant(self.spread.ratio(), DIGITS),
                axes: self
                    .spread
                    .axes()
                    .iter()
                    .map(|a| a.iter().map(|v| round_to(round_significant(*v, DIGITS), 12)).collect())
                    .collect(),
            },
            points: RawPoints { used: self.points_used, set_aside: self.points_set_aside },
            residuals_m: RawResiduals {
                rms: m(self.rms_m),
                max: m(self.largest_m),
                max_bearing_deg: m(self.largest_bearing_deg),
            },
            post_miss_m: m(self.post_miss_m),
            departures: self
                .departures
                .iter()
                .map(|d| RawDeparture { bearing_deg: m(d.bearing_deg), mean_m: m(d.mean_m) })
                .collect(),
            error_lasts_m: self.error_lasts_m.map(m),
            conflicts: self.conflicts.clone(),
            also_possible: self.also_possible.iter().map(|m| m.id().to_owned()).collect(),
            unsurveyed: self
                .unsurveyed
                .iter()
                .map(|gap| RawUnsurveyed {
                    length_m: m(gap.length_m),
                    bearing_deg: m(gap.bearing_deg),
                    sd_m: m(gap.sd_m),
                })
                .collect(),
        };
        // Plain structs of numbers and texts always serialise.
        serde_json::to_string_pretty(&raw).unwrap_or_default() + "\n"
    }
}

/// The `shape` object of a model other than the ellipse. `numbers` are the shape's parameters in the order of
/// `Outline::parameters`, rounded for the file.
fn shape_object(shape: &Shape<Local>, numbers: &[f64], round: impl Fn(f64) -> f64) -> Option<Value> {
    let value = match (shape, numbers) {
        (Shape::FourArc(_), &[x_m, y_m, semi_major_m, semi_minor_m, bearing_deg, end_radius_m]) => {
            serde_json::to_value(RawFourArc {
                x_m,
                y_m,
                semi_major_m,
                semi_minor_m,
                bearing_deg,
                end_radius_m,
            })
        }
        (
            Shape::CutEllipse(_),
            &[x_m, y_m, semi_major_m, semi_minor_m, bearing_deg, cut_bearing_deg, cut_distance_m],
        ) => serde_json::to_value(RawCutEllipse {
            x_m,
            y_m,
            semi_major_m,
            semi_minor_m,
            bearing_deg,
            cut_bearing_deg,
            cut_distance_m,
        }),
        (Shape::Freeform(s), offsets) => {
            let (e, c) = (s.base(), s.base().centre());
            let bearing = (90.0 - e.turn_deg()).rem_euclid(180.0);
            let [x_m, y_m, semi_major_m, semi_minor_m, bearing_deg] =
                [c.x, c.y, e.semi_major_m(), e.semi_minor_m(), bearing].map(round);
            let base = RawEllipse { x_m, y_m, semi_major_m, semi_minor_m, bearing_deg };
            serde_json::to_value(RawFreeform { base, offsets_m: offsets.to_vec() })
        }
        _ => return None,
    };
    // Plain structs of numbers always make a value.
    value.ok()
}
