//! Reads a league's own rules, which change a built-in set: `<name>.rules.toml` beside its venues.
//!
//! ```toml
//! schema = 1
//! name = "Wattle Valley League"
//! based_on = "laws"
//! source = "By-laws"             # where the changes are written, if anywhere
//! year = 2026
//!
//! [[change]]
//! why = "three of our grounds are older than the Laws' least"
//! length_min_m = 128
//! width_min_m = 104
//!
//! [[change]]
//! why = "no arcs are painted on our junior grounds"
//! source = "minutes of 3 March"
//! arc_radius_m = "none"
//! ```
//!
//! Keys are those of [`RuleSet::ROWS`], [`Practice::ROWS`](crate::rules::Practice::ROWS) and
//! [`Choice`](crate::rules::Choice); each change says why. The file's name is the set's name.

use toml::de::DeTable;

use super::RULES_SCHEMA;
use super::id::is_valid_id;
use super::table::{Source, Table};
use crate::rules::{NotSet, Reason, RuleSet};
use crate::units::Problem;
use crate::units::ranges::{CHANGES, YEAR};

/// The name of the file that holds a league's rule set.
///
/// # Examples
/// ```
/// assert_eq!(ovalpeg::venue::rules_file_name("wattle-league"), "wattle-league.rules.toml");
/// ```
#[must_use]
pub fn rules_file_name(id: &str) -> String {
    format!("{id}.rules.toml")
}

/// The short name of the rule set that a file of this name holds; `None` for other files.
#[must_use]
pub fn rules_file_id(file_name: &str) -> Option<&str> {
    file_name.strip_suffix(".rules.toml").filter(|id| !id.is_empty())
}

/// A rule set by its short name: a built-in one, or a league's own. `bytes_of` returns the bytes of a file
/// beside the venues, or says why it can't.
///
/// # Errors
/// Every problem with the name, or with the league's file, each with its line.
pub fn find_rules(
    id: &str,
    bytes_of: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<RuleSet, Vec<Problem>> {
    if let Some(set) = RuleSet::find(id) {
        return Ok(set);
    }
    let unknown = |why: &str| {
        vec![Problem::new(format!("rule set '{id}' is not known{why}")).hint(format!(
            "one of {}, or a league's own file {} beside the venues",
            built_in(),
            rules_file_name(if is_valid_id(id) { id } else { "my-league" })
        ))]
    };
    if !is_valid_id(id) {
        return Err(unknown(": a set's name is lower-case letters, digits and hyphens"));
    }
    let file = rules_file_name(id);
    let bytes = bytes_of(&file).map_err(|why| unknown(&format!(": {file}: {why}")))?;
    parse_rules(id, &bytes)
}

fn built_in() -> String {
    RuleSet::all().iter().map(|set| set.id.to_string()).collect::<Vec<_>>().join(", ")
}

/// Reads a league's rule set of this short name from the bytes of its file.
///
/// # Errors
/// Every problem, each with the file and its line.
pub fn parse_rules(id: &str, bytes: &[u8]) -> Result<RuleSet, Vec<Problem>> {
    let file = rules_file_name(id);
    let placed = |p: Problem| {
        let place = p.place().map_or_else(|| file.clone(), |line| format!("{file}, {line}"));
        p.at(place)
    };
    if RuleSet::find(id).is_some() {
        let p = Problem::new(format!("'{id}' is a built-in rule set"));
        return Err(vec![p.at(file).hint("give yours a name of its own")]);
    }
    if !is_valid_id(id) {
        let p = Problem::new(format!("'{id}' is no name for a rule set"));
        return Err(vec![p.at(file).hint("lower-case letters, digits and hyphens, as in wattle-league")]);
    }
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Err(vec![Problem::new("not UTF-8 text").at(file)]);
    };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut source = Source::new(text);
    let set = match DeTable::parse(text) {
        Ok(root) => read(id, Table::new(root.get_ref(), "", 0), &mut source),
        Err(e) => {
            let offset = e.span().map_or(0, |span| span.start);
            source.problem(offset, Problem::new(format!("not TOML: {}", e.message())));
            None
        }
    };
    match set {
        Some(set) if source.is_good() => Ok(set),
        _ => Err(source.into_problems().into_iter().map(placed).collect()),
    }
}

