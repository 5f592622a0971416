//! What must hold of everything that the opening of a venue is given.

use std::collections::BTreeMap;

use ovalpeg::venue::{Document, FitFile, open, sha256_hex};

use super::files;
use crate::Failure;
use crate::sound::{trouble_of_words, troubles};
use crate::whole::{Ended, cards};

/// The demo league's files.
pub(super) struct League {
    files: BTreeMap<String, Vec<u8>>,
}

impl League {
    /// Reads them.
    ///
    /// # Errors
    /// One can't be read.
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

    /// A venue file opens, or its problems are listed; what opens has its cards.
    ///
    /// # Errors
    /// What does not hold.
    pub(super) fn document_holds(&self, input: &[u8]) -> Result<(), String> {
        let Ok(text) = std::str::from_utf8(input) else { return Ok(()) };
        if let Err(problems) = Document::parse(text)
            && problems.is_empty()
        {
            return Err("refused without a problem".into());
        }
        let file =
            |name: &str| self.files.get(name).cloned().ok_or_else(|| "there is no such file".to_owned());
        opens(text, file)
    }

    /// A fit file reads, or is refused in words; a venue that names it has its cards.
    ///
    /// # Errors
    /// What does not hold.
    pub(super) fn fit_holds(&self, input: &[u8]) -> Result<(), String> {
        let document = self.documents().next().and_then(|d| String::from_utf8(d).ok()).unwrap_or_default();
        let Ok(parsed) = Document::parse(&document) else { return Err("a demo venue does not read".into()) };
        // So that it is the fit of this venue's survey, as far as its words go.
        let fit = match (FitFile::from_json(input), parsed.surveys.as_slice()) {
            (Ok((_, sha)), [survey]) if !sha.is_empty() => {
                String::from_utf8_lossy(input).replace(&sha, &survey.sha256).into_bytes()
            }
            _ => input.to_vec(),
        };
        let document = document.replace(&parsed.fit_sha256, &sha256_hex(&fit));
        let file = |name: &str| {
            if name == parsed.fit_file {
                return Ok(fit.clone());
            }
            self.files.get(name).cloned().ok_or_else(|| "there is no such file".to_owned())
        };
        opens(&document, file)
    }
}

fn opens(text: &str, file: impl FnMut(&str) -> Result<Vec<u8>, String>) -> Result<(), String> {
    match open(text, file) {
        Err(e) if e.problems().is_empty() => Err("refused without a problem".into()),
        Err(e) => match trouble_of_words(&e.to_string()) {
            Some(why) => Err(format!("{why}: {}", e.to_string().chars().take(300).collect::<String>())),
            None => Ok(()),
        },
        Ok(venue) => {
            let texts = cards(&venue).map_err(|e: Ended| e.words().to_owned())?;
            texts.iter().flat_map(troubles).next().map_or(Ok(()), Err)
        }
    }
}
