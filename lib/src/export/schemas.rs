//! The schema of every document that is told as JSON, derived from the rows that are printed.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Value, json};

use super::call_json::{CallDocument, CallsDocument};
use super::card_json::CardDocument;
use super::moment_json::{MomentDocument, PhaseSheetDocument};
use super::rules_json::{RuleSetsDocument, RulesDocument};
use super::spot_json::ThrowInDocument;
use super::start_json::StationsDocument;
#[cfg(feature = "survey")]
use super::surveys::{CompareDocument, CurveDocument, FitDocument, NetworkDocument};

/// The JSON Schema, of draft 2020-12, of each kind of document, by its name: a key that it doesn't name is
/// in no document, and one that it requires is in all.
///
/// # Examples
/// ```
/// let schemas = ovalpeg::export::schemas();
/// let (_, card) = schemas.iter().find(|(name, _)| *name == "card").expect("there is one for cards");
/// assert!(card.contains("\"bearings_true_deg\""));
/// ```
#[must_use]
pub fn schemas() -> Vec<(&'static str, String)> {
    vec![
        ("card", of::<CardDocument<'static>>()),
        ("throw-in", of::<ThrowInDocument<'static>>()),
        ("stations", of::<StationsDocument<'static>>()),
        ("moment", of::<MomentDocument<'static>>()),
        ("phases", of::<PhaseSheetDocument<'static>>()),
        ("call", of::<CallDocument>()),
        ("calls", of::<CallsDocument>()),
        ("rules", of::<RulesDocument<'static>>()),
        ("rule-sets", of::<RuleSetsDocument<'static>>()),
        #[cfg(feature = "survey")]
        ("fit", of::<FitDocument<'static>>()),
        #[cfg(feature = "survey")]
        ("curve", of::<CurveDocument<'static>>()),
        #[cfg(feature = "survey")]
        ("network", of::<NetworkDocument<'static>>()),
        #[cfg(feature = "survey")]
        ("comparison", of::<CompareDocument<'static>>()),
    ]
}

fn of<T: JsonSchema>() -> String {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut schema = generator.into_root_schema_for::<T>().to_value();
    close(&mut schema, false);
    super::json::pretty(&schema)
}

/// Says of every object that it has no more keys than those that are named. The keys of a `part` are only
/// some of an object's, and its whole says so.
fn close(schema: &mut Value, part: bool) {
    let Value::Object(keywords) = schema else { return };
    let in_parts = ["oneOf", "anyOf", "allOf"].iter().any(|k| keywords.contains_key(*k));
    let named = keywords.contains_key("properties");
    for (keyword, value) in keywords.iter_mut() {
        match (keyword.as_str(), value) {
            ("properties" | "$defs", Value::Object(each)) => {
                each.values_mut().for_each(|s| close(s, false));
            }
            ("oneOf" | "anyOf" | "allOf", Value::Array(each)) => {
                each.iter_mut().for_each(|s| close(s, named));
            }
            ("prefixItems", Value::Array(each)) => each.iter_mut().for_each(|s| close(s, false)),
            ("items" | "additionalProperties", one) => close(one, false),
            _ => {}
        }
    }
    if named && !part {
        let keyword = if in_parts { "unevaluatedProperties" } else { "additionalProperties" };
        keywords.insert(keyword.to_owned(), json!(false));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_object_is_closed_once_and_its_parts_are_not() {
        let mut schema = json!({
            "properties": { "a": { "properties": { "x": true } } },
            "oneOf": [{ "properties": { "b": { "properties": {} } } }],
        });
        close(&mut schema, false);
        let inner = json!({ "properties": { "x": true }, "additionalProperties": false });
        assert_eq!(schema["properties"]["a"], inner);
        assert_eq!(schema["unevaluatedProperties"], false);
        let part = &schema["oneOf"][0];
        assert!(part.get("additionalProperties").is_none(), "{part}");
        assert_eq!(part["properties"]["b"]["additionalProperties"], false);
    }

    #[test]
    fn each_kind_has_a_schema_of_its_own_with_all_its_keys_required() {
        let all = schemas();
        for (i, (name, text)) in all.iter().enumerate() {
            assert!(all[..i].iter().all(|(other, _)| other != name), "{name}");
            let schema: Value = serde_json::from_str(text).unwrap();
            let required = schema["required"].as_array().unwrap();
            assert_eq!(required.len(), schema["properties"].as_object().unwrap().len(), "{name}");
            assert!(required.contains(&json!("schema")), "{name}");
        }
    }
}
