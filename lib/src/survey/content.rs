//! The kind of a file by its content: its name may be wrong, and piped input has no name.

use crate::units::Problem;

/// The remedy for a format that is not read.
pub(super) const REMEDY: &str = "export it as GPX, KML or CSV from the program that made it";

/// The kind of content, which selects the reader.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Content {
    Empty,
    Zip,
    Xml,
    Json,
    Text,
    /// A known format that is not read.
    Other(&'static str),
}

/// Signatures of formats that people give by mistake, with their offsets, as each format publishes them.
const SIGNATURES: &[(usize, &[u8], &str)] = &[
    (8, b".FIT", "a FIT file, a sports watch's own format"),
    (0, b"\x00\x00\x27\x0a", "a shapefile"),
    (0, b"%PDF", "a PDF document"),
    (0, b"\xff\xd8\xff", "a photograph (JPEG)"),
    (0, b"\x89PNG", "an image (PNG)"),
    (0, b"II*\x00", "an image (TIFF)"),
    (0, b"MM\x00*", "an image (TIFF)"),
    (0, b"SQLite format 3", "a database (a GeoPackage, perhaps)"),
    (0, b"\xd0\xcf\x11\xe0", "an old office document (.xls, .doc)"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (0, b"7z\xbc\xaf", "a 7z archive"),
    (0, b"Rar!", "a rar archive"),
    (0, b"AC10", "a drawing (DWG)"),
    (0, b"{\\rtf", "a text with formatting (RTF)"),
];

pub(super) fn content(bytes: &[u8]) -> Content {
    if bytes.starts_with(b"PK") && bytes.get(2).is_some_and(|b| *b < 0x10) {
        return Content::Zip;
    }
    if let Some((.., what)) =
        SIGNATURES.iter().find(|(at, magic, _)| bytes.get(*at..).is_some_and(|b| b.starts_with(magic)))
    {
        return Content::Other(what);
    }
    // The first visible character, after a byte-order mark and the zero bytes of UTF-16.
    match bytes.iter().find(|b| b.is_ascii_graphic()) {
        None => Content::Empty,
        Some(b'<') => Content::Xml,
        Some(b'{' | b'[') => Content::Json,
        Some(_) => Content::Text,
    }
}

/// The refusal of a known format that is not read.
pub(super) fn refusal(what: &str) -> Problem {
    Problem::new(format!("this is {what}, which is not read")).hint(REMEDY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn told_by_the_first_bytes() {
        for (bytes, want) in [
            (&b""[..], Content::Empty),
            (b"\xef\xbb\xbf \n", Content::Empty),
            (b"PK\x03\x04", Content::Zip),
            // A CSV whose first column is a peg's name.
            (b"PK,x,y", Content::Text),
            (b"\xef\xbb\xbf<kml/>", Content::Xml),
            (b"\xff\xfe<\0k\0", Content::Xml),
            (b"\xfe\xff\0{\0}", Content::Json),
            (b"\n\t [1]", Content::Json),
            (b"x,y\n", Content::Text),
        ] {
            assert_eq!(content(bytes), want, "{bytes:?}");
        }
        assert!(matches!(content(b"\x0e\x10\x43\x08\0\0\0\0.FIT"), Content::Other(w) if w.contains("watch")));
        assert!(matches!(content(b"%PDF-1.7"), Content::Other(w) if w.contains("PDF")));
        assert!(refusal("a thing").to_string().contains("GPX, KML or CSV"));
    }
}