fn read(id: &str, mut root: Table<'_, '_>, s: &mut Source) -> Option<RuleSet> {
    root.must_schema(s, RULES_SCHEMA)?;
    let name = root.must_text(s, "name", "\"Wattle Valley League\"");
    let offset = root.offset_of("based_on");
    let base = root.must_text(s, "based_on", "\"laws\"").and_then(|base| {
        let found = RuleSet::find(&base);
        if found.is_none() {
            s.problem(
                offset,
                Problem::new(format!("based_on '{base}' is no built-in rule set"))
                    .hint(format!("one of {}", built_in())),
            );
        }
        found
    });
    let (source, year) = (root.text(s, "source"), year(&mut root, s));
    let changes = root.tables(s, "change", CHANGES);
    root.finish(s);
    // Problems with the changes are reported even where the base has one.
    let mut set = base.clone().unwrap_or_else(RuleSet::laws);
    set.based_on = Some(set.id);
    set.id = id.to_owned().into();
    set.changes = Vec::new();
    let mut last = 0;
    for mut t in changes {
        last = t.offset;
        let why = t.must_text(s, "why", "\"by-law 7 of 2026: older grounds\"");
        let (own_source, own_year) = (t.text(s, "source"), self::year(&mut t, s));
        let reason = Reason {
            why: why.unwrap_or_default(),
            source: own_source.or_else(|| source.clone()),
            year: own_year.or(year),
        };
        let mut count = 0;
        t.settings(s, &RuleSet::keys().collect::<Vec<_>>(), |key, setting| {
            count += 1;
            if set.changes.iter().any(|c| c.key == key) {
                return Err(NotSet::Twice);
            }
            set.change(key, setting, &reason)
        });
        if count == 0 {
            s.problem(t.offset, Problem::new("this [[change]] changes nothing").hint("length_min_m = 130"));
        }
    }
    if let Some(trouble) = set.trouble() {
        s.problem(last, Problem::new(trouble));
    }
    set.name = name?.into();
    base.map(|_| set)
}

