//! KMZ: a KML document in a zip archive. The main document is `doc.kml`, or else the
//! first `.kml` at the top level, or else the first anywhere. The number of entries and the
//! unpacked size are limited; the sizes that the archive declares are not trusted.

use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

use super::content::{REMEDY, refusal};
use super::{Format, MAX_BYTES, ReadOptions, Survey, SurveyError, text, xml};
use crate::units::{Problem, Warned, print};

/// Most entries of an archive: enough for an icon or a photograph at every point of a long walk.
const MAX_ENTRIES: usize = 10_000;
/// The signature of each entry in an archive's central directory.
const ENTRY: &[u8] = b"PK\x01\x02";

pub(super) fn read(bytes: &[u8], options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    // Counted before the directory is read. By chance the signature
    // occurs once in four thousand million bytes.
    if bytes.windows(ENTRY.len()).filter(|w| *w == ENTRY).count() > MAX_ENTRIES {
        return Err(Problem::new(format!("the zip archive holds more than {MAX_ENTRIES} files"))
            .hint("give the .kml inside")
            .into());
    }
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| broken(&e))?;
    let names: Vec<String> = (0..archive.len())
        .map(|i| archive.name_for_index(i).and_then(Result::ok).unwrap_or_default().into_owned())
        .collect();
    let main = main_document(&names)?;
    let mut kml = Vec::new();
    let entry = archive.by_index(main).map_err(|e| broken(&e))?;
    // Read one byte more than allowed, to notice that there is more.
    entry.take(MAX_BYTES as u64 + 1).read_to_end(&mut kml).map_err(|e| damaged(&e.to_string()))?;
    if kml.len() > MAX_BYTES {
        return Err(Problem::new(format!("unpacks to more than the {MAX_BYTES} bytes that are read"))
            .at(print::cut(&names[main], print::QUOTED_CHARS))
            .hint("export the boundary alone")
            .into());
    }
    let mut read = xml::read(&text::decode_xml(&kml)?, options)?;
    read.value.format = Format::Kmz;
    let others: Vec<&String> =
        names.iter().enumerate().filter(|(i, n)| *i != main && is_kml(n)).map(|(_, n)| n).collect();
    if !others.is_empty() {
        read.warnings.push(
            Problem::new(format!(
                "{} is read, and not what else the archive holds: {}",
                print::quoted(&names[main]),
                listed(&others)
            ))
            .hint("unzip it and give the .kml that holds the boundary"),
        );
    }
    Ok(read)
}

/// Is it a KML document, and not a file that macOS adds beside each file of an archive?
fn is_kml(name: &str) -> bool {
    let file = name.rsplit(['/', '\\']).next().unwrap_or("");
    file.to_ascii_lowercase().ends_with(".kml") && !file.starts_with("._") && !name.starts_with("__MACOSX/")
}

fn listed<S: AsRef<str>>(names: &[S]) -> String {
    let shown: Vec<String> = names.iter().take(5).map(|n| print::quoted(n.as_ref())).collect();
    format!("{}{}", shown.join(", "), if names.len() > 5 { ", …" } else { "" })
}

/// The index of the document to read, or an error that says what the archive is.
fn main_document(names: &[String]) -> Result<usize, SurveyError> {
    let find = |test: &dyn Fn(&str) -> bool| names.iter().position(|n| test(n));
    let found = find(&|n| n.eq_ignore_ascii_case("doc.kml"))
        .or_else(|| find(&|n| is_kml(n) && !n.contains(['/', '\\'])))
        .or_else(|| find(&is_kml));
    if let Some(i) = found {
        return Ok(i);
    }
    let any = |ending: &str| names.iter().any(|n| n.to_ascii_lowercase().ends_with(ending));
    let starts = |folder: &str| names.iter().any(|n| n.starts_with(folder));
    Err(if starts("xl/") {
        Problem::new("this is a spreadsheet (.xlsx), which is not read").hint("save it as CSV")
    } else if starts("word/") {
        refusal("a document (.docx)")
    } else if any("content.xml") && any("mimetype") {
        Problem::new("this is an open document, which is not read").hint("save a spreadsheet as CSV")
    } else if any(".shp") {
        refusal("a zipped shapefile")
    } else if names.is_empty() {
        Problem::new("the zip archive is empty")
    } else {
        let readable = [".gpx", ".csv", ".geojson", ".json", ".txt"].iter().any(|e| any(e));
        Problem::new(format!("the zip archive holds no .kml but {}", listed(names))).hint(if readable {
            "unzip it and give the file inside"
        } else {
            REMEDY
        })
    }
    .into())
}

