//! Walking a TOML table so that every problem is found, each with its line.
//!
//! Deriving a deserialiser would stop at the first problem; people with a venue
//! file to mend want them all.

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::rules::{NotSet, Setting};
use crate::units::{Day, Problem, print};

/// What is shared by all tables of a document.
pub(super) struct Source<'a> {
    pub(super) text: &'a str,
    pub(super) problems: Vec<Problem>,
}

impl Source<'_> {
    fn line(&self, offset: usize) -> usize {
        1 + self.text.as_bytes().iter().take(offset).filter(|&&b| b == b'\n').count()
    }

    pub(super) fn problem(&mut self, offset: usize, problem: Problem) {
        let place = format!("line {}", self.line(offset));
        self.problems.push(problem.at(place));
    }
}

/// One table, and which of its keys were asked for.
pub(super) struct Table<'a, 'i> {
    table: &'a DeTable<'i>,
    /// For messages: `[survey]`, `[[landmark]] 2`; empty at the top.
    name: String,
    pub(super) offset: usize,
    asked: Vec<&'static str>,
}

fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

impl<'a, 'i> Table<'a, 'i> {
    pub(super) fn new(table: &'a DeTable<'i>, name: impl Into<String>, offset: usize) -> Self {
        Self { table, name: name.into(), offset, asked: Vec::new() }
    }

    fn shown(&self, key: &str) -> String {
        if self.name.is_empty() { format!("'{key}'") } else { format!("'{key}' in {}", self.name) }
    }

    fn get(&mut self, key: &'static str) -> Option<&'a Spanned<DeValue<'i>>> {
        self.asked.push(key);
        self.table.iter().find(|(k, _)| k.get_ref() == key).map(|(_, v)| v)
    }

    fn missing(&self, source: &mut Source<'_>, key: &str, example: &str) {
        source.problem(
            self.offset,
            Problem::new(format!("{} is missing", self.shown(key))).hint(format!("write {key} = {example}")),
        );
    }

    fn wrong(&self, source: &mut Source<'_>, key: &str, found: &Spanned<DeValue<'_>>, want: &str) {
        source.problem(
            found.span().start,
            Problem::new(format!("{} is {}, not {want}", self.shown(key), kind(found.get_ref()))),
        );
    }