/// A year as a whole number.
fn year(t: &mut Table<'_, '_>, s: &mut Source) -> Option<u16> {
    let offset = t.offset_of("year");
    let value = t.number(s, "year", &YEAR)?;
    if value.fract() != 0.0 {
        s.problem(offset, Problem::new("'year' is not a whole number"));
    }
    // Within the range above, so the cast is exact.
    Some(value as u16)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::{LastDisposal, Restart, Standing};

    const GOOD: &str = r#"schema = 1
name = "Wattle Valley League"
based_on = "laws"
source = "By-laws"
year = 2026

[[change]]
why = "three of our grounds are older than the Laws' least"
length_min_m = 128
width_min_m = 104.5

[[change]]
why = "agreed with the umpires' association"
source = "minutes of 3 March"
year = 2025
back_m = 12
restart = "ball-up"
last_disposal_between_arcs = true
outer_circle_diameter_m = "none"
"#;

    fn problems(text: &str) -> String {
        parse_rules("wattle", text.as_bytes())
            .unwrap_err()
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("\n")
    }

    #[test]
    fn a_leagues_file_changes_what_it_names_and_says_why() {
        let set = parse_rules("wattle", GOOD.as_bytes()).unwrap();
        assert_eq!((set.id.as_ref(), set.name.as_ref()), ("wattle", "Wattle Valley League"));
        assert_eq!(set.based_on.as_deref(), Some("laws"));
        assert_eq!((set.length_min_m.value, set.width_min_m.value), (128.0, 104.5));
        assert_eq!(set.length_min_m.standing, Standing::League);
        assert_eq!(set.practice.back_m.value, 12.0);
        assert_eq!((set.restart, set.last_disposal), (Restart::BallUp, LastDisposal::BetweenArcs));
        assert_eq!(set.outer_circle_diameter_m.given(), None);
        // What it does not name stays as in the Laws.
        assert_eq!(set.length_max_m, RuleSet::laws().length_max_m);
        let told = |key: &str| set.changes.iter().find(|c| c.key == key).unwrap();
        assert_eq!((told("length_min_m").was.as_str(), told("length_min_m").year), ("135 m", Some(2026)));
        assert_eq!(told("back_m").source.as_deref(), Some("minutes of 3 March"));
        assert_eq!(set.changes.len(), 6);
    }

    #[test]
    fn every_problem_at_once_with_the_file_and_its_line() {
        let bad = GOOD
            .replace("based_on = \"laws\"", "based_on = \"lores\"")
            .replace("why = \"three of our grounds are older than the Laws' least\"\n", "")
            .replace("width_min_m = 104.5", "width_min_m = 1045")
            .replace("back_m = 12", "bakc_m = 12")
            .replace("restart = \"ball-up\"", "restart = \"throw\"")
            .replace("outer_circle_diameter_m", "post_gap_m");
        let all = problems(&bad);
        for want in [
            "wattle.rules.toml, line 3: based_on 'lores' is no built-in rule set (hint: one of laws, ",
            "wattle.rules.toml, line 7: 'why' in [[change]] number 1 is missing",
            "wattle.rules.toml, line 9: width_min_m is 1045, outside 20 to 250 m",
            "line 15: 'bakc_m' in [[change]] number 2 is not known (hint: did you mean 'back_m'?)",
            "line 16: restart is one of \"bounce\", \"ball-up\", \"ball-up or bounce\"",
            "line 18: post_gap_m can't be left out",
        ] {
            assert!(all.contains(want), "{want}\n---\n{all}");
        }
        assert_eq!(all.lines().count(), 6, "{all}");
    }

    #[test]
    fn what_contradicts_itself_is_refused() {
        assert!(problems(&GOOD.replace("length_min_m = 128", "length_min_m = 190")).contains("more than"));
        let twice = format!("{GOOD}\n[[change]]\nwhy = \"again\"\nback_m = 13\n");
        assert!(
            problems(&twice).contains("line 23: 'back_m' in [[change]] number 3 is changed twice"),
            "{}",
            problems(&twice)
        );
        assert!(problems(&format!("{GOOD}\n[[change]]\nwhy = \"so\"\n")).contains("changes nothing"));
        assert!(
            problems("schema = 2\nname = \"x\"\nbased_on = \"laws\"\n").contains("schema 2 is not known")
        );
        assert!(problems("schema = ").contains("wattle.rules.toml, line 1: not TOML"));
        assert!(problems(&GOOD.replace("year = 2025", "year = 2025.5")).contains("whole number"));
        let of = |id: &str| parse_rules(id, GOOD.as_bytes()).unwrap_err()[0].to_string();
        assert!(of("laws").contains("built-in") && of("../x").contains("no name"));
        assert!(parse_rules("wattle", b"\xff").unwrap_err()[0].to_string().contains("UTF-8"));
    }

    #[test]
    fn a_set_is_found_built_in_or_beside_the_venues() {
        let mut asked = Vec::new();
        let mut beside = |name: &str| {
            asked.push(name.to_owned());
            if name == "wattle.rules.toml" {
                Ok(GOOD.as_bytes().to_vec())
            } else {
                Err("there is none".into())
            }
        };
        assert_eq!(find_rules("laws-1990s", &mut beside).unwrap(), RuleSet::laws_1990s());
        assert_eq!(find_rules("wattle", &mut beside).unwrap().length_min_m.value, 128.0);
        let why = find_rules("other", &mut beside).unwrap_err()[0].to_string();
        assert!(why.contains("rule set 'other' is not known: other.rules.toml: there is none"), "{why}");
        assert!(why.contains("one of laws, laws-2019"), "{why}");
        assert!(find_rules("../../etc", &mut beside).is_err());
        assert_eq!(asked, ["wattle.rules.toml", "other.rules.toml"], "nothing else is opened");
    }

    #[test]
    fn never_panics_on_a_file_cut_or_changed_anywhere() {
        for cut in 0..GOOD.len() {
            let _ = parse_rules("wattle", &GOOD.as_bytes()[..cut]);
            let mut changed = GOOD.as_bytes().to_vec();
            changed[cut] = b'"';
            let _ = parse_rules("wattle", &changed);
        }
    }
}