fn damaged(why: &str) -> SurveyError {
    Problem::new(format!("the zip archive is damaged: {}", print::cut(why, print::CAUSE_CHARS)))
        .hint("it may have been cut off; fetch or export it again")
        .into()
}

fn broken(e: &ZipError) -> SurveyError {
    match e {
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) | ZipError::InvalidPassword => {
            Problem::new("the zip archive is locked with a password")
                .hint("unlock it, and give the .kml inside")
                .into()
        }
        ZipError::UnsupportedArchive(_) | ZipError::CompressionMethodNotSupported(_) => {
            Problem::new(format!("the zip archive is packed in a way that is not read: {e}"))
                .hint("unzip it and give the .kml inside")
                .into()
        }
        _ => damaged(&e.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    use super::*;

    const KML: &str = "<kml><Placemark><Point><coordinates>145,-36</coordinates></Point></Placemark></kml>";

    fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in files {
            writer.start_file(*name, SimpleFileOptions::default()).unwrap();
            writer.write_all(bytes).unwrap();
        }
        writer.finish().unwrap().into_inner()
    }

    fn ok(files: &[(&str, &[u8])]) -> Warned<Survey> {
        read(&zipped(files), &ReadOptions::default()).unwrap()
    }

    fn err(files: &[(&str, &[u8])]) -> String {
        read(&zipped(files), &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn the_main_document_is_doc_kml_then_the_top_then_any() {
        let bad = &b"<kml/>"[..];
        let good = KML.as_bytes();
        for files in [
            &[("a.kml", bad), ("doc.kml", good)][..],
            &[("files/a.kml", bad), ("__MACOSX/._b.kml", bad), ("b.KML", good)],
            &[("files/icon.png", bad), ("files/a.kml", good)],
        ] {
            let r = ok(files);
            assert_eq!((r.value.observations.len(), r.value.format), (1, Format::Kmz));
        }
        let r = ok(&[("doc.kml", good), ("more/other.kml", bad), ("icon.png", bad)]);
        assert!(r.warnings.iter().any(|w| w.message().contains("'more/other.kml'")));
        assert!(!r.warnings.iter().any(|w| w.message().contains("icon")));
    }

    #[test]
    fn other_archives_are_named_with_the_remedy() {
        for (files, want) in [
            (&[("[Content_Types].xml", &b""[..]), ("xl/workbook.xml", b"")][..], "as CSV"),
            (&[("oval.shp", b""), ("oval.dbf", b"")], "shapefile"),
            (&[("walk.gpx", b"")], "give the file inside"),
            (&[("a.png", b""), ("b.png", b"")], "no .kml but 'a.png', 'b.png'"),
            (&[], "empty"),
        ] {
            let e = err(files);
            assert!(e.contains(want), "{e}");
        }
    }

    #[test]
    fn a_bomb_ends_in_a_sentence() {
        // 22 MB of blanks in 22 kB.
        let bomb = zipped(&[("doc.kml", &vec![b' '; MAX_BYTES + MAX_BYTES / 10])]);
        assert!(bomb.len() < 100_000);
        let e = read(&bomb, &ReadOptions::default()).unwrap_err().to_string();
        assert!(e.contains("doc.kml: unpacks to more than"), "{e}");
    }

    #[test]
    fn many_entries_and_broken_archives_end_in_a_sentence() {
        let names: Vec<String> = (0..=MAX_ENTRIES).map(|i| format!("{i}")).collect();
        let many: Vec<(&str, &[u8])> = names.iter().map(|n| (n.as_str(), &b""[..])).collect();
        assert!(err(&many).contains("more than 10000 files"));
        let whole = zipped(&[("doc.kml", KML.repeat(50).as_bytes())]);
        for cut in [4, whole.len() / 2, whole.len() - 5] {
            let e = read(&whole[..cut], &ReadOptions::default()).unwrap_err().to_string();
            assert!(e.contains("damaged"), "{e}");
        }
        // With any one byte wrong there is a result or a refusal, and no panic.
        for at in 0..whole.len() {
            let mut wrong = whole.clone();
            wrong[at] ^= 0x55;
            let _ = read(&wrong, &ReadOptions::default());
        }
    }

    #[test]
    fn a_locked_archive_says_so() {
        // Sets the encryption flag in both headers of a plain archive.
        let mut locked = zipped(&[("doc.kml", KML.as_bytes())]);
        locked[6] |= 1;
        let list = locked.windows(4).position(|w| w == ENTRY).unwrap();
        locked[list + 8] |= 1;
        let e = read(&locked, &ReadOptions::default()).unwrap_err().to_string();
        assert!(e.contains("password"), "{e}");
    }
}
