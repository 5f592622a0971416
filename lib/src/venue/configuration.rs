//! Configurations of one ground: senior and junior, the rope up, finals.
//!
//! Each takes its rule set, line, fence, landmarks and hazards from the venue unless it gives its own. The
//! venue's own survey and fit belong to the default configuration.

use super::around::{fence, hazard, landmark, painted};
use super::fitted::{Fitted, fitted};
use super::rules_in::{RulesOf, rules_in};
use super::table::{Source, Table};
use crate::frame::LocalPlane;
use crate::ground::Surroundings;
use crate::rules::RuleSet;
use crate::units::Problem;
use crate::units::ranges::{CONFIGURATIONS, HAZARDS, INSET_M, LANDMARKS, NAME_CHARS, text_trouble};

/// One way in which a ground is used.
#[derive(Debug, Clone, PartialEq)]
pub struct Configuration {
    /// Its name, as printed.
    pub name: String,
    /// Where its line is.
    pub line: ConfigurationLine,
    /// Its rule set, with its own numbers and practice.
    pub rules: RuleSet,
    /// Its surroundings: the venue's, with its own added.
    pub surroundings: Surroundings,
}

/// The boundary line of a configuration.
#[derive(Debug, Clone, PartialEq)]
pub enum ConfigurationLine {
    /// The venue's surveyed line.
    Surveyed,
    /// A line inside the surveyed one, all round.
    Inset {
        /// How far inside, m.
        in_m: f64,
    },
    /// A rope inside the surveyed line, which can still be seen.
    Rope {
        /// How far inside, m.
        in_m: f64,
    },
    /// A line with a survey of its own.
    Own(Fitted),
}

/// What configurations take from the venue unless they give their own.
pub(super) struct Base<'a> {
    pub(super) plane: &'a LocalPlane,
    pub(super) rules: &'a RuleSet,
    pub(super) surroundings: &'a Surroundings,
}

/// Every `[[configuration]]`, and the index of the default one; `None` where there are no configurations.
pub(super) fn configurations(
    root: &mut Table<'_, '_>,
    s: &mut Source,
    base: &Base<'_>,
    rules_of: RulesOf<'_>,
) -> (Vec<Configuration>, Option<usize>) {
    if !root.since(s, 2, "configuration") {
        return (Vec::new(), None);
    }
    let (mut all, mut default, mut said): (Vec<Configuration>, Option<usize>, bool) =
        (Vec::new(), None, false);
    let tables = root.tables(s, "configuration", CONFIGURATIONS);
    let count = tables.len();
    for t in tables {
        let offset = t.offset;
        let (found, is_default) = configuration(t, s, base, rules_of);
        if let Some(c) = &found
            && all.iter().any(|other| other.name.to_lowercase() == c.name.to_lowercase())
        {
            s.problem(offset, Problem::new(format!("two configurations are called '{}'", c.name)));
        }
        if is_default {
            if said {
                s.problem(offset, Problem::new("two configurations are the default").hint("one is"));
            }
            said = true;
            default = default.or(found.as_ref().map(|_| all.len()));
        }
        all.extend(found);
    }
    // A single configuration is the default.
    let default = default.or((count == 1 && all.len() == 1).then_some(0));
    match default {
        Some(i) if all[i].line != ConfigurationLine::Surveyed => {
            let p = Problem::new(format!(
                "the default configuration '{}' has a line of its own, and [survey] and [fit] are the default's",
                all[i].name
            ));
            s.problem(
                root.offset_of("configuration"),
                p.hint("make one the default that is played on the surveyed line, or survey this one"),
            );
        }
        None if count > 1 && !said => s.problem(
            root.offset_of("configuration"),
            Problem::new("none of the configurations is the default").hint("add default = true to one"),
        ),
        _ => {}
    }
    (all, default)
}

/// One configuration, and whether it says that it is the default.
fn configuration(
    mut t: Table<'_, '_>,
    s: &mut Source,
    base: &Base<'_>,
    rules_of: RulesOf<'_>,
) -> (Option<Configuration>, bool) {
    let name = t.must_text(s, "name", "\"junior\"");
    if let Some(p) = name.as_deref().and_then(|n| text_trouble(n, NAME_CHARS)) {
        s.problem(t.offset_of("name"), p.about("the name of a configuration"));
    }
    let default = t.boolean(s, "default").unwrap_or(false);
    let line = line(&mut t, s);
    let own = t.table(s, "rules");
    let practice = t.table(s, "practice");
    let rules = match (own, practice) {
        (None, None) => Some(base.rules.clone()),
        (None, practice) => rules_in(None, practice, Some(base.rules), s, rules_of),
        (rules, practice) => rules_in(rules, practice, None, s, rules_of),
    };
    let mut surroundings = base.surroundings.clone();
    if let Some(t) = t.table(s, "painted") {
        surroundings.painted = painted(t, s);
    }
    if let Some(t) = t.table(s, "fence") {
        surroundings.fence = fence(t, s, base.plane);
    }
    let practice = rules.as_ref().unwrap_or(base.rules).practice.clone();
    let landmarks = t.tables(s, "landmark", LANDMARKS);
    surroundings
        .landmarks
        .extend(landmarks.into_iter().filter_map(|t| landmark(t, s, base.plane, &practice)));
    let hazards = t.tables(s, "hazard", HAZARDS);
    surroundings.hazards.extend(hazards.into_iter().filter_map(|t| hazard(t, s, base.plane)));
    t.finish(s);
    let found = match (name, line, rules) {
        (Some(name), Some(line), Some(rules)) => Some(Configuration { name, line, rules, surroundings }),
        _ => None,
    };
    (found, default)
}

