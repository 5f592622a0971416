//! What is known of a source's errors before its points are looked at: the only place where a method
//! becomes noise.

use super::Source;
use crate::fit::Noise;
use crate::frame::Datum;
use crate::rules::{Method, line_width_sd_m, wgs84_as_gda2020_sd_m};
use crate::survey::{Position, Role, Survey};

/// Points of a line of which its residuals can tell whether errors run on.
const ASKED_FROM: usize = 24;

/// Steady error of a survey's place in each of east and north, one standard deviation, m: by its method,
/// and by its datum where that is the receiver's own.
#[must_use]
pub fn place_sd_m(method: Option<Method>, receivers_datum: bool) -> f64 {
    let datum = if receivers_datum { wgs84_as_gda2020_sd_m().value } else { 0.0 };
    method.map_or(0.0, |m| m.place_sd_m().value).hypot(datum)
}

/// Is a survey on the receiver's own datum, which differs from the ground's by half a metre?
pub(super) fn on_receivers_datum(survey: &Survey, said: Option<Datum>) -> bool {
    let earth = survey.observations.iter().any(|o| matches!(o.position, Position::Geodetic(_)));
    earth && (said == Some(Datum::Wgs84) || said.is_none() && !survey.names_datum)
}

/// The errors of one source.
pub(super) fn noise(source: &Source, survey: &Survey) -> Noise {
    let share = source.edge.inside_share();
    let width_sd = share * line_width_sd_m().value;
    let method = source.method;
    let line = survey.observations.iter().filter(|o| o.role == Role::Line).count();
    Noise {
        point_sd_m: source.sd_m.or(method.map(|m| m.point_sd_m().value)),
        line_offset_sd_m: method.map_or(0.0, |m| m.line_offset_sd_m().value).hypot(width_sd),
        scale_sd: method.map_or(0.0, |m| m.scale_sd().value),
        // Nobody said how it was surveyed, so the residuals are asked whether errors run on.
        runs_on: method.map_or(line >= ASKED_FROM, Method::error_runs_on),
        shift_sd_m: place_sd_m(method, on_receivers_datum(survey, source.datum)),
        inside_m: share * source.line_width_m,
    }
}
