//! Every kind of document that the program prints as JSON is what its schema says, to the last key.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use crate::golden::venues;
use crate::sources::braced;
use crate::support::{Folder, demo, json, oval};

/// The schemas by their names.
fn schemas() -> BTreeMap<&'static str, Value> {
    ovalpeg::export::schemas()
        .into_iter()
        .map(|(name, text)| (name, serde_json::from_str(&text).unwrap()))
        .collect()
}

/// What a value shows a schema to be: everything wrong with it, and the keys that the schema names.
#[derive(Default)]
struct Found {
    wrong: Vec<String>,
    named: BTreeSet<String>,
}

/// Checks values by one schema. A keyword that it does not know ends the test.
struct Checker<'a> {
    root: &'a Value,
}

impl Checker<'_> {
    fn wrongs(&self, value: &Value) -> Vec<String> {
        self.check(self.root, value, "").wrong
    }

    fn check(&self, schema: &Value, value: &Value, at: &str) -> Found {
        let mut found = Found::default();
        let Value::Object(keywords) = schema else {
            assert_eq!(schema, &json!(true), "{at}");
            return found;
        };
        for (keyword, said) in keywords {
            self.keyword(keyword, said, value, at, &mut found);
        }
        // These stand after what they count.
        for (keyword, named) in [
            ("additionalProperties", keys(schema.get("properties"))),
            ("unevaluatedProperties", found.named.clone()),
        ] {
            let (Some(said), Value::Object(map)) = (schema.get(keyword), value) else { continue };
            for (key, inner) in map.iter().filter(|(key, _)| !named.contains(*key)) {
                match said {
                    Value::Bool(false) => found.wrong.push(format!("{at}/{key} is not in the schema")),
                    of => found.take(self.check(of, inner, &format!("{at}/{key}"))),
                }
            }
        }
        found
    }

    fn keyword(&self, keyword: &str, said: &Value, value: &Value, at: &str, found: &mut Found) {
        let mut hold = |holds: bool| {
            if !holds {
                found.wrong.push(format!("{at} is not of {keyword} {said}: {}", short(value)));
            }
        };
        let list = || said.as_array().unwrap().iter();
        match keyword {
            "$schema" | "$defs" | "title" | "description" | "format" => {}
            "additionalProperties" | "unevaluatedProperties" => {}
            "type" => hold(match said {
                Value::Array(any) => any.iter().any(|t| is_of(t, value)),
                one => is_of(one, value),
            }),
            "const" => hold(value == said),
            "enum" => hold(list().any(|one| one == value)),
            "minimum" => hold(value.as_f64().is_none_or(|v| v >= said.as_f64().unwrap())),
            "maximum" => hold(value.as_f64().is_none_or(|v| v <= said.as_f64().unwrap())),
            "minItems" => hold(value.as_array().is_none_or(|a| a.len() as u64 >= said.as_u64().unwrap())),
            "maxItems" => hold(value.as_array().is_none_or(|a| a.len() as u64 <= said.as_u64().unwrap())),
            "required" => {
                for key in list().filter_map(Value::as_str) {
                    if value.as_object().is_some_and(|map| !map.contains_key(key)) {
                        found.wrong.push(format!("{at}/{key} is missing"));
                    }
                }
            }
            "$ref" => {
                let name = said.as_str().and_then(|s| s.strip_prefix("#/$defs/")).unwrap();
                found.take(self.check(&self.root["$defs"][name], value, at));
            }
            "properties" => {
                found.named.extend(keys(Some(said)));
                for (key, inner) in value.as_object().into_iter().flatten() {
                    if let Some(of) = said.get(key) {
                        let more = self.check(of, inner, &format!("{at}/{key}"));
                        found.wrong.extend(more.wrong);
                    }
                }
            }
            "items" => {
                for (i, inner) in value.as_array().into_iter().flatten().enumerate() {
                    found.wrong.extend(self.check(said, inner, &format!("{at}/{i}")).wrong);
                }
            }
            "allOf" => list().for_each(|of| found.take(self.check(of, value, at))),
            "oneOf" | "anyOf" => {
                let (good, bad): (Vec<Found>, Vec<Found>) =
                    list().map(|of| self.check(of, value, at)).partition(|f| f.wrong.is_empty());
                if good.is_empty() || keyword == "oneOf" && good.len() > 1 {
                    found.wrong.push(format!("{at} is {} of {keyword}", good.len()));
                    found.wrong.extend(bad.into_iter().flat_map(|f| f.wrong));
                }
                good.into_iter().for_each(|f| found.take(f));
            }
            other => panic!("the checker does not know {other}: {said}"),
        }
    }
}

impl Found {
    fn take(&mut self, more: Self) {
        self.wrong.extend(more.wrong);
        self.named.extend(more.named);
    }
}

fn keys(properties: Option<&Value>) -> BTreeSet<String> {
    properties.and_then(Value::as_object).into_iter().flat_map(|map| map.keys().cloned()).collect()
}

fn short(value: &Value) -> String {
    value.to_string().chars().take(80).collect()
}

fn is_of(kind: &Value, value: &Value) -> bool {
    match kind.as_str().unwrap() {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        other => panic!("no type of JSON: {other}"),
    }
}

