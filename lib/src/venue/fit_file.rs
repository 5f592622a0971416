//! The registered fit, as a JSON file that never changes: outline, spread, and
//! what the card says of the survey.

use serde::{Deserialize, Serialize};

use super::FIT_SCHEMA;
use super::fit_shape::{self, RawEllipse};
use crate::boundary::{AxisFrom, Outline, Spread};
use crate::frame::Plan;
use crate::geometry::{Model, Point};
use crate::units::print::{CAUSE_CHARS, cut, quoted, round_significant, round_to};
use crate::units::ranges::{AXES, BEARING_DEG, PLANE_M, RESIDUAL_M, STRETCH_M};
use crate::units::{Bearing, Invalid, Problem};

/// Decimals of metres and degrees kept: so many that a venue answers as its survey's own fit does, in
/// every digit that is printed (six decimals).
const DECIMALS: i32 = 10;
/// Digits kept of the spread.
const DIGITS: i32 = 9;

/// What is kept of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitFile {
    /// Curve and goals.
    pub outline: Outline,
    /// Their uncertainty.
    pub spread: Spread,
    /// What fixed the goal axis.
    pub axis_from: AxisFrom,
    /// Width of a scoring end that it was fitted with, m.
    pub end_width_m: f64,
    /// Points of the line used.
    pub points_used: usize,
    /// Points set aside.
    pub points_set_aside: usize,
    /// Root mean square residual, m.
    pub rms_m: f64,
    /// Largest residual in size, m, and the bearing to it from the centre.
    pub largest_m: f64,
    /// Bearing from the centre to the largest residual, degrees.
    pub largest_bearing_deg: f64,
    /// Largest distance of a surveyed post from its adjusted place, m; 0 without posts.
    pub post_miss_m: f64,
    /// Bearing from the centre and mean departure of stretches off the ellipse.
    pub departures: Vec<(f64, f64)>,
    /// Do the fixes share their error? Then how far along it lasts, m.
    pub error_lasts_m: Option<f64>,
    /// Measures that contradict each other, a sentence each.
    pub conflicts: Vec<String>,
    /// Shapes that the survey could not tell from the one that was taken.
    pub also_possible: Vec<Model>,
    /// Parts of the line without points: length, m; bearing from the centre, degrees; one
    /// standard deviation of the line there, m.
    pub unsurveyed: Vec<[f64; 3]>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    schema: i64,
    model: String,
    survey_sha256: String,
    axis_from: RawAxis,
    end_width_m: f64,
    /// Of any model but the ellipse, whose five numbers are among the parameters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shape: Option<serde_json::Value>,
    parameters: RawParameters,
    spread: RawSpread,
    points: RawPoints,
    residuals_m: RawResiduals,
    post_miss_m: f64,
    departures: Vec<RawDeparture>,
    error_lasts_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    conflicts: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    also_possible: Vec<String>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    unsurveyed: Vec<RawUnsurveyed>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawUnsurveyed {
    length_m: f64,
    bearing_deg: f64,
    sd_m: f64,
}

