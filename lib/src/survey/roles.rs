//! What a feature is, by its name or code; the rules are in the documentation of `survey`.

use super::SurveyError;
use crate::units::{Problem, Remedy, Setting, print};

/// What a point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// A point of the boundary line.
    Line,
    /// A goal post.
    GoalPost,
    /// A behind post.
    BehindPost,
    /// Something else, which is reported and left out of the fit.
    Unused,
}

/// Patterns that say what features are. A pattern matches a part of a feature's name, folder
/// or code, in upper or lower case. The first list that matches wins, in this order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[non_exhaustive]
pub struct Patterns {
    /// Features that are left out.
    pub ignore: Vec<String>,
    /// Goal posts.
    pub goal_posts: Vec<String>,
    /// Behind posts.
    pub behind_posts: Vec<String>,
    /// The boundary. If given, no other feature is boundary, but posts are still recognised.
    pub boundary: Vec<String>,
    /// Whether this is one file of several. Then a pattern that matches nothing in it may match in
    /// another file, and the caller checks with [`Patterns::refuse_unmatched`].
    pub in_several: bool,
}

impl Patterns {
    fn hit(patterns: &[String], name: &str) -> bool {
        let name = name.to_lowercase();
        patterns.iter().any(|p| !p.is_empty() && name.contains(&p.to_lowercase()))
    }

    /// What the patterns say about a name; `None` when none matches.
    #[must_use]
    pub fn role(&self, name: &str) -> Option<Role> {
        if Self::hit(&self.ignore, name) {
            Some(Role::Unused)
        } else if Self::hit(&self.goal_posts, name) {
            Some(Role::GoalPost)
        } else if Self::hit(&self.behind_posts, name) {
            Some(Role::BehindPost)
        } else if Self::hit(&self.boundary, name) {
            Some(Role::Line)
        } else {
            None
        }
    }

    /// Was a pattern for the boundary given?
    #[must_use]
    pub fn names_boundary(&self) -> bool {
        !self.boundary.is_empty()
    }

    /// Refuses patterns that match nothing in any of these surveys.
    ///
    /// # Errors
    /// A problem for each such pattern, with the names in the surveys.
    pub fn refuse_unmatched(&self, surveys: &[&super::Survey]) -> Result<(), SurveyError> {
        let alone = Self { in_several: false, ..self.clone() };
        let points = surveys.iter().flat_map(|s| s.observations.iter().map(|o| o.name.as_str()));
        let marks =
            surveys.iter().flat_map(|s| &s.book).flat_map(|b| b.marks.iter().map(|m| m.name.as_str()));
        refuse_unmatched(&alone, points.chain(marks))
    }

    /// Every pattern that matches none of these names, with its setting.
    pub(super) fn unmatched<'a>(&'a self, names: &[&str]) -> Vec<(Setting, &'a str)> {
        [
            (Setting::Ignore, &self.ignore),
            (Setting::GoalPosts, &self.goal_posts),
            (Setting::BehindPosts, &self.behind_posts),
            (Setting::Boundary, &self.boundary),
        ]
        .into_iter()
        .flat_map(|(setting, list)| list.iter().map(move |p| (setting, p.as_str())))
        .filter(|(_, p)| !names.iter().any(|n| Self::hit(&[(*p).to_owned()], n)))
        .collect()
    }
}

/// What a name says about a feature, without patterns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Says {
    /// Nothing: it is empty or has only digits.
    Nothing,
    Boundary,
    GoalPost,
    BehindPost,
    SomethingElse,
}

/// Words of a name, in lower case and without digits at their ends.
fn words(name: &str) -> Vec<String> {
    name.split(|c: char| !c.is_alphanumeric())
        .map(|w| w.trim_matches(|c: char| c.is_ascii_digit()).to_lowercase())
        .filter(|w| !w.is_empty())
        .collect()
}

/// Is a word `GP` or `BP`, perhaps with letters for the end and the side before or after it, as in `NLGP` or
/// `BPSE`? `GPS` is not: it is a receiver.
fn is_short_for(word: &str, post: &str) -> bool {
    const SIDES: [char; 6] = ['n', 's', 'e', 'w', 'l', 'r'];
    let letters = |t: &str| t.chars().count() <= 2 && t.chars().all(|c| SIDES.contains(&c));
    word != "gps"
        && word.split_once(post).is_some_and(|(before, after)| {
            (before.is_empty() || after.is_empty()) && letters(before) && letters(after)
        })
}

