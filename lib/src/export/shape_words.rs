//! Which shape a line has, and where it was not surveyed, in words.

use crate::fit::{Candidate, Choice, Unsurveyed};
use crate::geometry::Model;
use crate::units::print::{compass_point, fixed};

/// `an oval of four arcs, 1,200 times likelier than an ellipse`.
pub(super) fn choice(c: &Choice) -> String {
    let taken = c.model.in_words();
    if c.forced {
        return format!("{taken}, as asked for: no other was tried");
    }
    let others = c.also_possible();
    if !others.is_empty() {
        let names: Vec<&str> = others.iter().map(|m| m.in_words()).collect();
        return format!(
            "{taken}, the simplest; this survey can't tell it from {} ({}), and the ± covers {}",
            names.join(" or "),
            others.iter().filter_map(|m| odds(c, *m)).collect::<Vec<_>>().join("; "),
            if others.len() == 1 { "both" } else { "them all" }
        );
    }
    let next = c
        .candidates
        .iter()
        .filter(|o| o.model != c.model && o.rms_m.is_some())
        .max_by(|a, b| a.weight.total_cmp(&b.weight));
    match next {
        None => format!("{taken}: no other shape fits"),
        Some(next) => {
            let mut text = format!("{taken}, {}", times(c, next.model));
            if c.model != Model::Ellipse && next.model != Model::Ellipse {
                text.push_str(&format!(", and {}", times(c, Model::Ellipse)));
            }
            text
        }
    }
}

/// `a freeform line is 2.5 times likelier`.
fn odds(c: &Choice, other: Model) -> Option<String> {
    let times = c.times_likelier_than(other)?;
    let name = other.in_words();
    Some(match times {
        t if t > 1.5 => format!("{name} is {} times less likely", fixed(t, 0)),
        t if t < 1.0 / 1.5 => format!("{name} is {} times likelier", fixed(1.0 / t, 0)),
        _ => format!("{name} is as likely"),
    })
}

/// `over 1000 times likelier than an ellipse`.
fn times(c: &Choice, other: Model) -> String {
    const MOST: f64 = 1000.0;
    let t = c.times_likelier_than(other).unwrap_or(f64::INFINITY);
    let than = other.in_words();
    if t > MOST {
        format!("over {} times likelier than {than}", fixed(MOST, 0))
    } else {
        format!("{} times likelier than {than}", fixed(t, 0))
    }
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

/// A candidate as JSON has it.
pub(super) fn candidate(c: &Candidate) -> serde_json::Value {
    use crate::units::print::round_to;
    serde_json::json!({
        "model": c.model.id(),
        "weight": round_to(c.weight, 6),
        "rms_m": c.rms_m.map(|r| round_to(r, 6)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn made(model: Model, weights: [f64; 4], forced: bool) -> Choice {
        let candidates = Model::ALL
            .into_iter()
            .zip(weights)
            .map(|(model, weight)| Candidate { model, weight, rms_m: Some(0.1) })
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
}
