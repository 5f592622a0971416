//! A survey file that is to be registered in a venue.

use super::super::{Said, SurveyFile, hashed_name, sha256_hex};
use crate::rules::{Edge, Method};

/// A survey file to be registered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurveyBytes<'a> {
    /// Its bytes as received.
    pub bytes: &'a [u8],
    /// The extension of its file name.
    pub ending: &'a str,
    /// How it was surveyed.
    pub method: Option<Method>,
    /// Which edge of the line was surveyed.
    pub edge: Edge,
    /// Width of the painted line, m, where the edge makes it matter.
    pub line_width_m: Option<f64>,
    /// What else a person said about it.
    pub said: Said,
}

impl SurveyBytes<'_> {
    pub(super) fn named(&self) -> SurveyFile {
        SurveyFile {
            file: hashed_name("survey", self.bytes, self.ending),
            sha256: sha256_hex(self.bytes),
            method: self.method,
            edge: self.edge,
            line_width_m: self.line_width_m,
            said: self.said,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::surveys::identity;

    #[test]
    fn one_file_is_itself_and_several_depend_on_each() {
        let named = |bytes: &[u8]| {
            SurveyBytes {
                bytes,
                ending: "csv",
                method: None,
                edge: Edge::Outer,
                line_width_m: None,
                said: Said::default(),
            }
            .named()
        };
        let (a, b) = (named(b"a"), named(b"b"));
        assert_eq!(identity(std::slice::from_ref(&a)), a.sha256);
        let both = identity(&[a.clone(), b.clone()]);
        assert!(both != a.sha256 && both != identity(&[b, a]));
        assert_eq!(both.len(), 64);
    }
}