fn line(t: &mut Table<'_, '_>, s: &mut Source) -> Option<ConfigurationLine> {
    let said = ["inset_m", "rope_m", "fit"].into_iter().filter(|key| t.has(key)).count();
    if said > 1 {
        let p = Problem::new("this configuration has more than one line");
        s.problem(t.offset, p.hint("give inset_m, or rope_m, or its own survey and fit"));
    }
    let (inset, rope) = (t.number(s, "inset_m", &INSET_M), t.number(s, "rope_m", &INSET_M));
    if t.has("fit") || t.has("survey") {
        return fitted(t, s).map(ConfigurationLine::Own);
    }
    if (t.has("inset_m"), t.has("rope_m")) == (false, false) {
        return Some(ConfigurationLine::Surveyed);
    }
    match (inset, rope) {
        (Some(in_m), _) => Some(ConfigurationLine::Inset { in_m }),
        (None, Some(in_m)) => Some(ConfigurationLine::Rope { in_m }),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::document::Document;
    use super::super::document::tests::{GOOD_2, with};
    use super::*;

    fn problems(more: &str) -> String {
        Document::parse(&with(GOOD_2, more)).unwrap_err().iter().map(|p| format!("{p}\n")).collect()
    }

    const THREE: &str = "[[configuration]]\nname = \"senior\"\ndefault = true\n\
        [[configuration.hazard]]\nname = \"dugout\"\nx_m = 1\ny_m = 2\nradius_m = 1\n\
        [[configuration]]\nname = \"junior\"\ninset_m = 12.5\n[configuration.rules]\nset = \"juniors-u12\"\n\
        [configuration.fence]\ndistance_m = 16\n[configuration.painted]\nsquare = false\n\
        [[configuration]]\nname = \"rope up\"\nrope_m = 3\n[configuration.practice]\nback_m = 10\n";

    #[test]
    fn each_has_its_own_and_the_venues_for_the_rest_and_the_default_is_the_documents() {
        let d = Document::parse(&with(GOOD_2, THREE)).unwrap();
        assert_eq!(d.default_configuration, Some(0));
        let [senior, junior, rope] = &d.configurations[..] else { panic!() };
        assert_eq!((&senior.line, &senior.rules), (&ConfigurationLine::Surveyed, &d.rules));
        // A hazard of one configuration belongs to no other, and the default's hazard is on the cards.
        let hazards = |c: &Configuration| c.surroundings.hazards.len();
        assert_eq!((hazards(senior), hazards(junior), d.surroundings.hazards.len()), (2, 1, 2));
        assert_eq!(junior.line, ConfigurationLine::Inset { in_m: 12.5 });
        assert_eq!(junior.rules.id, "juniors-u12");
        // The venue's own numbers are for the venue's own rule set.
        assert!(junior.rules.square_side_m.value != 45.0 || junior.rules.practice.back_m.value != 12.0);
        assert_eq!(junior.surroundings.fence.distance_m, Some(16.0));
        assert!(!junior.surroundings.painted.square && senior.surroundings.painted.square);
        assert_eq!(
            (rope.line.clone(), rope.rules.practice.back_m.value),
            (ConfigurationLine::Rope { in_m: 3.0 }, 10.0)
        );
        assert_eq!(rope.rules.square_side_m.value, 45.0);
        assert_eq!(d.practice.back_m.value, 12.0);
    }

    #[test]
    fn a_configuration_may_be_surveyed_by_itself() {
        let own = "[[configuration]]\nname = \"senior\"\ndefault = true\n[[configuration]]\nname = \"finals\"\n\
            [configuration.survey]\nfile = \"survey-b.csv\"\ndate = \"2026-08-01\"\nmethod = \"rtk\"\n\
            sha256 = \"cccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccccc\"\n\
            [configuration.fit]\nfile = \"fit-b.json\"\n\
            sha256 = \"dddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddddd\"\n";
        let d = Document::parse(&with(GOOD_2, own)).unwrap();
        let ConfigurationLine::Own(fitted) = &d.configurations[1].line else { panic!() };
        assert_eq!((fitted.fit_file.as_str(), fitted.surveys.len()), ("fit-b.json", 1));
        assert_eq!(d.fit_file, "fit-a.json");
    }

    #[test]
    fn what_does_not_go_together_is_said() {
        assert!(
            problems(&THREE.replace("default = true\n", ""))
                .contains("none of the configurations is the default")
        );
        let e = problems(&THREE.replace("name = \"junior\"\n", "name = \"Senior\"\ndefault = true\n"));
        assert!(e.contains("two configurations are called 'Senior'") && e.contains("are the default"), "{e}");
        let e = problems(
            &THREE.replace("default = true\n", "").replace("rope_m = 3\n", "rope_m = 3\ndefault = true\n"),
        );
        assert!(e.contains("the default configuration 'rope up' has a line of its own"), "{e}");
        assert!(
            problems(&THREE.replace("rope_m = 3\n", "rope_m = 3\ninset_m = 3\n"))
                .contains("more than one line")
        );
        assert!(
            problems(&THREE.replace("rope_m = 3", "rope_m = 300"))
                .contains("'rope_m' in [[configuration]] number 3 is 300")
        );
        assert!(
            problems(&THREE.replace("juniors-u12", "none-such"))
                .contains("rule set 'none-such' is not known")
        );
        assert!(problems(&THREE.replace("inset_m", "insert_m")).contains("did you mean 'inset_m'?"));
    }
}
