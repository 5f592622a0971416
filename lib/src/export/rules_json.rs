//! Rule sets as JSON.

use serde_json::{Value, json};

use super::OwnRules;
use super::json::{m, pretty};
use crate::rules::{Choice, Row, RuleSet, Sourced};

fn number((row, n): (Row, Sourced)) -> Value {
    json!({
        "key": row.key,
        "what": row.what,
        "value": n.given().map(m),
        "unit": row.unit,
        "least": m(row.least),
        "most": m(row.most),
        "may_be_none": row.optional,
        "source": n.source,
        "edition": n.edition,
        "year": n.year,
        "standing": n.standing.id(),
    })
}

fn head(set: &RuleSet) -> Value {
    json!({
        "id": set.id,
        "name": set.name,
        "built_in": RuleSet::find(&set.id).is_some(),
        "based_on": set.based_on,
    })
}

/// Which rule sets there are: `ovalpeg rules --json`.
#[must_use]
pub fn rule_sets_json(own: &[OwnRules]) -> String {
    let mut sets: Vec<Value> = RuleSet::all().iter().map(head).collect();
    for (id, set) in own {
        sets.push(match set {
            Ok(set) => head(set),
            Err(problems) => json!({ "id": id, "built_in": false, "problems": problems }),
        });
    }
    pretty(&json!({ "schema": 1, "rule_sets": sets }))
}

/// One rule set, whole.
#[must_use]
pub fn rules_json(set: &RuleSet) -> String {
    let b = &set.because;
    let choices: Vec<Value> = Choice::ALL
        .into_iter()
        .map(|choice| {
            let from = match choice {
                Choice::OnTheArcIsInside => b.on_arc_is_inside,
                Choice::ThrowIns => b.throw_ins,
                Choice::LastDisposal => b.last_disposal,
                Choice::Restart => b.restart,
            };
            json!({
                "key": choice.key(),
                "what": choice.what(),
                "value": choice.words(set),
                "source": from.source.name,
                "edition": from.source.edition,
                "year": from.source.year,
                "standing": from.standing.id(),
            })
        })
        .collect();
    let changes: Vec<Value> = set
        .changes
        .iter()
        .map(|c| {
            json!({
                "key": c.key,
                "was": c.was,
                "now": c.now,
                "why": c.why,
                "source": c.source,
                "year": c.year,
            })
        })
        .collect();
    let mut out = json!({ "schema": 1 });
    if let (Some(map), Value::Object(head)) = (out.as_object_mut(), head(set)) {
        map.extend(head);
        map.insert("changes".into(), changes.into());
        map.insert("numbers".into(), set.entries().map(number).collect());
        map.insert("choices".into(), choices.into());
        map.insert("practice".into(), set.practice.entries().map(number).collect());
    }
    pretty(&out)
}

#[cfg(test)]
mod tests {
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
