//! Decodes bytes to text, because old exports are not always UTF-8.

use encoding_rs::{Encoding, WINDOWS_1252};

use super::SurveyError;
use crate::units::Problem;

/// Decodes by the byte-order mark, or else as UTF-8, or else as Windows-1252 (which maps every byte).
pub(super) fn decode(bytes: &[u8]) -> Result<String, SurveyError> {
    if let Some((encoding, _)) = Encoding::for_bom(bytes) {
        let (text, _, bad) = encoding.decode(bytes);
        return if bad { Err(broken(encoding.name())) } else { Ok(text.into_owned()) };
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(_) => Ok(WINDOWS_1252.decode(bytes).0.into_owned()),
    }
}

/// As [`decode`], but uses the `encoding` of an XML declaration if there is no byte-order mark.
pub(super) fn decode_xml(bytes: &[u8]) -> Result<String, SurveyError> {
    if Encoding::for_bom(bytes).is_none() {
        let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).into_owned();
        let declared = head
            .split_once("encoding=")
            .and_then(|(_, rest)| rest.get(1..))
            .and_then(|rest| rest.split(['"', '\'']).next())
            .and_then(|label| Encoding::for_label(label.as_bytes()))
            // The declaration could be read as single bytes, so the text can't be UTF-16, whatever it says.
            .filter(|e| *e != encoding_rs::UTF_16LE && *e != encoding_rs::UTF_16BE);
        if let Some(encoding) = declared {
            let (text, _, bad) = encoding.decode(bytes);
            return if bad { Err(broken(encoding.name())) } else { Ok(text.into_owned()) };
        }
    }
    decode(bytes)
}

fn broken(name: &str) -> SurveyError {
    Problem::new(format!("the file says that its text is {name}, and it is not"))
        .hint("save it again as UTF-8")
        .into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_marks_declarations_and_old_exports() {
        assert_eq!(decode(b"\xef\xbb\xbfx,y").unwrap(), "x,y");
        assert_eq!(decode(b"\xff\xfex\0,\0y\0").unwrap(), "x,y");
        assert_eq!(decode(b"caf\xe9").unwrap(), "café");
        let xml = b"<?xml version='1.0' encoding='ISO-8859-1'?><a>\xe9</a>";
        assert!(decode_xml(xml).unwrap().contains('é'));
        assert!(decode_xml(b"<?xml version='1.0' encoding='UTF-16'?><a/>").unwrap().ends_with("<a/>"));
        assert!(decode(b"\xef\xbb\xbf\xff\xff").is_err());
    }
}
