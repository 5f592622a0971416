//! Walks a TOML table so that every problem is found, each with its line.
//!
//! A derived deserialiser would stop at the first problem, and a person who mends a venue file wants to see
//! them all.

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::end_mark::END_MARK;
use crate::numeric::sort_by_key;
use crate::rules::{NotSet, Setting};
use crate::units::ranges::{Cap, LINES, LISTED, Range, SCHEMA_VERSION, TEXT_CHARS, text_trouble};
use crate::units::{Day, Problem, print};

/// What all tables of a document share.
pub(super) struct Source {
    /// The byte offset of each line's end.
    ends: Vec<usize>,
    /// The line of each problem, counted from 1.
    problems: Vec<(usize, Problem)>,
    /// The version of the file's layout.
    schema: i64,
}

impl Source {
    pub(super) fn new(text: &str) -> Self {
        let ends = text.bytes().enumerate().filter(|&(_, b)| b == b'\n').map(|(i, _)| i).collect();
        Self { ends, problems: Vec::new(), schema: 1 }
    }

    pub(super) fn problem(&mut self, offset: usize, problem: Problem) {
        let line = 1 + self.ends.partition_point(|&end| end < offset);
        let place = problem.place().map_or_else(String::new, |p| format!(", {p}"));
        self.problems.push((line, problem.at(format!("line {line}{place}"))));
    }

    /// Adds a problem in another file, which has its place already.
    pub(super) fn elsewhere(&mut self, problem: Problem) {
        self.problems.push((0, problem));
    }

    /// The problems in the order of the file. Of many, only the first are listed, and how many more there
    /// are.
    pub(super) fn into_problems(mut self) -> Vec<Problem> {
        sort_by_key(&mut self.problems, |(line, _)| *line);
        let more = self.problems.len().saturating_sub(LISTED.most());
        let first = self.problems.into_iter().take(LISTED.most()).map(|(_, p)| p);
        let count = (more > 0).then(|| Problem::new(format!("and {more} more")).hint(LISTED.remedy()));
        first.chain(count).collect()
    }

    pub(super) fn is_good(&self) -> bool {
        self.problems.is_empty()
    }
}

/// The longest key that is shown in full, characters.
const KEY_CHARS: usize = 40;

