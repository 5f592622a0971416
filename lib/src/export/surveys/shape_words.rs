//! Which shape a line has, and where it was not surveyed, in words.

use crate::fit::{Choice, Unsurveyed};
use crate::geometry::Model;
use crate::units::print::{compass_point, fixed};

/// `an oval of four arcs, 1,200 times likelier than an ellipse`.
pub(super) fn choice(c: &Choice) -> String {
    let taken = c.model.in_words();
    if c.forced {
        return format!("{taken}, as asked for: no other was tried");
    }
    let not_compared = not_compared(c);
    let others = c.also_possible();
    if !others.is_empty() {
        return format!(
            "{taken}, the simplest; this survey can't tell it from {} ({}), and the ± covers {}{not_compared}",
            any_of(&others),
            others.iter().filter_map(|m| odds(c, *m)).collect::<Vec<_>>().join("; "),
            if others.len() == 1 { "both" } else { "them all" }
        );
    }
    match c.next_likeliest() {
        None if not_compared.is_empty() => format!("{taken}: no other shape fits"),
        None => format!("{taken}{not_compared}"),
        Some((next, times_likelier)) => {
            let ellipse = (c.model != Model::Ellipse && next != Model::Ellipse)
                .then(|| times(c, Model::Ellipse))
                .flatten()
                .map_or_else(String::new, |by| format!(", and {by}"));
            format!("{taken}, {}{ellipse}{not_compared}", likelier(times_likelier, next))
        }
    }
}

fn any_of(models: &[Model]) -> String {
    models.iter().map(|m| m.in_words()).collect::<Vec<_>>().join(" or ")
}

/// `; too few points to compare it with a freeform line, which the ± leaves out`.
fn not_compared(c: &Choice) -> String {
    let models = c.not_compared();
    if models.is_empty() {
        return String::new();
    }
    format!("; too few points to compare it with {}, which the ± leaves out", any_of(&models))
}

/// `a freeform line is 2.5 times likelier`.
fn odds(c: &Choice, other: Model) -> Option<String> {
    let times = c.times_likelier_than(other)?;
    let name = other.in_words();
    Some(match times {
        t if t > 1.5 => format!("{name} is {} times less likely", fixed(t, 0)),
        t if t < 1.0 / 1.5 => format!("{name} is {} likelier", by(1.0 / t)),
        _ => format!("{name} is as likely"),
    })
}

/// `over 1000 times likelier than an ellipse`.
fn times(c: &Choice, other: Model) -> Option<String> {
    Some(likelier(c.times_likelier_than(other)?, other))
}

fn likelier(times: f64, other: Model) -> String {
    format!("{} likelier than {}", by(times), other.in_words())
}

/// `20 times`, `over 1000 times`.
fn by(times: f64) -> String {
    const MOST: f64 = 1000.0;
    if times > MOST { format!("over {} times", fixed(MOST, 0)) } else { format!("{} times", fixed(times, 0)) }
}

/// `62 m to the NW of the centre: the line there is known to ± 1.3 m only`.
pub(super) fn unsurveyed(gap: &Unsurveyed, ratio: f64) -> String {
    format!(
        "{} m of the line to the {} of the centre: there it is known to ± {} m only",
        fixed(gap.length_m, 0),
        compass_point(gap.bearing_deg),
        fixed(ratio * gap.sd_m, 1)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Candidate;

    fn made(model: Model, weights: [f64; 4], forced: bool) -> Choice {
        let candidates = Model::ALL
            .into_iter()
            .zip(weights)
            .map(|(model, weight)| Candidate { model, weight: Some(weight), rms_m: Some(0.1) })
            .collect();
        Choice { model, forced, candidates }
    }

    #[test]
    fn says_which_won_by_how_much_and_when_nobody_can_tell() {
        let c = made(Model::FourArc, [1e-9, 0.99, 0.01, 1e-5], false);
        assert_eq!(
            choice(&c),
            "an oval of four arcs, 99 times likelier than an ellipse with a straight side, and over 1000 times likelier than an ellipse"
        );
        let c = made(Model::Ellipse, [0.3, 0.001, 0.1, 0.6], false);
        assert_eq!(
            choice(&c),
            "an ellipse, the simplest; this survey can't tell it from a freeform line or an ellipse with a straight side (a freeform line is 2 times likelier; an ellipse with a straight side is 3 times less likely), and the ± covers them all"
        );
        let c = made(Model::Ellipse, [0.999, 0.001, 0.0, 0.0], false);
        assert_eq!(choice(&c), "an ellipse, 999 times likelier than an oval of four arcs");
        assert!(choice(&made(Model::Freeform, [0.0, 0.0, 0.0, 1.0], true)).contains("as asked for"));
    }

    #[test]
    fn a_shape_that_could_not_be_compared_is_said_and_has_no_odds() {
        let mut c = made(Model::Ellipse, [0.0; 4], false);
        for i in [0, 1] {
            c.candidates[i].weight = None;
        }
        for i in [2, 3] {
            c.candidates[i].rms_m = None;
        }
        assert_eq!(
            choice(&c),
            "an ellipse; too few points to compare it with an oval of four arcs, which the ± leaves out"
        );
        assert_eq!(c.times_likelier_than(Model::FourArc), None);
        assert!(c.also_possible().is_empty());
        // The ellipse alone was weighed.
        c.candidates[0].weight = Some(1.0);
        assert!(!choice(&c).contains("times"), "{}", choice(&c));
        // Taken because what is likelier by the line made no ground with the measured lengths.
        let c = made(Model::Ellipse, [0.0, 0.001, 0.0, 0.0], false);
        assert!(choice(&c).contains("(an oval of four arcs is over 1000 times likelier)"), "{}", choice(&c));
    }
}
