//! Remedies as data: what a person can set to settle a problem.
//! A program words it as an option, a page shows a button.

use std::fmt;

/// Something that a person can say about a survey, beside its files.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Setting {
    /// Which features are the boundary.
    Boundary,
    /// Which features are goal posts.
    GoalPosts,
    /// Which features are behind posts.
    BehindPosts,
    /// Which features are left out.
    Ignore,
    /// How it was surveyed.
    Method,
    /// The datum of its coordinates.
    Datum,
    /// The zone of its eastings and northings.
    Zone,
    /// The state or territory that it lies in.
    State,
    /// The height of the ground above the ellipsoid.
    Height,
    /// How much is cut off the beginning and end of a walk.
    Trim,
    /// The rule set that the ground is for.
    Rules,
    /// That only the curve is asked for, without goals.
    CurveAlone,
}

impl Setting {
    /// Every setting.
    pub const ALL: [Self; 12] = [
        Self::Boundary,
        Self::GoalPosts,
        Self::BehindPosts,
        Self::Ignore,
        Self::Method,
        Self::Datum,
        Self::Zone,
        Self::State,
        Self::Height,
        Self::Trim,
        Self::Rules,
        Self::CurveAlone,
    ];

    /// The setting as a noun for the middle of a sentence.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Boundary => "which features are the boundary",
            Self::GoalPosts => "which are goal posts",
            Self::BehindPosts => "which are behind posts",
            Self::Ignore => "which to leave out",
            Self::Method => "how it was surveyed",
            Self::Datum => "the datum",
            Self::Zone => "the zone",
            Self::State => "the state",
            Self::Height => "the ground's height",
            Self::Trim => "how much to trim off a walk's ends",
            Self::Rules => "the rule set that the ground is for",
            Self::CurveAlone => "that the curve alone is asked for",
        }
    }
}

/// A setting that would settle a problem, and the values that it may take.
///
/// # Examples
/// ```
/// use ovalpeg::units::{Problem, Remedy, Setting};
/// let p = Problem::new("a grid of which datum?").settle(Remedy::say(Setting::Datum).one_of(["gda94", "gda2020"]));
/// assert_eq!(p.to_string(), "a grid of which datum? (hint: say the datum: gda94 or gda2020)");
/// assert_eq!(p.settled_by()[0].values(), ["gda94", "gda2020"]);
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remedy {
    setting: Setting,
    values: Vec<String>,
    assumed: bool,
}

impl Remedy {
    /// A setting without which the work can't go on.
    #[must_use]
    pub fn say(setting: Setting) -> Self {
        Self { setting, values: Vec::new(), assumed: false }
    }

    /// A setting for which a value was assumed, and which a person may overrule.
    #[must_use]
    pub fn otherwise(setting: Setting) -> Self {
        Self { setting, values: Vec::new(), assumed: true }
    }

    /// Lists the values that it may take, the likeliest first.
    #[must_use]
    pub fn one_of(mut self, values: impl IntoIterator<Item = impl Into<String>>) -> Self {
        self.values = values.into_iter().map(Into::into).collect();
        self
    }

    /// The setting.
    #[must_use]
    pub fn setting(&self) -> Setting {
        self.setting
    }

    /// The values that it may take; empty where they can't be listed.
    #[must_use]
    pub fn values(&self) -> &[String] {
        &self.values
    }

    /// Was a value assumed for it?
    #[must_use]
    pub fn is_assumed(&self) -> bool {
        self.assumed
    }
}

/// The values as a list in words: `a, b or c`.
#[must_use]
pub fn either(values: &[String]) -> String {
    match values {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "say {}", self.setting.noun())?;
        match &self.values[..] {
            [] if self.assumed => f.write_str(" if it is another"),
            [] => Ok(()),
            values => write!(f, ": {}", either(values)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_as_what_to_say() {
        assert_eq!(Remedy::say(Setting::Zone).to_string(), "say the zone");
        assert_eq!(
            Remedy::otherwise(Setting::Height).to_string(),
            "say the ground's height if it is another"
        );
        let three = Remedy::say(Setting::Zone).one_of(["54", "55", "56"]);
        assert_eq!(three.to_string(), "say the zone: 54, 55 or 56");
    }
}
