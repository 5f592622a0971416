//! The registered fit, read from a JSON file that never changes: outline, spread, and what the card says
//! about the survey.

use serde_json::Value;

use super::members::{Members, unread};
use super::{FIT_SCHEMA, fit_shape};
use crate::boundary::{AxisFrom, Outline, Spread};
use crate::frame::Plan;
use crate::geometry::{Model, Point};
use crate::units::print::quoted;
use crate::units::ranges::{AXES, BEARING_DEG, PLANE_M, RESIDUAL_M, STRETCH_M};
use crate::units::{Bearing, Invalid, Problem};

/// The file's name in messages.
const FILE: &str = "the fit file";

/// Members of the file. Every model has a `shape` except the ellipse, whose five numbers are among the
/// parameters.
const MEMBERS: [&str; 16] = [
    "schema",
    "model",
    "survey_sha256",
    "axis_from",
    "end_width_m",
    "shape",
    "parameters",
    "spread",
    "points",
    "residuals_m",
    "post_miss_m",
    "departures",
    "error_lasts_m",
    "conflicts",
    "also_possible",
    "unsurveyed",
];

/// Members of the parameters; the first five only for an ellipse.
const PARAMETERS: [&str; 9] = [
    "x_m",
    "y_m",
    "semi_major_m",
    "semi_minor_m",
    "bearing_deg",
    "goals_x_m",
    "goals_y_m",
    "axis_deg",
    "half_length_m",
];

/// What is kept of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitFile {
    /// Curve and goals.
    pub outline: Outline,
    /// Their uncertainty.
    pub spread: Spread,
    /// What fixed the goal axis.
    pub axis_from: AxisFrom,
    /// Width of a scoring end that the fit assumed, m.
    pub end_width_m: f64,
    /// How many points of the line were used.
    pub points_used: usize,
    /// How many points were set aside.
    pub points_set_aside: usize,
    /// Root mean square residual, m.
    pub rms_m: f64,
    /// The residual of greatest size, m.
    pub largest_m: f64,
    /// Bearing from the centre to the largest residual, degrees.
    pub largest_bearing_deg: f64,
    /// Largest distance of a surveyed post from its adjusted place, m; 0 without posts.
    pub post_miss_m: f64,
    /// Stretches of the line off the fitted shape.
    pub departures: Vec<LineOff>,
    /// The correlation length of the error that fixes share, m; none where they are independent.
    pub error_lasts_m: Option<f64>,
    /// Measures that contradict each other, a sentence each.
    pub conflicts: Vec<String>,
    /// Shapes that the survey could not tell from the one that was chosen.
    pub also_possible: Vec<Model>,
    /// Parts of the line without points.
    pub unsurveyed: Vec<LineGap>,
}

/// Where the surveyed line departs from the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineOff {
    /// Where, seen from the centre, degrees from true north.
    pub bearing_deg: f64,
    /// By how much in the mean, m, positive outside.
    pub mean_m: f64,
}

/// A part of the line without points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineGap {
    /// How long it is, m.
    pub length_m: f64,
    /// Where its middle is, seen from the centre, degrees from true north.
    pub bearing_deg: f64,
    /// One standard deviation of the line there, m.
    pub sd_m: f64,
}

impl FitFile {
    /// Reads a fit from JSON; returns also the SHA-256 of the survey that it was made from.
    ///
    /// # Errors
    /// What is wrong with the file, in a sentence.
    pub fn from_json(bytes: &[u8]) -> Result<(Self, String), String> {
        let value: Value = serde_json::from_slice(bytes).map_err(|e| unread(FILE, &e.to_string()))?;
        let file = Members::new(FILE, &value, &MEMBERS)?;
        let schema = file.count("schema")?;
        if i64::try_from(schema) != Ok(FIT_SCHEMA) {
            return Err(format!("the fit file has schema {schema}, and this program reads {FIT_SCHEMA}"));
        }
        let outline = outline(&file)?;
        let residuals = file.object("residuals_m", &["rms", "max", "max_bearing_deg"])?;
        let points = file.object("points", &["used", "set_aside"])?;
        let axis_from = match file.text("axis_from")? {
            "posts" => AxisFrom::Posts,
            "posts-at-one-end" => AxisFrom::PostsAtOneEnd,
            "long-axis" => AxisFrom::LongAxis,
            other => return Err(unread(FILE, &format!("unknown variant `{other}` of `axis_from`"))),
        };
        let departures = file.table("departures", ["bearing_deg", "mean_m"])?;
        let unsurveyed = match file.get("unsurveyed") {
            Some(_) => file.table("unsurveyed", ["length_m", "bearing_deg", "sd_m"])?,
            None => Vec::new(),
        };
        let model = |id: &String| {
            Model::find(id).ok_or_else(|| format!("the fit file's model {} is not known", quoted(id)))
        };
        let fit = Self {
            spread: spread(&file, &outline)?,
            outline,
            axis_from,
            end_width_m: file.number("end_width_m")?,
            points_used: points.count("used")?,
            points_set_aside: points.count("set_aside")?,
            rms_m: residuals.number("rms")?,
            largest_m: residuals.number("max")?,
            largest_bearing_deg: residuals.number("max_bearing_deg")?,
            post_miss_m: file.number("post_miss_m")?,
            departures: departures
                .into_iter()
                .map(|[bearing_deg, mean_m]| LineOff { bearing_deg, mean_m })
                .collect(),
            error_lasts_m: file.number_or_none("error_lasts_m")?,
            conflicts: file.texts_if_any("conflicts")?,
            also_possible: file.texts_if_any("also_possible")?.iter().map(model).collect::<Result<_, _>>()?,
            unsurveyed: unsurveyed
                .into_iter()
                .map(|[length_m, bearing_deg, sd_m]| LineGap { length_m, bearing_deg, sd_m })
                .collect(),
        };
        fit.in_range().map_err(|p| format!("the fit file: {p}"))?;
        Ok((fit, file.text("survey_sha256")?.to_owned()))
    }

