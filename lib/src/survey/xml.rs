//! XML: parsed once within limits, and passed to the reader of its root element.

use roxmltree::{Document, Error, ParsingOptions};

use super::{ReadOptions, Survey, SurveyError, gpx_reader, kml_reader};
use crate::units::{Problem, Warned, print};

/// Most elements and texts in a document: even the largest file has fewer, unless it
/// consists of the shortest elements.
const MAX_NODES: u32 = 2_000_000;
pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    if let Some(problem) = super::xml_scan::refusal(text) {
        return Err(problem.into());
    }
    let parsing = ParsingOptions { nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, parsing).map_err(|e| {
        SurveyError::from(match e {
            Error::NodesLimitReached => {
                Problem::new(format!("the file has more than {MAX_NODES} elements and texts"))
                    .hint("export the boundary alone")
            }
            Error::DtdDetected => Problem::new("the file holds a document type definition, as web pages do")
                .hint("give the KML or GPX file itself, not the page that offers it"),
            _ => Problem::new(format!(
                "the file can't be read as XML: {}",
                print::cut(&e.to_string(), print::CAUSE_CHARS)
            ))
            .hint("it may have been cut off, or hold what its format has not; export it again"),
        })
    })?;
    let root = document.root_element();
    let other = match root.tag_name().name() {
        "kml" => return kml_reader::read(root, options),
        "gpx" => return gpx_reader::read(root, options),
        "TrainingCenterDatabase" => "a TCX file, a sports watch's own format",
        "FeatureCollection" => "GML",
        "LandXML" => "LandXML",
        "osm" => "an extract of OpenStreetMap",
        "svg" => "a drawing (SVG)",
        "html" => "a web page",
        name => {
            return Err(Problem::new(format!(
                "the file's root element is <{}>, neither <kml> nor <gpx>",
                print::cut(name, print::QUOTED_CHARS)
            ))
            .hint(super::content::REMEDY)
            .into());
        }
    };
    Err(super::content::refusal(other).into())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn err(text: &str) -> String {
        read(text, &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn other_roots_are_named_with_the_remedy() {
        for (text, want) in [
            ("<TrainingCenterDatabase/>", "TCX"),
            ("<LandXML/>", "LandXML"),
            ("<a:osm xmlns:a='x'/>", "OpenStreetMap"),
            ("<shed/>", "<shed>"),
        ] {
            let e = err(text);
            assert!(e.contains(want) && e.contains("KML"), "{e}");
        }
        assert!(err("<!DOCTYPE html><html></html>").contains("web pages"));
    }

    #[test]
    fn many_elements_end_in_a_sentence() {
        let many = "<a/>".repeat(2_000_001);
        assert!(err(&format!("<kml>{many}</kml>")).contains("more than 2000000 elements"));
    }
}