#[derive(Serialize, Deserialize, Clone, Copy)]
#[serde(rename_all = "kebab-case")]
enum RawAxis {
    Posts,
    PostsAtOneEnd,
    LongAxis,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawParameters {
    // Of the ellipse only.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    x_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    y_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    semi_major_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    semi_minor_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    bearing_deg: Option<f64>,
    goals_x_m: f64,
    goals_y_m: f64,
    axis_deg: f64,
    half_length_m: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSpread {
    half_width_over_sd: f64,
    /// Each in the order of the shape's numbers and then the goals'.
    axes: Vec<Vec<f64>>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawPoints {
    used: usize,
    set_aside: usize,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawResiduals {
    rms: f64,
    max: f64,
    max_bearing_deg: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawDeparture {
    bearing_deg: f64,
    mean_m: f64,
}

impl Raw {
    /// Every number that no constructor looks at is within its range.
    fn in_range(&self) -> Result<(), Problem> {
        let p = &self.parameters;
        for (name, value) in [
            ("x_m", p.x_m),
            ("y_m", p.y_m),
            ("goals_x_m", Some(p.goals_x_m)),
            ("goals_y_m", Some(p.goals_y_m)),
        ] {
            value.map_or(Ok(0.0), |v| PLANE_M.check_as(name, v))?;
        }
        for (name, value) in [
            ("end_width_m", self.end_width_m),
            ("rms", self.residuals_m.rms),
            ("post_miss_m", self.post_miss_m),
            ("error_lasts_m", self.error_lasts_m.unwrap_or(0.0)),
        ] {
            STRETCH_M.check_as(name, value)?;
        }
        RESIDUAL_M.check_as("max", self.residuals_m.max)?;
        BEARING_DEG.check_as("max_bearing_deg", self.residuals_m.max_bearing_deg)?;
        for d in &self.departures {
            BEARING_DEG.check_as("the bearing of a departure", d.bearing_deg)?;
            RESIDUAL_M.check_as("mean_m of a departure", d.mean_m)?;
        }
        for u in &self.unsurveyed {
            BEARING_DEG.check_as("the bearing of an unsurveyed part", u.bearing_deg)?;
            STRETCH_M.check_as("length_m of an unsurveyed part", u.length_m)?;
            STRETCH_M.check_as("sd_m of an unsurveyed part", u.sd_m)?;
        }
        AXES.check(self.spread.axes.len()).map(|_| ())
    }
}

impl RawParameters {
    /// The ellipse's five; `None` unless all are there.
    fn ellipse(&self) -> Option<RawEllipse> {
        Some(RawEllipse::of([
            self.x_m?,
            self.y_m?,
            self.semi_major_m?,
            self.semi_minor_m?,
            self.bearing_deg?,
        ]))
    }
}

impl FitFile {
    /// As JSON, ending in a newline.
    #[must_use]
    pub fn to_json(&self, survey_sha256: &str) -> String {
        let round = |v: f64| round_to(v, DECIMALS);
        let p: Vec<f64> = self.outline.parameters().into_iter().map(round).collect();
        let (shape, goals) = p.split_at(p.len() - 4);
        // The five of an ellipse are among the parameters, as they always were.
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
            shape: fit_shape::to_raw(self.outline.shape(), shape, round),
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
                .map(|&(b, d)| RawDeparture { bearing_deg: m(b), mean_m: m(d) })
                .collect(),
            error_lasts_m: self.error_lasts_m.map(m),
            conflicts: self.conflicts.clone(),
            also_possible: self.also_possible.iter().map(|m| m.id().to_owned()).collect(),
            unsurveyed: self
                .unsurveyed
                .iter()
                .map(|&[l, b, sd]| RawUnsurveyed { length_m: m(l), bearing_deg: m(b), sd_m: m(sd) })
                .collect(),
        };
        // Plain structs of numbers and texts always serialise.
        serde_json::to_string_pretty(&raw).unwrap_or_default() + "\n"
    }

    /// From JSON; also the SHA-256 of the survey that it was made from.
    ///
    /// # Errors
    /// What is wrong with the file, in a sentence.
    pub fn from_json(bytes: &[u8]) -> Result<(Self, String), String> {
        let raw: Raw = serde_json::from_slice(bytes)
            .map_err(|e| format!("the fit file does not read: {}", cut(&e.to_string(), CAUSE_CHARS)))?;
        if raw.schema != FIT_SCHEMA {
            return Err(format!(
                "the fit file has schema {}, and this program reads {FIT_SCHEMA}",
                raw.schema
            ));
        }
        raw.in_range().map_err(|p| format!("the fit file: {p}"))?;
        let wrong = |e: Invalid| format!("the fit file's outline: {e}");
        let p = raw.parameters;
        let shape = fit_shape::from_raw(&raw.model, raw.shape, p.ellipse())?;
        let axis = Bearing::from_degrees(p.axis_deg).map_err(wrong)?;
        let plan = Plan::new(Point::new(p.goals_x_m, p.goals_y_m), axis).map_err(wrong)?;
        let outline = Outline::new(shape, plan, p.half_length_m).map_err(wrong)?;
        let takes = outline.parameters().len();
        if let Some(axis) = raw.spread.axes.iter().find(|axis| axis.len() != takes) {
            return Err(format!(
                "the fit file's spread has an axis of {} numbers, and this {} takes {takes}",
                axis.len(),
                raw.model
            ));
        }
        let spread = Spread::from_axes(raw.spread.axes, raw.spread.half_width_over_sd)
            .map_err(|e| format!("the fit file's spread: {e}"))?;
        let file = Self {
            outline,
            spread,
            axis_from: match raw.axis_from {
                RawAxis::Posts => AxisFrom::Posts,
                RawAxis::PostsAtOneEnd => AxisFrom::PostsAtOneEnd,
                RawAxis::LongAxis => AxisFrom::LongAxis,
            },
            end_width_m: raw.end_width_m,
            points_used: raw.points.used,
            points_set_aside: raw.points.set_aside,
            rms_m: raw.residuals_m.rms,
            largest_m: raw.residuals_m.max,
            largest_bearing_deg: raw.residuals_m.max_bearing_deg,
            post_miss_m: raw.post_miss_m,
            departures: raw.departures.iter().map(|d| (d.bearing_deg, d.mean_m)).collect(),
            error_lasts_m: raw.error_lasts_m,
            conflicts: raw.conflicts,
            also_possible: raw
                .also_possible
                .iter()
                .map(|id| {
                    Model::find(id).ok_or_else(|| format!("the fit file's model {} is not known", quoted(id)))
                })
                .collect::<Result<_, _>>()?,
            unsurveyed: raw.unsurveyed.iter().map(|u| [u.length_m, u.bearing_deg, u.sd_m]).collect(),
        };
        Ok((file, raw.survey_sha256))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::outlines_for_tests;

    fn file(outline: &Outline) -> FitFile {
        let n = outline.parameters().len();
        let mut spread = Spread::none();
        for i in 0..n {
            // No step of nought, which an axis of nothing but would be.
            spread.add_axis((0..n).map(|j| 0.001 * (1.0 + (i * n + j) as f64).sin()).collect::<Vec<_>>());
        }
        FitFile {
            outline: outline.clone(),
            spread,
            axis_from: AxisFrom::Posts,
            end_width_m: 19.2,
            points_used: 40,
            points_set_aside: 2,
            rms_m: 0.1,
            largest_m: 0.3,
            largest_bearing_deg: 12.0,
            post_miss_m: 0.0,
            departures: vec![(10.0, -0.4)],
            error_lasts_m: None,
            conflicts: Vec::new(),
            also_possible: Vec::new(),
            unsurveyed: Vec::new(),
        }
    }

    #[test]
    fn every_model_round_trips() {
        for (name, outline) in outlines_for_tests() {
            let kept = file(&outline).to_json("abc");
            let (back, sha) = FitFile::from_json(kept.as_bytes()).unwrap();
            assert_eq!(sha, "abc");
            assert_eq!(back.outline.model(), outline.model(), "{name}");
            // Rounded once to a tenth of a micrometre, it stays.
            assert_eq!(back.to_json("abc"), kept, "{name}");
            for (a, b) in back.outline.parameters().iter().zip(outline.parameters()) {
                assert!((a - b).abs() < 1e-7, "{name}");
            }
            assert_eq!(back.spread.axes().len(), outline.parameters().len(), "{name}");
            let sizes = |o: &Outline| o.boundary(19.2).unwrap().area_m2();
            // 500 m of line, each to 1e-7 m or a few.
            assert!((sizes(&back.outline) - sizes(&outline)).abs() < 1e-3, "{name}");
        }
    }

    #[test]
    fn an_ellipses_file_is_as_it_always_was() {
        let (_, outline) = &outlines_for_tests()[0];
        let kept = file(outline).to_json("abc");
        let value: serde_json::Value = serde_json::from_str(&kept).unwrap();
        let keys =
            |v: &serde_json::Value| v.as_object().unwrap().keys().cloned().collect::<Vec<_>>().join(" ");
        assert_eq!(
            keys(&value["parameters"]),
            "x_m y_m semi_major_m semi_minor_m bearing_deg goals_x_m goals_y_m axis_deg half_length_m"
        );
        assert_eq!(
            keys(&value),
            "schema model survey_sha256 axis_from end_width_m parameters spread points residuals_m \
             post_miss_m departures error_lasts_m"
        );
    }

    #[test]
    fn numbers_out_of_their_range_are_refused_with_value_and_range() {
        let (_, outline) = &outlines_for_tests()[0];
        let good: serde_json::Value = serde_json::from_str(&file(outline).to_json("abc")).unwrap();
        for (at, value, want) in [
            ("/parameters/goals_x_m", 1e8, "goals_x_m is 100000000, outside -10000000 to 10000000 m"),
            ("/end_width_m", -1.0, "end_width_m is -1, outside 0 to 10000 m"),
            ("/residuals_m/rms", -0.5, "rms is -0.5"),
            ("/residuals_m/max_bearing_deg", 720.0, "max_bearing_deg is 720, outside 0 to 360°"),
            ("/departures/0/mean_m", 1e300, "mean_m of a departure is 1e300"),
            ("/error_lasts_m", 1e9, "error_lasts_m is 1000000000"),
            ("/spread/half_width_over_sd", 0.1, "95 % half-width over sd 0.1 is outside 1 to 1000"),
        ] {
            let mut v = good.clone();
            *v.pointer_mut(at).unwrap() = value.into();
            let e = FitFile::from_json(v.to_string().as_bytes()).unwrap_err();
            assert!(e.contains(want), "{e}");
        }
    }

    #[test]
    fn files_that_do_not_fit_together_are_refused_with_a_sentence() {
        let outlines = outlines_for_tests();
        let json = |name: &str| {
            let (_, o) = outlines.iter().find(|(n, _)| *n == name).unwrap();
            serde_json::from_str::<serde_json::Value>(&file(o).to_json("abc")).unwrap()
        };
        let refused = |v: &serde_json::Value| FitFile::from_json(v.to_string().as_bytes()).unwrap_err();

        let mut v = json("freeform with a dent");
        v["spread"]["axes"][3].as_array_mut().unwrap().pop();
        assert_eq!(
            refused(&v),
            "the fit file's spread has an axis of 67 numbers, and this freeform takes 68"
        );
        let mut v = json("freeform with a dent");
        v["shape"]["offsets_m"].as_array_mut().unwrap().pop();
        assert_eq!(refused(&v), "the fit file's outline: the number of a freeform's offsets is odd");
        let mut v = json("ellipse");
        v["model"] = "four-arc".into();
        assert!(refused(&v).contains("an ellipse is among its parameters"));
        let mut v = json("four arcs");
        v["model"] = "ellipse".into();
        assert!(refused(&v).contains("a shape of another"));
        let mut v = json("four arcs");
        v["model"] = "cut-ellipse".into();
        assert!(refused(&v).starts_with("the fit file's shape does not read: unknown field `end_radius_m`"));
        let mut v = json("ellipse");
        v["parameters"].as_object_mut().unwrap().remove("y_m");
        assert!(refused(&v).contains("lack one of its five"));
        let mut v = json("cut on the left");
        v.as_object_mut().unwrap().remove("shape");
        assert!(refused(&v).contains("it has no shape"));
        let mut v = json("cut on the left");
        v["shape"]["cut_distance_m"] = 90.0.into();
        assert!(refused(&v).starts_with("the fit file's outline: distance of the cut 90"));
        let mut v = json("ellipse");
        v["model"] = "egg".into();
        assert_eq!(refused(&v), "the fit file's model 'egg' is not known");
    }
}
