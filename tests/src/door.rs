//! Simulated surveys through the library's one door: as files, with what a person says of them.
//!
//! So what is simulated is what a user gets: the file is read, a walk is cleaned, a method becomes
//! noise, and end A is turned by the definition, all where the library does it.

use ovalpeg::frame::Datum;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Source};
use ovalpeg::survey::LocalSurvey;

use crate::Failure;
use crate::truth::Truth;
use crate::write::csv_exact;

/// A survey as a file to the last bit. Its datum is said, so that it is not a receiver's own.
///
/// # Errors
/// When a point has no place on the survey's plane.
pub fn source(name: &str, survey: &LocalSurvey) -> Result<Source, Failure> {
    let datum = survey.plane.datum_point().map(|_| Datum::Gda2020);
    Ok(Source::new(name, csv_exact(survey)?).datum(datum))
}

/// A survey as a file that is said to come of a method, which tells its errors.
///
/// # Errors
/// As [`source`].
pub fn by(method: Method, name: &str, survey: &LocalSurvey) -> Result<Source, Failure> {
    Ok(source(name, survey)?.method(method))
}

/// The Laws' ground in the planted ground's plane, as a venue's second survey is solved in the venue's.
#[must_use]
pub fn options(truth: &Truth) -> SolveOptions {
    let mut options = SolveOptions::new(RuleSet::laws());
    options.plane = Some(truth.plane());
    options
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::random::Random;
    use crate::truth::{Shape, Site};
    use crate::walk::{Lap, posts, rtk, survey};
    use ovalpeg::solve::prepare;

    #[test]
    fn a_simulated_survey_comes_through_the_door_as_it_was_drawn() {
        let site = Site { latitude_deg: -36.5, longitude_deg: 145.0, height_m: 640.0, axis_deg: 20.0 };
        let truth = Truth::new(Shape::Ellipse { length_m: 160.0, width_m: 130.0 }, site).unwrap();
        let mut random = Random::new(1);
        let line = rtk(&truth, &Lap::of_the_lines(40), 0.02, &mut random);
        let drawn = survey(&truth, &line, &posts(&truth, 0.02, &mut random));
        let found = prepare(vec![by(Method::Rtk, "a.csv", &drawn).unwrap()], &options(&truth)).unwrap();
        assert_eq!(found.survey().points.len(), drawn.points.len());
        for (f, d) in found.survey().points.iter().zip(&drawn.points) {
            // The last bit of 145° is 3 nm.
            assert!(f.at.distance_to(d.at) < 2e-8 && f.role == d.role, "{f:?} {d:?}");
        }
        // No rounding is allowed for, nor a receiver's own datum.
        assert_eq!(found.point_sd_m(), Some(Method::Rtk.point_sd_m().value));
        assert_eq!(found.place_sd_m(), Method::Rtk.place_sd_m().value);
        assert!(found.doubts().is_empty(), "{:?}", found.doubts());
    }
}