pub(super) fn says(name: &str) -> Says {
    let words = words(name);
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let post = has(&["post", "posts"]);
    if words.is_empty() {
        Says::Nothing
    } else if has(&["behindpost", "behindposts"])
        || (post && has(&["behind", "behinds", "point"]))
        || words.iter().any(|w| is_short_for(w, "bp"))
    {
        Says::BehindPost
    } else if has(&["goalpost", "goalposts"])
        || (post && has(&["goal", "goals"]))
        || words.iter().any(|w| is_short_for(w, "gp"))
    {
        Says::GoalPost
    } else if has(&["boundary", "bdy", "bndy", "bl", "line", "oval", "edge", "perimeter"])
        && !has(&["goal", "behind", "fence", "centre", "center"])
    {
        Says::Boundary
    } else {
        Says::SomethingElse
    }
}

/// Does a name say that it is a mark to measure from, and not a point of the ground?
pub(super) fn is_a_mark(name: &str) -> bool {
    const MARKS: &[&str] =
        &["peg", "mark", "nail", "stake", "station", "base", "tree", "light", "tower", "gate"];
    words(name).iter().any(|w| MARKS.contains(&w.as_str()))
}

/// A name without its digits and separators, which is the same for `Point 7` and `Point 8`.
pub(super) fn stem(name: &str) -> String {
    words(name).join(" ")
}

/// Refuses patterns that match nothing: a mistyped pattern would silently change what is fitted.
pub(super) fn refuse_unmatched<'a>(
    patterns: &Patterns,
    names: impl Iterator<Item = &'a str>,
) -> Result<(), SurveyError> {
    let names: Vec<&str> = names.collect();
    let unmatched = patterns.unmatched(&names);
    if unmatched.is_empty() || patterns.in_several {
        return Ok(());
    }
    let mut known: Vec<&str> = names.into_iter().filter(|n| !n.is_empty()).collect();
    known.sort_unstable();
    known.dedup();
    let names: Vec<String> = known.iter().take(8).map(|n| print::quoted(n)).collect();
    let told = |p: Problem| match known.len() {
        0 => p.hint("nothing in it has a name or code"),
        n if n > names.len() => p.hint(format!("its first 8 of {n} names follow")),
        _ => p,
    };
    Err(SurveyError::new(
        unmatched
            .into_iter()
            .map(|(setting, p)| {
                let none = Problem::new(format!("nothing in this file is named {}", print::quoted(p)));
                told(none).settle(Remedy::say(setting).one_of(names.clone()))
            })
            .collect(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_what_they_are() {
        for (name, want) in [
            ("", Says::Nothing),
            ("17", Says::Nothing),
            ("GP1", Says::GoalPost),
            ("north goal post L", Says::GoalPost),
            ("BP_NE", Says::BehindPost),
            ("Behind Post 3", Says::BehindPost),
            ("North left goal post", Says::GoalPost),
            ("Goal post L (Silo end)", Says::GoalPost),
            ("goalpost, right", Says::GoalPost),
            ("NLGP", Says::GoalPost),
            ("GPSE", Says::GoalPost),
            ("behind post right", Says::BehindPost),
            ("Point post (school end)", Says::BehindPost),
            ("BPL", Says::BehindPost),
            ("bps", Says::BehindPost),
            ("GPS 4", Says::SomethingElse),
            ("gpx", Says::SomethingElse),
            ("Boundary line", Says::Boundary),
            ("oval-edge 12", Says::Boundary),
            ("goal line", Says::SomethingElse),
            ("fence line", Says::SomethingElse),
            ("Canteen", Says::SomethingElse),
        ] {
            assert_eq!(says(name), want, "{name}");
        }
    }

    #[test]
    fn patterns_win_over_names() {
        let p =
            Patterns { boundary: vec!["inner".into()], ignore: vec!["old".into()], ..Patterns::default() };
        assert_eq!(p.role("Inner edge"), Some(Role::Line));
        assert_eq!(p.role("old inner edge"), Some(Role::Unused));
        assert_eq!(p.role("outer edge"), None);
        assert!(p.names_boundary());
        assert_eq!(p.unmatched(&["Inner edge"]), [(Setting::Ignore, "old")]);
        assert_eq!(Patterns::default().role("anything"), None);
    }
}
