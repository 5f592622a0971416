//! Reads the rule set of a venue or a configuration: one that it names, with its own numbers in place of
//! some.

use super::table::{Source, Table};
use crate::rules::{By, Choice, NotSet, Practice, Row, RuleSet};
use crate::units::Problem;

/// Finds a rule set by its short name.
pub(super) type RulesOf<'a> = &'a mut dyn FnMut(&str) -> Result<RuleSet, Vec<Problem>>;

/// The rule set that a table names, or else `base`, with the venue's own numbers put in, practice included.
pub(super) fn rules_in(
    rules: Option<Table<'_, '_>>,
    practice: Option<Table<'_, '_>>,
    base: Option<&RuleSet>,
    s: &mut Source,
    rules_of: RulesOf<'_>,
) -> Option<RuleSet> {
    let Some(mut t) = rules else {
        let mut rules = base?.clone();
        let offset = practice.as_ref().map_or(0, |t| t.offset);
        practice.into_iter().for_each(|t| numbers(&t, Practice::ROWS, &mut rules, s));
        if let Some(trouble) = rules.trouble() {
            s.problem(offset, Problem::new(trouble).at("[practice]"));
        }
        return Some(rules);
    };
    let offset = t.offset_of("set");
    let set = t.must_text(s, "set", "\"laws\"").and_then(|id| match rules_of(&id) {
        Ok(set) => Some(set),
        Err(problems) => {
            for p in problems {
                // A problem in the league's file has its place already.
                if p.place().is_some() { s.elsewhere(p) } else { s.problem(offset, p) }
            }
            None
        }
    });
    let of_laws = t.table(s, "numbers");
    // Problems with the numbers are reported even where the set has one.
    let mut rules = set.clone().unwrap_or_else(RuleSet::laws);
    let choices: Vec<&'static str> =
        Choice::ALL.into_iter().map(Choice::key).chain(["set", "numbers"]).collect();
    t.settings(s, &choices, |key, setting| {
        if choices.contains(&key) { rules.put(key, setting, By::Venue) } else { Err(NotSet::NoSuchKey) }
    });
    for (table, rows) in [(of_laws, RuleSet::ROWS), (practice, Practice::ROWS)] {
        table.into_iter().for_each(|t| numbers(&t, rows, &mut rules, s));
    }
    if let Some(trouble) = rules.trouble() {
        s.problem(offset, Problem::new(trouble).at("[rules]"));
    }
    set.map(|_| rules)
}

fn numbers(table: &Table<'_, '_>, rows: &[Row], rules: &mut RuleSet, s: &mut Source) {
    let known: Vec<&'static str> = rows.iter().map(|row| row.key).collect();
    table.settings(s, &known, |key, setting| {
        if known.contains(&key) { rules.put(key, setting, By::Venue) } else { Err(NotSet::NoSuchKey) }
    });
}