    /// Checks the ranges of the numbers that no constructor checks.
    fn in_range(&self) -> Result<(), Problem> {
        for (name, value) in [
            ("end_width_m", self.end_width_m),
            ("rms", self.rms_m),
            ("post_miss_m", self.post_miss_m),
            ("error_lasts_m", self.error_lasts_m.unwrap_or(0.0)),
        ] {
            STRETCH_M.check_as(name, value)?;
        }
        RESIDUAL_M.check_as("max", self.largest_m)?;
        BEARING_DEG.check_as("max_bearing_deg", self.largest_bearing_deg)?;
        for &LineOff { bearing_deg, mean_m } in &self.departures {
            BEARING_DEG.check_as("the bearing of a departure", bearing_deg)?;
            RESIDUAL_M.check_as("mean_m of a departure", mean_m)?;
        }
        for &LineGap { length_m, bearing_deg, sd_m } in &self.unsurveyed {
            BEARING_DEG.check_as("the bearing of an unsurveyed part", bearing_deg)?;
            STRETCH_M.check_as("length_m of an unsurveyed part", length_m)?;
            STRETCH_M.check_as("sd_m of an unsurveyed part", sd_m)?;
        }
        Ok(())
    }
}

/// The curve and the goals.
fn outline(file: &Members<'_>) -> Result<Outline, String> {
    let wrong = |e: Invalid| format!("the fit file's outline: {e}");
    let p = file.object("parameters", &PARAMETERS)?;
    for name in ["x_m", "y_m", "goals_x_m", "goals_y_m"] {
        let value = p.number_or_none(name)?.unwrap_or(0.0);
        PLANE_M.check_as(name, value).map_err(|p| format!("the fit file: {p}"))?;
    }
    let shape = fit_shape::read(file.text("model")?, file.get("shape"), &p)?;
    let axis = Bearing::from_degrees(p.number("axis_deg")?).map_err(wrong)?;
    let plan = Plan::new(Point::new(p.number("goals_x_m")?, p.number("goals_y_m")?), axis).map_err(wrong)?;
    Outline::new(shape, plan, p.number("half_length_m")?).map_err(wrong)
}

/// The outline's spread. The numbers of an axis are in the order of the shape's parameters, then the goals'.
fn spread(file: &Members<'_>, outline: &Outline) -> Result<Spread, String> {
    let spread = file.object("spread", &["half_width_over_sd", "axes"])?;
    let axes = spread.rows("axes")?;
    AXES.check(axes.len()).map_err(|p| format!("the fit file: {p}"))?;
    let takes = outline.parameters().len();
    if let Some(axis) = axes.iter().find(|axis| axis.len() != takes) {
        return Err(format!(
            "the fit file's spread has an axis of {} numbers, and this {} takes {takes}",
            axis.len(),
            outline.model()
        ));
    }
    Spread::from_axes(axes, spread.number("half_width_over_sd")?)
        .map_err(|e| format!("the fit file's spread: {e}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::outlines_for_tests;

    fn file(outline: &Outline) -> FitFile {
        let n = outline.parameters().len();
        let mut spread = Spread::none();
        for i in 0..n {
            // No step is 0: an axis of zeros would be no axis.
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
            departures: vec![LineOff { bearing_deg: 10.0, mean_m: -0.4 }],
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
            // A file that was rounded once is not changed by reading and writing it again.
            assert_eq!(back.to_json("abc"), kept, "{name}");
            for (a, b) in back.outline.parameters().iter().zip(outline.parameters()) {
                assert!((a - b).abs() < 1e-7, "{name}");
            }
            assert_eq!(back.spread.axes().len(), outline.parameters().len(), "{name}");
            let sizes = |o: &Outline| o.boundary(19.2).unwrap().area_m2();
            // The file keeps the line to better than 1e-7 m: over 500 m of line that changes the area by far
            // less.
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
