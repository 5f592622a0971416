//! Parts that several tables of a venue file share: file names and their hashes.

use super::table::{Source, Table};
use crate::units::Problem;

/// Is this a file name without folders? A venue must not point outside its own folder.
fn plain_file_name(name: &str) -> bool {
    !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\', ':'])
}

pub(super) fn hash(t: &mut Table<'_, '_>, s: &mut Source) -> Option<String> {
    let h = t.must_text(s, "sha256", "\"…64 digits…\"")?;
    let good = h.len() == 64 && h.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
    if !good {
        s.problem(t.offset, Problem::new(format!("sha256 '{h}' is not 64 lower-case hexadecimal digits")));
    }
    good.then_some(h)
}

pub(super) fn file(t: &mut Table<'_, '_>, s: &mut Source) -> Option<String> {
    let f = t.must_text(s, "file", "\"survey-….csv\"")?;
    let good = plain_file_name(&f);
    if !good {
        s.problem(
            t.offset,
            Problem::new(format!("file '{f}' is not a plain name")).hint("the file lies beside venue.toml"),
        );
    }
    good.then_some(f)
}
