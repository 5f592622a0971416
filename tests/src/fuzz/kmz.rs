//! Zip archives for the reader of KMZ.

use std::io::{Cursor, Read as _, Write as _};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::Failure;

/// A KML document in an archive, with another file beside it.
///
/// # Errors
/// None is expected.
pub(super) fn packed(kml: &[u8], deflated: bool) -> Result<Vec<u8>, Failure> {
    let method = if deflated { CompressionMethod::Deflated } else { CompressionMethod::Stored };
    let options = SimpleFileOptions::default().compression_method(method);
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file("doc.kml", options)?;
    writer.write_all(kml)?;
    writer.start_file("files/icon.png", options)?;
    writer.write_all(b"\x89PNG")?;
    Ok(writer.finish()?.into_inner())
}

/// The first file of an archive; `None` where the archive can't be read.
pub(super) fn unpacked(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut kml = Vec::new();
    archive.by_index(0).ok()?.take(1_000_000).read_to_end(&mut kml).ok()?;
    Some(kml)
}