/// One table, and which of its keys were read.
pub(super) struct Table<'a, 'i> {
    table: &'a DeTable<'i>,
    /// The table's name in messages, as `[survey]`, `[[landmark]] number 2`; empty for the whole file.
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
        let cut: String = key.chars().take(KEY_CHARS).collect();
        let key = if cut.len() < key.len() { cut + "…" } else { cut };
        if self.name.is_empty() { format!("'{key}'") } else { format!("'{key}' in {}", self.name) }
    }

    fn get(&mut self, key: &'static str) -> Option<&'a Spanned<DeValue<'i>>> {
        self.asked.push(key);
        self.table.iter().find(|(k, _)| k.get_ref() == key).map(|(_, v)| v)
    }

    fn missing(&self, source: &mut Source, key: &str, example: &str) {
        source.problem(
            self.offset,
            Problem::new(format!("{} is missing", self.shown(key))).hint(format!("write {key} = {example}")),
        );
    }

    fn wrong(&self, source: &mut Source, key: &str, found: &Spanned<DeValue<'_>>, want: &str) {
        source.problem(
            found.span().start,
            Problem::new(format!("{} is {}, not {want}", self.shown(key), kind(found.get_ref()))),
        );
    }

    /// A text without control characters, if the key is there.
    pub(super) fn text(&mut self, source: &mut Source, key: &'static str) -> Option<String> {
        let found = self.get(key)?;
        let Some(text) = found.get_ref().as_str() else {
            self.wrong(source, key, found, "a text in quotes");
            return None;
        };
        if let Some(trouble) = text_trouble(text, TEXT_CHARS) {
            source.problem(found.span().start, trouble.about(&self.shown(key)));
            return None;
        }
        Some(text.trim().to_owned())
    }

    /// A required text.
    pub(super) fn must_text(
        &mut self,
        source: &mut Source,
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
    pub(super) fn number(&mut self, source: &mut Source, key: &'static str, range: &Range) -> Option<f64> {
        let found = self.get(key)?;
        let value = number_of(found.get_ref());
        let Some(value) = value else {
            self.wrong(source, key, found, "a number");
            return None;
        };
        let checked = range.check_as(&self.shown(key), value);
        checked
            .map_err(|p| {
                let swapped = key == "latitude" && (96.0..=169.0).contains(&value.abs());
                source.problem(
                    found.span().start,
                    if swapped { p.hint("are latitude and longitude swapped?") } else { p },
                );
            })
            .ok()
    }

    /// A required number.
    pub(super) fn must_number(
        &mut self,
        source: &mut Source,
        key: &'static str,
        range: &Range,
        example: &str,
    ) -> Option<f64> {
        if !self.has(key) {
            self.asked.push(key);
            self.missing(source, key, example);
            return None;
        }
        self.number(source, key, range)
    }

    pub(super) fn boolean(&mut self, source: &mut Source, key: &'static str) -> Option<bool> {
        let found = self.get(key)?;
        let value = found.get_ref().as_bool();
        if value.is_none() {
            self.wrong(source, key, found, "true or false");
        }
        value
    }

    /// A day, if the key is there.
    pub(super) fn day(&mut self, source: &mut Source, key: &'static str) -> Option<Day> {
        if self.has(key) { self.must_day(source, key) } else { None }
    }

    /// A required day, as a text or as TOML's own date.
    pub(super) fn must_day(&mut self, source: &mut Source, key: &'static str) -> Option<Day> {
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

    /// A list of texts, if the key is there.
    pub(super) fn texts(&mut self, source: &mut Source, key: &'static str) -> Vec<String> {
        let Some(found) = self.get(key) else { return Vec::new() };
        let Some(list) = found.get_ref().as_array() else {
            self.wrong(source, key, found, "a list of texts");
            return Vec::new();
        };
        if let Err(p) = LINES.check(list.len()) {
            source.problem(found.span().start, p.about_many(&self.shown(key)));
            return Vec::new();
        }
        let mut out = Vec::new();
        for item in list.iter() {
            match item.get_ref().as_str().map(|text| (text, text_trouble(text, TEXT_CHARS))) {
                Some((text, None)) => out.push(text.trim().to_owned()),
                Some((text, _)) if text.trim().is_empty() => {}
                Some((_, Some(trouble))) => source
                    .problem(item.span().start, trouble.about(&format!("a line of {}", self.shown(key)))),
                None => self.wrong(source, key, item, "a text in quotes"),
            }
        }
        out
    }

    /// A table inside this one, if it is there.
    pub(super) fn table(&mut self, source: &mut Source, key: &'static str) -> Option<Table<'a, 'i>> {
        let found = self.get(key)?;
        let Some(table) = found.get_ref().as_table() else {
            self.wrong(source, key, found, "a table");
            return None;
        };
        Some(Table::new(table, format!("[{key}]"), found.span().start))
    }

    /// A required table inside this one.
    pub(super) fn must_table(&mut self, source: &mut Source, key: &'static str) -> Option<Table<'a, 'i>> {
        if !self.has(key) {
            self.asked.push(key);
            source.problem(self.offset, Problem::new(format!("the table [{key}] is missing")));
            return None;
        }
        self.table(source, key)
    }

    /// A list of at most `most` tables.
    pub(super) fn tables(&mut self, source: &mut Source, key: &'static str, most: Cap) -> Vec<Table<'a, 'i>> {
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
        if let Err(p) = most.check(list.len()) {
            // The place of the first table beyond the limit.
            let at = list.get(most.most()).map_or(found.span().start, |item| item.span().start);
            source.problem(at, p.about_many(&format!("[[{key}]]")));
            return Vec::new();
        }
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

    /// The schema's version, which must be from 1 to the newest. `None` for any other: the rest of such a
    /// file can't be understood, so nothing more is reported.
    pub(super) fn must_schema(&mut self, source: &mut Source, newest: i64) -> Option<i64> {
        let at = self.offset_of("schema");
        let found = self.must_number(source, "schema", &SCHEMA_VERSION, &newest.to_string())?;
        let known = (1..=newest).find(|v| *v as f64 == found);
        match known {
            Some(v) => source.schema = v,
            None => {
                let reads = (1..=newest).map(|v| v.to_string()).collect::<Vec<_>>().join(" and ");
                source.problem(
                    at,
                    Problem::new(format!("schema {} is not known", print::as_given(found))).hint(format!(
                        "this program reads schema {reads}: a newer one wrote this file, or it is mistyped"
                    )),
                );
            }
        }
        known
    }

    /// May this key be read, which exists only since `schema`? In a file of an older schema it is reported as
    /// a problem, with what to do about it.
    pub(super) fn since(&mut self, source: &mut Source, schema: i64, key: &'static str) -> bool {
        if source.schema >= schema {
            return true;
        }
        if self.has(key) {
            self.asked.push(key);
            source.problem(
                self.offset_of(key),
                Problem::new(format!("{} came with schema {schema}", self.shown(key))).hint(format!(
                    "write schema = {schema} at the head of the file, and {END_MARK} as its last line"
                )),
            );
        }
        false
    }

    /// The byte offset of a key's value, or of the table itself where the key is missing.
    pub(super) fn offset_of(&self, key: &str) -> usize {
        let found = self.table.iter().find(|(k, _)| k.get_ref() == key);
        found.map_or(self.offset, |(_, v)| v.span().start)
    }

    /// Passes every key that was not read, with its value, to `take`. The keys in `known` are for hints.
    pub(super) fn settings(
        &self,
        source: &mut Source,
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
                    Problem::new(format!("{} is changed twice", self.shown(name))),
                ),
                Err(why) => source.problem(value.span().start, Problem::new(why.to_string())),
            }
        }
    }

    /// Reports the keys that were not read.
    pub(super) fn finish(self, source: &mut Source) {
        for (key, _) in self.table {
            if !self.asked.contains(&key.get_ref().as_ref()) {
                self.unknown(source, key, &self.asked);
            }
        }
    }

    /// Reports an unknown key, with the known one that was probably meant.
    fn unknown(&self, source: &mut Source, key: &Spanned<DeString<'_>>, known: &[&'static str]) {
        let name = key.get_ref().as_ref();
        let p = Problem::new(format!("{} is not known", self.shown(name)));
        // A very long key resembles no known one.
        let near = known
            .iter()
            .filter(|_| name.len() <= KEY_CHARS)
            .min_by_key(|k| distance(k, name))
            .filter(|k| distance(k, name) <= 2);
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
    fn of_many_problems_the_first_are_listed_and_the_others_counted() {
        let mut s = Source::new(&"\n".repeat(100));
        for offset in (0..100).rev() {
            s.problem(offset, Problem::new("wrong"));
        }
        assert!(!s.is_good());
        let all = s.into_problems();
        assert_eq!(all.len(), LISTED.most() + 1);
        assert_eq!((all[0].place(), all[1].place()), (Some("line 1"), Some("line 2")));
        assert_eq!(all[LISTED.most()].message(), "and 80 more");
    }

    #[test]
    fn edit_distance() {
        assert_eq!(distance("latitude", "latitude"), 0);
        assert_eq!(distance("latitude", "lattitude"), 1);
        assert_eq!(distance("width_m", "with_m"), 1);
    }
}
