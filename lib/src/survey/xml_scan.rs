//! A scan of an XML text before it is parsed, in one pass. The parser compares each attribute of
//! an element with all the previous ones, and copies all namespaces in force for each element
//! that declares one. Both costs are limited here.

use crate::units::Problem;

/// Most attributes of one element.
const MAX_ATTRIBUTES: usize = 500;
/// Most copies of namespaces, summed over the elements that declare any: about a second of the
/// parser's time. The largest walk has a million and a half, if its root declares half a dozen
/// namespaces and every point one.
const MAX_COPIES: usize = 2_000_000;

/// The counts of one tag.
struct Tag {
    attributes: usize,
    namespaces: usize,
    /// Position of its `>`.
    end: usize,
}

/// Counts attributes and namespaces outside quotes, up to the closing bracket.
fn tag(text: &str) -> Tag {
    let bytes = text.as_bytes();
    let mut tag = Tag { attributes: 0, namespaces: 0, end: bytes.len() };
    let mut quote = None;
    for (i, &b) in bytes.iter().enumerate() {
        match (b, quote) {
            (_, Some(q)) if b == q => quote = None,
            (_, Some(_)) => {}
            (b'\'' | b'"', None) => quote = Some(b),
            (b'=', None) => tag.attributes += 1,
            (b'x', None) if bytes[i..].starts_with(b"xmlns") => tag.namespaces += 1,
            (b'>', None) => {
                tag.end = i;
                break;
            }
            _ => {}
        }
    }
    tag
}

/// Why a text must not be passed to the parser, if so.
pub(super) fn refusal(text: &str) -> Option<Problem> {
    let mut rest = text;
    let mut copies = 0usize;
    // Namespaces in force inside each open element.
    let mut open: Vec<usize> = Vec::new();
    // Each round consumes part of the text.
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let aside = [("!--", "-->"), ("![CDATA[", "]]>"), ("?", "?>")];
        if let Some((_, end)) = aside.into_iter().find(|(start, _)| rest.starts_with(start)) {
            rest = rest.find(end).map_or("", |i| &rest[i..]);
            continue;
        }
        if rest.starts_with('/') {
            open.pop();
            continue;
        }
        let Tag { attributes, namespaces, end } = tag(rest);
        if attributes > MAX_ATTRIBUTES {
            return Some(Problem::new(format!("an element has more than {MAX_ATTRIBUTES} attributes")));
        }
        let inside = open.last().copied().unwrap_or(0) + namespaces;
        if namespaces > 0 {
            copies += inside;
        }
        if copies > MAX_COPIES {
            return Some(
                Problem::new("the file declares the namespaces of its elements too many times over")
                    .hint("export it again, as GPX, KML or CSV"),
            );
        }
        if !rest[..end].ends_with('/') {
            open.push(inside);
        }
        rest = &rest[end..];
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_are_counted_outside_quotes_and_asides() {
        let attributes: String = (0..=MAX_ATTRIBUTES).map(|i| format!(" a{i}=''")).collect();
        for text in [format!("<kml{attributes}/>"), format!("<kml b='>'{attributes}/>")] {
            assert!(refusal(&text).is_some_and(|p| p.message().contains("attributes")), "{text}");
        }
        let signs = "=".repeat(1_000);
        let text =
            format!("<a b='{signs}'>{signs}<!-- don't {signs} --><![CDATA[a < b {signs}]]><?p {signs}?></a>");
        assert_eq!(refusal(&text), None);
    }

    #[test]
    fn namespaces_are_counted_where_they_are_in_force() {
        let many = |n: usize| (0..n).map(|i| format!(" xmlns:n{i}='u'")).collect::<String>();
        // 400 in force at each of 10,000 elements, beside each other or inside each other.
        let beside = format!("<kml{}>{}</kml>", many(400), "<a xmlns='q'/>".repeat(10_000));
        let inside = "<a xmlns='q'>".repeat(3_000);
        for text in [beside, inside] {
            assert!(refusal(&text).is_some_and(|p| p.message().contains("namespaces")));
        }
        // Many elements beside each other are accepted where few namespaces are in force.
        let few = format!("<kml{}>{}</kml>", many(6), "<a xmlns='q'></a><b xmlns='q'/>".repeat(100_000));
        assert_eq!(refusal(&few), None);
    }
}
