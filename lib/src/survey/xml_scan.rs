//! A look over an XML text before anything is built of it: the parser compares each
//! attribute of an element with all before it, and copies all namespaces in force for
//! each element that declares one, so both are bounded here. It runs once over the text.

use crate::units::Problem;

/// Most attributes of one element.
const MAX_ATTRIBUTES: usize = 500;
/// Most copies of namespaces, counting those in force at each element that declares
/// any: about a second of the parser's time. A walk of the most points whose every
/// point declares one again, under a root with half a dozen, has a million and a half.
const MAX_COPIES: usize = 2_000_000;

/// What one tag holds.
struct Tag {
    attributes: usize,
    namespaces: usize,
    /// Where its `>` is.
    end: usize,
}

/// Counts outside quotes, up to the closing bracket.
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

/// Why a text is not handed to the parser.
pub(super) fn refusal(text: &str) -> Option<Problem> {
    let mut rest = text;
    let mut copies = 0usize;
    // Namespaces in force inside each open element.
    let mut open: Vec<usize> = Vec::new();
    // Each round takes something off the front.
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
        // The same number beside each other, where few are in force.
        let few = format!("<kml{}>{}</kml>", many(6), "<a xmlns='q'></a><b xmlns='q'/>".repeat(100_000));
        assert_eq!(refusal(&few), None);
    }
}
