//! Helpers of the KML and GPX readers for XML nodes.

use roxmltree::Node;

use crate::units::print;

/// Deepest nesting of folders and geometries.
pub(super) const MAX_DEPTH: usize = 64;

/// Child elements in any namespace.
pub(super) fn elements<'a, 'i>(node: Node<'a, 'i>) -> impl DoubleEndedIterator<Item = Node<'a, 'i>> {
    node.children().filter(Node::is_element)
}

/// The trimmed text of the first child of this name, in any namespace.
pub(super) fn child_text<'a>(node: Node<'a, '_>, tag: &str) -> Option<&'a str> {
    elements(node).find(|c| c.tag_name().name() == tag).and_then(|c| c.text()).map(str::trim)
}

/// `Track 3 'Name'`, or `Track 3` without a name.
pub(super) fn label(kind: &str, number: usize, name: &str) -> String {
    if name.is_empty() {
        format!("{kind} {number}")
    } else {
        format!("{kind} {number} '{}'", print::for_terminal(name))
    }
}
