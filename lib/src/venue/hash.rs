//! SHA-256 of files, and file names that contain it.

use sha2::{Digest, Sha256};

/// SHA-256 in lower-case hexadecimal.
///
/// # Examples
/// ```
/// // FIPS 180-4, the example "abc".
/// assert!(ovalpeg::venue::sha256_hex(b"abc").starts_with("ba7816bf8f01cfea"));
/// ```
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// A file name with the first twelve digits of the file's hash: `survey-3f2a90c1d4e5.csv`.
#[must_use]
pub fn hashed_name(stem: &str, bytes: &[u8], ending: &str) -> String {
    format!("{stem}-{}.{ending}", &sha256_hex(bytes)[..12])
}
