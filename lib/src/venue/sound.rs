//! Checks that a ground may be registered: it must have a plausible size, and its survey must fix that size.

use crate::ground::Ground;
use crate::units::print::{self, PlusMinus};
use crate::units::ranges::GROUND_M;
use crate::units::{Measured, Problem};

/// What is wrong with a ground, if anything: a length or width that no ground has, or a ± as large as the
/// number itself. Such a ground is reported, and never registered.
#[must_use]
pub fn ground_trouble(ground: &Ground) -> Vec<Problem> {
    let length = ground.measure(|o| Some(o.length_m()));
    let width = ground.measure(|o| Some(o.boundary().width_m()));
    [trouble("length", length.as_ref()), trouble("width", width.as_ref())].into_iter().flatten().collect()
}

fn trouble(name: &str, size: Option<&Measured>) -> Option<Problem> {
    const REMEDY: &str = "survey more of the line, or the posts, and say how well the points are known";
    let Some(size) = size else {
        return Some(Problem::new(format!("the survey fixes no {name} of the ground")).hint(REMEDY));
    };
    if let Err(p) = GROUND_M.check_as(&format!("the {name} of the ground"), size.value()) {
        return Some(p);
    }
    (size.half_width() >= size.value()).then(|| {
        Problem::new(format!(
            "the {name} of the ground is {}: a ± as large as the {name} itself fixes no ground",
            print::measured(size, "m", PlusMinus::Unicode)
        ))
        .hint(REMEDY)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{Outline, Spread};
    use crate::rules::RuleSet;

    fn ground(length_m: f64, sd_m: f64) -> Ground {
        let half = 0.5 * length_m;
        let outline =
            Outline::from_parameters(&[0.0, 0.0, half + 0.9, 0.4 * length_m, 12.0, 0.0, 0.0, 12.0, half])
                .unwrap();
        let mut spread = Spread::none();
        // The curve moves with the goals, since goals may not lie outside it.
        spread.add_axis([0.0, 0.0, 0.5 * sd_m, 0.0, 0.0, 0.0, 0.0, 0.0, 0.5 * sd_m]);
        Ground::new(&outline, &spread, RuleSet::laws()).unwrap()
    }

    #[test]
    fn a_plus_minus_as_large_as_the_length_is_no_ground() {
        assert_eq!(ground_trouble(&ground(160.0, 5.0)), []);
        // 1.96 × 82 m is more than 160 m, but both ovals one standard deviation away still exist.
        let found = ground_trouble(&ground(160.0, 82.0));
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].message().starts_with("the length of the ground is 160 m ± 161"), "{}", found[0]);
    }

    #[test]
    fn a_length_that_no_ground_has_is_said_with_its_range() {
        let found = ground_trouble(&ground(4_000.0, 0.1));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(
            found[0].to_string().contains("4000, outside 20 to 400 m")
                && found[0].to_string().contains("metres")
        );
        assert_eq!(ground_trouble(&ground(90.0, 0.1)), []);
    }

    #[test]
    fn a_size_that_is_not_known_is_no_ground() {
        assert!(trouble("length", None).is_some());
    }
}
