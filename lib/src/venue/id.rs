//! A venue's short name, which must be allowed as a folder name on every operating system.

use crate::units::Problem;
use crate::units::ranges::ID_CHARS;

/// Names that Windows reserves for devices, with or without an extension (Microsoft, "Naming Files, Paths,
/// and Namespaces"). A folder of such a name can't be made there.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// Names that Windows reserves where one digit follows them.
const PORTS: [&str; 2] = ["com", "lpt"];

/// What is wrong with a venue's short name, if anything, and what to do about it. It must consist of
/// lower-case letters, digits and hyphens, so that every operating system allows it as a folder name.
///
/// # Examples
/// ```
/// use ovalpeg::venue::id_trouble;
/// assert_eq!(id_trouble("marrow-plains-2"), None);
/// assert!(id_trouble("aux").unwrap().to_string().contains("Windows"));
/// ```
#[must_use]
pub fn id_trouble(id: &str) -> Option<Problem> {
    const HOW: &str = "lower-case letters, digits and hyphens, as in marrow-plains";
    if id.is_empty() {
        return Some(Problem::new("is empty").hint(HOW));
    }
    if id.chars().count() > ID_CHARS.most() {
        let (start, most) = (id.chars().take(20).collect::<String>(), ID_CHARS.most());
        let p = Problem::new(format!("'{start}…' has {} characters, more than {most}", id.chars().count()));
        return Some(p.hint(ID_CHARS.remedy()));
    }
    let plain = id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    if !plain || id.starts_with('-') || id.ends_with('-') {
        return Some(Problem::new(format!("'{id}' is not a short name")).hint(HOW));
    }
    let port = PORTS
        .iter()
        .any(|p| id.strip_prefix(p).is_some_and(|n| n.len() == 1 && n.bytes().all(|b| b.is_ascii_digit())));
    (port || DEVICES.contains(&id)).then(|| {
        Problem::new(format!("'{id}' is a name that Windows keeps for a device"))
            .hint(format!("add a word, as in {id}-oval"))
    })
}

/// Is this a name for a venue's folder?
#[must_use]
pub fn is_valid_id(id: &str) -> bool {
    id_trouble(id).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_venues() {
        for good in ["marrow-plains-2", "a", "con-oval", "com10", "comet", "lpt", "0", &"x".repeat(64)] {
            assert!(is_valid_id(good), "{good}");
        }
        for bad in ["", "Marrow", "a b", "../x", "-a", "a-", "ä", ".", "a.", "a/b", "a\\b", &"x".repeat(65)]
        {
            assert!(!is_valid_id(bad), "{bad}");
        }
    }

    #[test]
    fn names_that_windows_keeps_are_refused_and_say_so() {
        for bad in ["con", "prn", "aux", "nul", "com0", "com1", "com9", "lpt1", "lpt9"] {
            let p = id_trouble(bad).unwrap();
            assert!(p.message().contains(bad) && p.message().contains("Windows"), "{p}");
            assert!(is_valid_id(&format!("{bad}-oval")));
        }
    }

    #[test]
    fn a_long_name_is_not_printed_whole() {
        let p = id_trouble(&"y".repeat(100_000)).unwrap().to_string();
        assert!(p.contains("100000 characters") && p.len() < 200, "{p}");
    }
}
