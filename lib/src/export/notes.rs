//! The notes at the end of an answer: two lines.

use super::lines::Sheet;
use crate::briefing::two_notes;
use crate::units::print::for_terminal;

/// A rule and two lines.
pub(super) fn notes(out: &mut Sheet, cautions: &[String]) {
    out.rule('-');
    for note in two_notes(cautions) {
        out.wrap(&for_terminal(&note), "");
    }
}
