//! Makes simulated surveys into files for `solve`, with the options that a person gives.
//!
//! So the simulation tests what a user gets: the library itself reads the file, cleans a walk, turns the
//! method into noise, and decides which end is A.

use ovalpeg::frame::Datum;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Source};
use ovalpeg::survey::LocalSurvey;

use crate::Failure;
use crate::truth::Truth;
use crate::write::csv_exact;

/// A survey as a file without any rounding. Its datum is given, so that no error is allowed for a receiver's
/// own datum.
///
/// # Errors
/// Where a point of the plane has no place on the Earth.
pub fn source(name: &str, survey: &LocalSurvey) -> Result<Source, Failure> {
    let datum = survey.plane.datum_point().map(|_| Datum::Gda2020);
    Ok(Source::new(name, csv_exact(survey)?).datum(datum))
}

/// A survey as a file with its method given, which decides its errors.
///
/// # Errors
/// As [`source`].
pub fn by(method: Method, name: &str, survey: &LocalSurvey) -> Result<Source, Failure> {
    Ok(source(name, survey)?.method(method))
}

/// Options for a ground under the Laws, in the true ground's plane: as for a new survey of a registered
/// venue.
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
            // One bit of 145° is 3 nm.
            assert!(f.at.distance_to(d.at) < 2e-8 && f.role == d.role, "{f:?} {d:?}");
        }
        // Neither rounding nor a receiver's own datum adds to the errors.
        assert_eq!(found.point_sd_m(), Some(Method::Rtk.point_sd_m().value));
        assert_eq!(found.place_sd_m(), Method::Rtk.place_sd_m().value);
        assert!(found.doubts().is_empty(), "{:?}", found.doubts());
    }
}
