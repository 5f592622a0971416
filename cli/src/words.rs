//! Words remedies as options of this program: the library leaves that to its caller.

use std::fmt;

use ovalpeg::fit::FitError;
use ovalpeg::units::{Problem, Remedy, Setting, either};

/// The option that gives a setting.
fn option(setting: Setting) -> &'static str {
    match setting {
        Setting::Boundary => "--boundary",
        Setting::GoalPosts => "--goal-posts",
        Setting::BehindPosts => "--behind-posts",
        Setting::Ignore => "--ignore",
        Setting::Method => "--method",
        Setting::Datum => "--datum",
        Setting::Zone => "--zone",
        Setting::State => "--state",
        Setting::Height => "--height",
        Setting::Trim => "--trim, as in --trim '3 min, 40 m', where the way there and back is in the walk",
        Setting::Rules => "--rules",
        Setting::CurveAlone => "--curve-only",
        // A setting without an option here is described in words.
        other => other.noun(),
    }
}

/// Remedies in words: `say --datum gda94 or gda2020`; `--boundary and --goal-posts say otherwise`.
fn remedies(list: &[Remedy]) -> String {
    let say = list.iter().filter(|r| !r.is_assumed()).map(|r| {
        let values = either(r.values());
        if values.is_empty() {
            format!("say {}", option(r.setting()))
        } else {
            format!("say {} {values}", option(r.setting()))
        }
    });
    let otherwise: Vec<&str> = list.iter().filter(|r| r.is_assumed()).map(|r| option(r.setting())).collect();
    let otherwise = match &otherwise[..] {
        [] => None,
        [only] => Some(format!("{only} says otherwise")),
        [first @ .., last] => Some(format!("{} and {last} say otherwise", first.join(", "))),
    };
    say.chain(otherwise).collect::<Vec<_>>().join("; ")
}

/// A problem with its remedies as options.
pub(crate) fn worded(problem: &Problem) -> Problem {
    problem.clone().worded(remedies)
}

/// Why no ground could be fitted, and what track cleaning found before that.
#[derive(Debug)]
pub(crate) struct Unfitted {
    pub(crate) why: FitError,
    pub(crate) remedies: Vec<Remedy>,
    pub(crate) found: Vec<String>,
}

impl Unfitted {
    /// The lines of the message: the reason, the remedies, and what track cleaning found.
    pub(crate) fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> =
            self.why.to_string().lines().map(|l| l.trim_start().to_owned()).collect();
        if !self.remedies.is_empty() {
            lines.push(format!("(hint: {})", remedies(&self.remedies)));
        }
        if !self.found.is_empty() {
            lines.push("before that, track cleaning found:".to_owned());
            lines.extend(self.found.iter().cloned());
        }
        lines
    }
}

impl fmt::Display for Unfitted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.why.fmt(f)
    }
}

impl std::error::Error for Unfitted {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_remedy_is_worded_as_an_option() {
        let p = Problem::new("which?").settle(Remedy::say(Setting::Datum).one_of(["gda94", "gda2020"]));
        assert_eq!(worded(&p).to_string(), "which? (hint: say --datum gda94 or gda2020)");
        let p = Problem::new("unused")
            .hint("look")
            .settle(Remedy::otherwise(Setting::Boundary))
            .settle(Remedy::otherwise(Setting::GoalPosts));
        assert_eq!(worded(&p).to_string(), "unused (hint: look; --boundary and --goal-posts say otherwise)");
    }

    #[test]
    fn every_setting_is_an_option() {
        for setting in Setting::ALL {
            assert!(option(setting).starts_with("--"), "{setting:?}");
        }
    }
}
