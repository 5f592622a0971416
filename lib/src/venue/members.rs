//! Reads the members of an object in a JSON file by hand. Derived readers are compiled for each struct and
//! each of its fields: 30 kB for the fit file.

use serde_json::{Map, Value};

use crate::units::print::{CAUSE_CHARS, cut};

/// An object that has no unknown member.
pub(super) struct Members<'a> {
    of: &'static str,
    all: &'a Map<String, Value>,
}

impl<'a> Members<'a> {
    /// The members of `value`, an object of the file that `of` names.
    pub(super) fn new(of: &'static str, value: &'a Value, known: &[&str]) -> Result<Self, String> {
        let all = value.as_object().ok_or_else(|| unread(of, "not an object where there should be one"))?;
        match all.keys().find(|name| !known.contains(&name.as_str())) {
            Some(name) => Err(unread(of, &format!("unknown field `{name}`"))),
            None => Ok(Self { of, all }),
        }
    }

    /// A member; `None` where it is missing or null.
    pub(super) fn get(&self, name: &str) -> Option<&'a Value> {
        self.all.get(name).filter(|value| !value.is_null())
    }

    /// A required member, converted by `read`; `a` says in the message what it should be.
    fn must<T>(&self, name: &str, read: impl FnOnce(&'a Value) -> Option<T>, a: &str) -> Result<T, String> {
        let value = self.get(name).ok_or_else(|| unread(self.of, &format!("missing field `{name}`")))?;
        read(value).ok_or_else(|| unread(self.of, &format!("`{name}` is not {a}")))
    }

    pub(super) fn number(&self, name: &str) -> Result<f64, String> {
        self.must(name, Value::as_f64, "a number")
    }

    /// An optional number.
    pub(super) fn number_or_none(&self, name: &str) -> Result<Option<f64>, String> {
        self.get(name).map(|_| self.number(name)).transpose()
    }

    pub(super) fn count(&self, name: &str) -> Result<usize, String> {
        self.must(name, |value| usize::try_from(value.as_u64()?).ok(), "a count")
    }

    pub(super) fn text(&self, name: &str) -> Result<&'a str, String> {
        self.must(name, Value::as_str, "a text")
    }

    pub(super) fn numbers(&self, name: &str) -> Result<Vec<f64>, String> {
        self.must(name, numbers, "a list of numbers")
    }

    /// A list of lists of numbers.
    pub(super) fn rows(&self, name: &str) -> Result<Vec<Vec<f64>>, String> {
        let rows = |value: &Value| value.as_array()?.iter().map(numbers).collect();
        self.must(name, rows, "a list of lists of numbers")
    }

    /// A list of texts; a missing one is empty.
    pub(super) fn texts_if_any(&self, name: &str) -> Result<Vec<String>, String> {
        let texts = |value: &Value| value.as_array()?.iter().map(|t| Some(t.as_str()?.to_owned())).collect();
        self.get(name).map_or(Ok(Vec::new()), |_| self.must(name, texts, "a list of texts"))
    }

    /// A required object without unknown members.
    pub(super) fn object(&self, name: &str, known: &[&str]) -> Result<Self, String> {
        Self::new(self.of, self.must(name, Some, "an object")?, known)
    }

    /// A list of objects, each with a number for every name in `columns`.
    pub(super) fn table<const N: usize>(
        &self,
        name: &str,
        columns: [&str; N],
    ) -> Result<Vec<[f64; N]>, String> {
        let row = |value| {
            let members = Self::new(self.of, value, &columns)?;
            let mut row = [0.0; N];
            for (number, column) in row.iter_mut().zip(columns) {
                *number = members.number(column)?;
            }
            Ok(row)
        };
        self.must(name, Value::as_array, "a list")?.iter().map(row).collect()
    }
}

/// The message for a file that can't be read.
pub(super) fn unread(of: &str, why: &str) -> String {
    format!("{of} does not read: {}", cut(why, CAUSE_CHARS))
}

fn numbers(value: &Value) -> Option<Vec<f64>> {
    value.as_array()?.iter().map(Value::as_f64).collect()
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn a_member_that_is_missing_unknown_or_of_another_kind_is_named() {
        let value = json!({ "a": 1.5, "b": "text", "c": [1, 2], "d": null, "e": [{ "x": 1, "y": "two" }] });
        let why = |known: &[&str]| Members::new("the file", &value, known).err();
        assert_eq!(why(&["a", "b", "c", "d"]).as_deref(), Some("the file does not read: unknown field `e`"));
        let m = Members::new("the file", &value, &["a", "b", "c", "d", "e", "f"]).unwrap();
        assert_eq!((m.number("a"), m.text("b"), m.numbers("c")), (Ok(1.5), Ok("text"), Ok(vec![1.0, 2.0])));
        assert_eq!((m.number_or_none("d"), m.number_or_none("f")), (Ok(None), Ok(None)));
        for (got, want) in [
            (m.number("b").err(), "`b` is not a number"),
            (m.number("f").err(), "missing field `f`"),
            (m.number_or_none("c").err(), "`c` is not a number"),
            (m.count("a").err(), "`a` is not a count"),
            (m.rows("c").err(), "`c` is not a list of lists of numbers"),
            (m.texts_if_any("c").err(), "`c` is not a list of texts"),
            (m.object("a", &[]).err(), "not an object where there should be one"),
            (m.table("e", ["x", "y"]).err(), "`y` is not a number"),
            (m.table("e", ["x"]).err(), "unknown field `y`"),
            (m.table("f", ["x"]).err(), "missing field `f`"),
        ] {
            assert_eq!(got, Some(format!("the file does not read: {want}")));
        }
    }
}
