//! Rule sets as JSON.

use serde::Serialize;

use super::OwnRules;
use super::json::{Number, SCHEMA, m, pretty};
use crate::rules::{Choice, Row, RuleSet, Sourced};

/// A number of a rule set or of practice, with where it comes from.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct NumberRow {
    key: &'static str,
    what: &'static str,
    value: Option<Number>,
    unit: &'static str,
    least: Number,
    most: Number,
    may_be_none: bool,
    source: &'static str,
    edition: Option<&'static str>,
    year: Option<u16>,
    standing: &'static str,
}

/// What a rule set says that is no number.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ChoiceRow {
    key: &'static str,
    what: &'static str,
    value: &'static str,
    source: &'static str,
    edition: Option<&'static str>,
    year: Option<u16>,
    standing: &'static str,
}

/// What a league changed of the set that its own is based on.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ChangeRow<'a> {
    key: &'static str,
    was: &'a str,
    now: &'a str,
    why: &'a str,
    source: Option<&'a str>,
    year: Option<u16>,
}

/// A rule set's name.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct HeadRow<'a> {
    id: &'a str,
    name: &'a str,
    built_in: bool,
    based_on: Option<&'a str>,
}

/// A league's file that can't be read.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct UnreadRow<'a> {
    id: &'a str,
    built_in: bool,
    /// How many.
    problems: usize,
}

/// A rule set in the list of them.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
enum ListedRow<'a> {
    Read(HeadRow<'a>),
    Unread(UnreadRow<'a>),
}

/// Which rule sets there are: `rules --json`.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct RuleSetsDocument<'a> {
    schema: u32,
    rule_sets: Vec<ListedRow<'a>>,
}

/// One rule set, whole.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct RulesDocument<'a> {
    schema: u32,
    #[serde(flatten)]
    head: HeadRow<'a>,
    changes: Vec<ChangeRow<'a>>,
    numbers: Vec<NumberRow>,
    choices: Vec<ChoiceRow>,
    practice: Vec<NumberRow>,
}

fn number((row, n): (Row, Sourced)) -> NumberRow {
    NumberRow {
        key: row.key,
        what: row.what,
        value: n.given().map(m),
        unit: row.unit,
        least: m(row.least),
        most: m(row.most),
        may_be_none: row.optional,
        source: n.source,
        edition: n.edition,
        year: n.year,
        standing: n.standing.id(),
    }
}

fn choice(choice: Choice, set: &RuleSet) -> ChoiceRow {
    let from = choice.grounds(set);
    ChoiceRow {
        key: choice.key(),
        what: choice.what(),
        value: choice.words(set),
        source: from.source.name,
        edition: from.source.edition,
        year: from.source.year,
        standing: from.standing.id(),
    }
}

fn head(set: &RuleSet) -> HeadRow<'_> {
    HeadRow {
        id: &set.id,
        name: &set.name,
        built_in: RuleSet::find(&set.id).is_some(),
        based_on: set.based_on.as_deref(),
    }
}

/// Which rule sets there are: `ovalpeg rules --json`.
#[must_use]
pub fn rule_sets_json(own: &[OwnRules]) -> String {
    let built_in = RuleSet::all();
    let own = own.iter().map(|(id, set)| match set {
        Ok(set) => ListedRow::Read(head(set)),
        Err(problems) => ListedRow::Unread(UnreadRow { id, built_in: false, problems: *problems }),
    });
    let rule_sets = built_in.iter().map(|set| ListedRow::Read(head(set))).chain(own).collect();
    pretty(&RuleSetsDocument { schema: SCHEMA, rule_sets })
}

/// One rule set, whole.
#[must_use]
pub fn rules_json(set: &RuleSet) -> String {
    let changes = set.changes.iter().map(|c| ChangeRow {
        key: c.key,
        was: &c.was,
        now: &c.now,
        why: &c.why,
        source: c.source.as_deref(),
        year: c.year,
    });
    pretty(&RulesDocument {
        schema: SCHEMA,
        head: head(set),
        changes: changes.collect(),
        numbers: set.entries().map(number).collect(),
        choices: Choice::ALL.into_iter().map(|c| choice(c, set)).collect(),
        practice: set.practice.entries().map(number).collect(),
    })
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;

    #[test]
    fn every_number_is_there_with_its_source_and_standing() {
        for set in RuleSet::all() {
            let v: Value = serde_json::from_str(&rules_json(&set)).unwrap();
            assert_eq!((v["schema"].as_i64(), v["id"].as_str()), (Some(1), Some(set.id.as_ref())));
            let numbers = v["numbers"].as_array().unwrap();
            assert_eq!(numbers.len(), RuleSet::ROWS.len());
            for n in numbers.iter().chain(v["practice"].as_array().unwrap()) {
                let row = n["key"].as_str().and_then(|k| RuleSet::row(k).or(crate::rules::Practice::row(k)));
                assert!(row.is_some() && n["source"].is_string() && n["standing"].is_string(), "{n}");
                assert!(n["value"].is_number() || n["standing"] == "absent", "{n}");
            }
        }
        let nine: Value = serde_json::from_str(&rules_json(&RuleSet::nine_a_side())).unwrap();
        let square =
            nine["numbers"].as_array().unwrap().iter().find(|n| n["key"] == "square_side_m").unwrap();
        assert!(square["value"].is_null());
    }
}
