//! What must hold for every input when a venue is opened.

use std::collections::BTreeMap;

use ovalpeg::rules::{Practice, RuleSet};
use ovalpeg::venue::{Document, FitFile, Venue, VenueError, open, sha256_hex};

use super::files;
use crate::Failure;
use crate::sound::{hold, trouble_of_words};
use crate::whole::{Ended, cards};

/// A venue, or why it can't be opened.
pub(super) type Opened = Result<Venue, VenueError>;

/// The demo league's files.
pub(super) struct League {
    files: BTreeMap<String, Vec<u8>>,
}

impl League {
    /// Reads the files.
    ///
    /// # Errors
    /// Where one can't be read.
    pub(super) fn open() -> Result<Self, Failure> {
        Ok(Self { files: files::venues()? })
    }

    fn of(&self, which: impl Fn(&str) -> bool) -> impl Iterator<Item = Vec<u8>> {
        self.files.iter().filter(move |(name, _)| which(name)).map(|(_, bytes)| bytes.clone())
    }

    /// Every `venue.toml`.
    pub(super) fn documents(&self) -> impl Iterator<Item = Vec<u8>> {
        self.of(|name| !name.contains('.'))
    }

    /// Every fit file.
    pub(super) fn fits(&self) -> impl Iterator<Item = Vec<u8>> {
        self.of(|name| name.starts_with("fit-"))
    }

    /// Checks that a venue file opens and has its cards, or that its problems are listed.
    ///
    /// # Errors
    /// What is wrong.
    pub(super) fn document_holds(&self, input: &[u8]) -> Result<(), String> {
        self.document(input).map_or(Ok(()), |opened| holds(opened, input))
    }

    /// A venue file, opened; `None` where it is not UTF-8.
    pub(super) fn document(&self, input: &[u8]) -> Option<Opened> {
        let text = std::str::from_utf8(input).ok()?;
        Some(open(text, |name| self.file(name)))
    }

    fn file(&self, name: &str) -> Result<Vec<u8>, String> {
        self.files.get(name).cloned().ok_or_else(|| "there is no such file".to_owned())
    }

    /// Checks that a venue with this fit file has its cards, or that the file is refused with a sound
    /// message.
    ///
    /// # Errors
    /// What is wrong.
    pub(super) fn fit_holds(&self, input: &[u8]) -> Result<(), String> {
        holds(self.fit(input)?, input)
    }

    /// A venue with this fit file, opened.
    ///
    /// # Errors
    /// Where the demo venue does not read.
    pub(super) fn fit(&self, input: &[u8]) -> Result<Opened, String> {
        let document = self.documents().next().and_then(|d| String::from_utf8(d).ok()).unwrap_or_default();
        let Ok(parsed) = Document::parse(&document) else { return Err("a demo venue does not read".into()) };
        // Put this venue's survey into the fit file, so that the two match.
        let fit = match (FitFile::from_json(input), parsed.surveys.as_slice()) {
            (Ok((_, sha)), [survey]) if !sha.is_empty() => String::from_utf8_lossy(input)
                .replace(&format!("\"{sha}\""), &format!("\"{}\"", survey.sha256))
                .into_bytes(),
            _ => input.to_vec(),
        };
        let document = document.replace(&parsed.fit_sha256, &sha256_hex(&fit));
        Ok(open(&document, |name| if name == parsed.fit_file { Ok(fit.clone()) } else { self.file(name) }))
    }
}

/// The line that names the demo venue's rule set, and the line that names the fuzzed one.
const RULES: [&str; 2] = ["set = \"laws\"", "set = \"spoilt\""];

impl League {
    /// Checks that a venue under this rule set has its cards, or that the rule set's problems are listed.
    ///
    /// # Errors
    /// What is wrong.
    pub(super) fn rules_hold(&self, input: &[u8]) -> Result<(), String> {
        holds(self.under_rules(input)?, input)
    }

    /// A venue under these rules, opened.
    ///
    /// # Errors
    /// Where the demo venue has another rule set than expected.
    pub(super) fn under_rules(&self, input: &[u8]) -> Result<Opened, String> {
        let document = self.documents().next().and_then(|d| String::from_utf8(d).ok()).unwrap_or_default();
        if !document.contains(RULES[0]) {
            return Err("the demo venue is under other rules".into());
        }
        Ok(open(&document.replace(RULES[0], RULES[1]), |name| {
            if name.ends_with(".rules.toml") { Ok(input.to_vec()) } else { self.file(name) }
        }))
    }

    /// Seeds: for each built-in set a league's file that changes every number to the value that it has
    /// already.
    pub(super) fn rules() -> Vec<Vec<u8>> {
        RuleSet::all()
            .iter()
            .map(|set| {
                let numbers = |keys: Vec<&'static str>, get: &dyn Fn(&str) -> Option<f64>| {
                    keys.iter().filter_map(|key| Some(format!("{key} = {}\n", get(key)?))).collect::<String>()
                };
                let laws = numbers(RuleSet::ROWS.iter().map(|r| r.key).collect(), &|key| {
                    set.get(key).and_then(|s| s.given())
                });
                let practice = numbers(Practice::ROWS.iter().map(|r| r.key).collect(), &|key| {
                    set.practice.get(key).and_then(|s| s.given())
                });
                format!(
                    "schema = 1\nname = \"Spoilt\"\nbased_on = \"{}\"\nsource = \"none\"\nyear = 2026\n\n\
                     [[change]]\nwhy = \"all of it\"\n{laws}{practice}restart = \"ball-up\"\n",
                    set.id
                )
                .into_bytes()
            })
            .collect()
    }
}

/// Checks that a venue that opened has its cards, or that a refusal has a sound message.
fn holds(opened: Opened, input: &[u8]) -> Result<(), String> {
    match opened {
        Err(e) if e.problems().is_empty() => Err("refused without a problem".into()),
        Err(e) => match trouble_of_words(&e.to_string()) {
            Some(why) => Err(format!("{why}: {}", e.to_string().chars().take(300).collect::<String>())),
            None => Ok(()),
        },
        Ok(venue) => hold(&cards(&venue).map_err(|e: Ended| e.words().to_owned())?, input),
    }
}
