//! The registered fit, as a JSON file that never changes: outline, spread, and
//! what the card says of the survey.

use serde::{Deserialize, Serialize};

use super::SCHEMA;
use crate::boundary::{Outline, Spread};
use crate::fit::{AxisFrom, Fit};
use crate::units::print::{round_significant, round_to};

/// Decimals of metres and degrees kept: a tenth of a micrometre, so that files
/// made on two machines agree.
const DECIMALS: i32 = 7;
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
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Raw {
    schema: i64,
    model: String,
    survey_sha256: String,
    axis_from: RawAxis,
    end_width_m: f64,
    parameters: RawParameters,
    spread: RawSpread,
    points: RawPoints,
    residuals_m: RawResiduals,
    post_miss_m: f64,
    departures: Vec<RawDeparture>,
    error_lasts_m: Option<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    conflicts: Vec<String>,
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
    x_m: f64,
    y_m: f64,
    semi_major_m: f64,
    semi_minor_m: f64,
    bearing_deg: f64,
    goals_x_m: f64,
    goals_y_m: f64,
    axis_deg: f64,
    half_length_m: f64,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSpread {
    half_width_over_sd: f64,
    axes: Vec<[f64; 9]>,
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

impl FitFile {
    /// What is kept of a fit made with scoring ends of this width.
    #[must_use]
    pub fn of(fit: &Fit, end_width_m: f64) -> Self {
        let largest = fit.curve.largest();
        Self {
            outline: fit.outline.clone(),
            spread: fit.spread.clone(),
            axis_from: fit.axis_from,
            end_width_m,
            points_used: fit.curve.residuals.len(),
            points_set_aside: fit.curve.set_aside.len(),
            rms_m: fit.curve.rms_m,
            largest_m: largest.map_or(0.0, |r| r.residual_m),
            largest_bearing_deg: largest.map_or(0.0, |r| r.bearing_deg),
            post_miss_m: fit.posts.iter().map(|p| p.miss_m).fold(0.0, f64::max),
            departures: fit.departures.iter().map(|d| (d.bearing_deg, d.mean_m)).collect(),
            error_lasts_m: fit.walk.map(|w| w.lasts_m),
            conflicts: fit.conflicts.iter().map(|c| c.text.clone()).collect(),
        }
    }

    /// As JSON, ending in a newline.
    #[must_use]
    pub fn to_json(&self, survey_sha256: &str) -> String {
        let p = self.outline.parameters().map(|v| round_to(v, DECIMALS));
        let m = |v: f64| round_to(v, 4);
        let raw = Raw {
            schema: SCHEMA,
            model: "ellipse".into(),
            survey_sha256: survey_sha256.into(),
            axis_from: match self.axis_from {
                AxisFrom::Posts => RawAxis::Posts,
                AxisFrom::PostsAtOneEnd => RawAxis::PostsAtOneEnd,
                AxisFrom::LongAxis => RawAxis::LongAxis,
            },
            end_width_m: round_to(self.end_width_m, DECIMALS),
            parameters: RawParameters {
                x_m: p[0],
                y_m: p[1],
                semi_major_m: p[2],
                semi_minor_m: p[3],
                bearing_deg: p[4],
                goals_x_m: p[5],
                goals_y_m: p[6],
                axis_deg: p[7],
                half_length_m: p[8],
            },
            spread: RawSpread {
                half_width_over_sd: round_significant(self.spread.ratio(), DIGITS),
                axes: self
                    .spread
                    .axes()
                    .iter()
                    .map(|a| a.map(|v| round_to(round_significant(v, DIGITS), 12)))
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
        };
        // Plain structs of numbers and texts always serialise.
        serde_json::to_string_pretty(&raw).unwrap_or_default() + "\n"
    }

    /// From JSON; also the SHA-256 of the survey that it was made from.
    ///
    /// # Errors
    /// What is wrong with the file, in a sentence.
    pub fn from_json(bytes: &[u8]) -> Result<(Self, String), String> {
        let raw: Raw =
            serde_json::from_slice(bytes).map_err(|e| format!("the fit file does not read: {e}"))?;
        if raw.schema != SCHEMA {
            return Err(format!("the fit file has schema {}, and this program reads {SCHEMA}", raw.schema));
        }
        if raw.model != "ellipse" {
            return Err(format!("the fit file's model '{}' is not known", raw.model));
        }
        let p = raw.parameters;
        let outline = Outline::from_parameters(&[
            p.x_m,
            p.y_m,
            p.semi_major_m,
            p.semi_minor_m,
            p.bearing_deg,
            p.goals_x_m,
            p.goals_y_m,
            p.axis_deg,
            p.half_length_m,
        ])
        .map_err(|e| format!("the fit file's outline: {e}"))?;
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
        };
        Ok((file, raw.survey_sha256))
    }
}