/// One document of each kind of a demo venue, and a card of every other.
fn documents() -> Vec<(&'static str, Value)> {
    let f = Folder::new();
    let v = demo("cockatoo-hollow");
    let survey = format!("{v}/received/boundary.csv");
    // One length agrees, and one is of another ground; a reading of the second notebook is half a metre wrong.
    let lengths = f.file("lengths.txt", "goal to goal: 185.02, sd 0.03\nwing to wing: 135.01, sd 0.03\n");
    let [good, bad] = [50.0, 50.5].map(|m| f.file(&format!("{m}.txt"), &braced(m)));
    let rtk = ["--method", "rtk", "--datum", "gda2020", "--json"];
    let curve = f.file("curve.csv", &oval(83.3, 67.5, |_, _| true));
    let day = ["--date", "2026-08-01", "--json"];
    let of = |name, parts: &[&[&str]]| (name, json(&parts.concat()));
    let mut all = vec![
        of("throw-in", &[&["throw-in", &v, "--at", "left wing"], &day]),
        of("stations", &[&["stations", &v], &day]),
        of("moment", &[&["stations", &v, "--phase", "play", "--ball", "20,40", "--time", "14:00"], &day]),
        of("phases", &[&["stations", &v, "--sheet"], &day]),
        of("call", &[&["call", "--over", "no", "--json"]]),
        of("calls", &[&["call", "--table", "--json"]]),
        of("rules", &[&["rules", "nine-a-side", "--json"]]),
        of("rule-sets", &[&["rules", "--json"]]),
        of("fit", &[&["fit", &survey], &rtk]),
        of("fit", &[&["fit", &survey, &lengths], &rtk]),
        of("curve", &[&["fit", &curve, "--curve-only", "--json"]]),
        of("network", &[&["adjust", &good, "--json"]]),
        of("network", &[&["adjust", &bad, "--json"]]),
        of("comparison", &[&["compare", &v, &survey], &rtk]),
    ];
    all.extend(venues().iter().map(|name| of("card", &[&["card", &demo(name)], &day])));
    all
}

#[test]
fn every_document_that_is_printed_is_what_its_schema_says() {
    let schemas = schemas();
    let mut seen = BTreeSet::new();
    for (name, document) in documents() {
        let wrongs = Checker { root: &schemas[name] }.wrongs(&document);
        assert!(wrongs.is_empty(), "{name}: {wrongs:#?}");
        if seen.insert(name) {
            a_key_too_many_or_too_few_is_told(name, &schemas[name], document);
        }
    }
    assert_eq!(seen, schemas.keys().copied().collect(), "a kind of document was not printed");
}

/// Keys that not every object of their kind has.
const NOT_ALWAYS: [&str; 4] = ["lat_deg", "lon_deg", "distance_m", "weight"];

/// Of every sort of object in a document one is given a key more, and a key less.
fn a_key_too_many_or_too_few_is_told(name: &str, schema: &Value, document: Value) {
    // Two things of a list tell as much as all.
    let document = cut(document);
    let check = |changed: &Value| Checker { root: schema }.wrongs(changed);
    assert!(check(&document).is_empty(), "{name}");
    let mut sorts = BTreeMap::new();
    objects(&document, String::new(), String::new(), &mut sorts);
    for (sort, pointer) in sorts {
        let mut changed = document.clone();
        let map = changed.pointer_mut(&pointer).and_then(Value::as_object_mut).unwrap();
        // The keys of this one are a shape's own numbers.
        if !sort.ends_with("/shape/parameters") {
            map.insert("one_more".to_owned(), json!(1));
            assert!(!check(&changed).is_empty(), "{name}{sort}: one more key is not told");
        }
        let map = document.pointer(&pointer).and_then(Value::as_object).unwrap();
        for key in map.keys().filter(|k| !NOT_ALWAYS.contains(&k.as_str())).take(3) {
            let mut changed = document.clone();
            changed.pointer_mut(&pointer).and_then(Value::as_object_mut).unwrap().remove(key);
            let told = !check(&changed).is_empty();
            assert!(told || sort.ends_with("/shape/parameters"), "{name}{sort}: {key} is not missed");
        }
    }
}

/// A document with no more than two of the objects of a list.
fn cut(value: Value) -> Value {
    match value {
        Value::Array(list) if list.iter().any(|v| v.is_object() || v.is_array()) => {
            list.into_iter().take(2).map(cut).collect()
        }
        Value::Object(map) => map.into_iter().map(|(key, v)| (key, cut(v))).collect(),
        other => other,
    }
}

/// The first object at each path that is the same but for its numbers: that path, and where it is.
fn objects(value: &Value, sort: String, pointer: String, out: &mut BTreeMap<String, String>) {
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                objects(inner, format!("{sort}/{key}"), format!("{pointer}/{key}"), out);
            }
            out.entry(sort).or_insert(pointer);
        }
        Value::Array(list) => {
            for (i, inner) in list.iter().enumerate() {
                objects(inner, format!("{sort}/*"), format!("{pointer}/{i}"), out);
            }
        }
        _ => {}
    }
}