    /// A text without control characters, if the key is there.
    pub(super) fn text(&mut self, source: &mut Source<'_>, key: &'static str) -> Option<String> {
        let found = self.get(key)?;
        let Some(text) = found.get_ref().as_str() else {
            self.wrong(source, key, found, "a text in quotes");
            return None;
        };
        if text.trim().is_empty() || text.chars().any(char::is_control) || text.chars().count() > 200 {
            source.problem(
                found.span().start,
                Problem::new(format!("{} is empty, too long, or holds control characters", self.shown(key))),
            );
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// A text that must be there.
    pub(super) fn must_text(
        &mut self,
        source: &mut Source<'_>,
        key: &'static str,
        example: &str,
    ) -> Option<String> {
        if !self.has(key) {
            self.asked.push(key);
            self.missing(source, key, example);
            return None;
        }
        self.text(source, key)
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.table.iter().any(|(k, _)| k.get_ref() == key)
    }

    /// A finite number in a range, if the key is there.
    pub(super) fn number(
        &mut self,
        source: &mut Source<'_>,
        key: &'static str,
        range: std::ops::RangeInclusive<f64>,
    ) -> Option<f64> {
        let found = self.get(key)?;
        let value = number_of(found.get_ref());
        let Some(value) = value else {
            self.wrong(source, key, found, "a number");
            return None;
        };
        if !range.contains(&value) {
            let p = Problem::new(format!(
                "{} is {value}, outside {} to {}",
                self.shown(key),
                range.start(),
                range.end()
            ));
            let swapped = key == "latitude" && (96.0..=169.0).contains(&value.abs());
            source.problem(
                found.span().start,
                if swapped { p.hint("are latitude and longitude swapped?") } else { p },
            );
            return None;
        }
        Some(value)
    }

    /// A number that must be there.
    pub(super) fn must_number(
        &mut self,
        source: &mut Source<'_>,
        key: &'static str,
        range: std::ops::RangeInclusive<f64>,
        example: &str,
    ) -> Option<f64> {
        if !self.has(key) {
            self.asked.push(key);
            self.missing(source, key, example);
            return None;
        }
        self.number(source, key, range)
    }

    pub(super) fn boolean(&mut self, source: &mut Source<'_>, key: &'static str) -> Option<bool> {
        let found = self.get(key)?;
        let value = found.get_ref().as_bool();
        if value.is_none() {
            self.wrong(source, key, found, "true or false");
        }
        value
    }

    /// A day, as a text or as TOML's own date.
    pub(super) fn must_day(&mut self, source: &mut Source<'_>, key: &'static str) -> Option<Day> {
        let Some(found) = self.get(key) else {
            self.missing(source, key, "\"2026-03-14\"");
            return None;
        };
        let text = match found.get_ref() {
            DeValue::String(s) => s.to_string(),
            DeValue::Datetime(d) => d.to_string(),
            _ => {
                self.wrong(source, key, found, "a date");
                return None;
            }
        };
        text.parse::<Day>()
            .map_err(|e| {
                let p = Problem::new(format!("{}: {e}", self.shown(key))).hint("write it as \"2026-03-14\"");
                source.problem(found.span().start, p);
            })
            .ok()
    }

    /// A list of texts.
    pub(super) fn texts(&mut self, source: &mut Source<'_>, key: &'static str) -> Vec<String> {
        let Some(found) = self.get(key) else { return Vec::new() };
        let Some(list) = found.get_ref().as_array() else {
            self.wrong(source, key, found, "a list of texts");
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in list.iter() {
            match item.get_ref().as_str() {
                Some(text) if !text.chars().any(char::is_control) => out.push(text.trim().to_owned()),
                _ => self.wrong(source, key, item, "a text in quotes"),
            }
        }
        out
    }

    /// A table within, if it is there.
    pub(super) fn table(&mut self, source: &mut Source<'_>, key: &'static str) -> Option<Table<'a, 'i>> {
        let found = self.get(key)?;
        let Some(table) = found.get_ref().as_table() else {
            self.wrong(source, key, found, "a table");
            return None;
        };
        Some(Table::new(table, format!("[{key}]"), found.span().start))
    }

    /// A table that must be there.
    pub(super) fn must_table(&mut self, source: &mut Source<'_>, key: &'static str) -> Option<Table<'a, 'i>> {
        if !self.has(key) {
            self.asked.push(key);
            source.problem(self.offset, Problem::new(format!("the table [{key}] is missing")));
            return None;
        }
        self.table(source, key)
    }

    /// A list of tables.
    pub(super) fn tables(&mut self, source: &mut Source<'_>, key: &'static str) -> Vec<Table<'a, 'i>> {
        let Some(found) = self.get(key) else { return Vec::new() };
        let Some(list) = found.get_ref().as_array() else {
            source.problem(
                found.span().start,
                Problem::new(format!(
                    "{} is {}, not a list of tables",
                    self.shown(key),
                    kind(found.get_ref())
                ))
                .hint(format!("write [[{key}]] with double brackets")),
            );
            return Vec::new();
        };
        let mut out = Vec::new();
        for (i, item) in list.iter().enumerate() {
            match item.get_ref().as_table() {
                Some(table) => {
                    out.push(Table::new(table, format!("[[{key}]] number {}", i + 1), item.span().start));
                }
                None => self.wrong(source, key, item, "a table"),
            }
        }
        out
    }

    /// The schema's version, which must be the one that is read.
    pub(super) fn must_schema(&mut self, source: &mut Source<'_>, read: i64) {
        match self.must_number(source, "schema", 0.0..=1e6, "1") {
            Some(v) if v == read as f64 => {}
            Some(v) => source.problem(
                0,
                Problem::new(format!("schema {v} is not known"))
                    .hint(format!("this program reads schema {read}")),
            ),
            None => {}
        }
    }

    /// Where the value of a key stands; the table's own place where there is none.
    pub(super) fn offset_of(&self, key: &str) -> usize {
        let found = self.table.iter().find(|(k, _)| k.get_ref() == key);
        found.map_or(self.offset, |(_, v)| v.span().start)
    }

    /// Every key that was not asked for and what is written there, for tables whose keys the caller knows:
    /// `known`, for hints.
    pub(super) fn settings(
        &self,
        source: &mut Source<'_>,
        known: &[&'static str],
        mut take: impl FnMut(&str, &Setting) -> Result<(), NotSet>,
    ) {
        for (key, value) in self.table {
            let name = key.get_ref().as_ref();
            if self.asked.contains(&name) {
                continue;
            }
            let Some(setting) = setting_of(value.get_ref()) else {
                self.wrong(source, name, value, "a number");
                continue;
            };
            match take(name, &setting) {
                Ok(()) => {}
                Err(NotSet::NoSuchKey) => self.unknown(source, key, known),
                Err(NotSet::NoNumber(_)) => self.wrong(source, name, value, "a number"),
                Err(NotSet::Twice) => source.problem(
                    key.span().start,
                    Problem::new(format!("{} is changed twice", print::for_terminal(&self.shown(name)))),
                ),
                Err(why) => source.problem(value.span().start, Problem::new(why.to_string())),
            }
        }
    }

    /// Reports the keys that nobody asked for.
    pub(super) fn finish(self, source: &mut Source<'_>) {
        for (key, _) in self.table {
            if !self.asked.contains(&key.get_ref().as_ref()) {
                self.unknown(source, key, &self.asked);
            }
        }
    }

    /// A key that nobody knows, and what it was likely meant for.
    fn unknown(&self, source: &mut Source<'_>, key: &Spanned<DeString<'_>>, known: &[&'static str]) {
        let name = key.get_ref().as_ref();
        let p = Problem::new(format!("{} is not known", print::for_terminal(&self.shown(name))));
        let near = known.iter().min_by_key(|k| distance(k, name)).filter(|k| distance(k, name) <= 2);
        source.problem(
            key.span().start,
            match near {
                Some(near) => p.hint(format!("did you mean '{near}'?")),
                None if known.len() > 12 => p.hint("a rule set's own list has every key"),
                None => p.hint(format!("known here: {}", known.join(", "))),
            },
        );
    }
}

fn setting_of(value: &DeValue<'_>) -> Option<Setting> {
    match value {
        DeValue::Boolean(yes) => Some(Setting::Flag(*yes)),
        DeValue::String(text) if text == "none" => Some(Setting::None),
        DeValue::String(text) => Some(Setting::Word(text.to_string())),
        other => number_of(other).map(Setting::Number),
    }
}

fn number_of(value: &DeValue<'_>) -> Option<f64> {
    let text = match value {
        DeValue::Integer(i) if i.radix() == 10 => i.as_str(),
        DeValue::Float(f) => f.as_str(),
        _ => return None,
    };
    text.parse::<f64>().ok().filter(|v| v.is_finite())
}

/// Edit distance between two short names.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut before = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = before + usize::from(ca != *cb);
            before = row[j + 1];
            row[j + 1] = change.min(before + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edit_distance() {
        assert_eq!(distance("latitude", "latitude"), 0);
        assert_eq!(distance("latitude", "lattitude"), 1);
        assert_eq!(distance("width_m", "with_m"), 1);
    }
}
