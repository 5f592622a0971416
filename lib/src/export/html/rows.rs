//! What a text sheet says, as rows of a page.

use super::super::lines::Part;

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Words behind a label.
    Said,
    /// Words on their own, which head what follows.
    Line,
    /// Two things side by side.
    Ends,
    /// Something to watch out for.
    Warning,
    /// A rule across.
    Rule,
}

/// One row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) kind: Kind,
    pub(super) label: String,
    pub(super) text: String,
}

/// The rows of a sheet's parts; a rule at either end, or after another one, is left out.
pub(super) fn rows(parts: Vec<Part>) -> Vec<Row> {
    let row = |kind, label: String, text: String| Row { kind, label, text };
    let mut out: Vec<Row> = Vec::new();
    for part in parts {
        let next = match part {
            Part::Line(text) => row(Kind::Line, String::new(), text),
            Part::Ends(left, right) => row(Kind::Ends, left, right),
            Part::Said { label, text } if label == "!" => row(Kind::Warning, String::new(), text),
            Part::Said { label, text } => row(Kind::Said, label, text),
            Part::Rule => row(Kind::Rule, String::new(), String::new()),
        };
        let before = out.last().map_or(Kind::Rule, |r| r.kind);
        if next.kind != Kind::Rule || before != Kind::Rule {
            out.push(next);
        }
    }
    if out.last().is_some_and(|r| r.kind == Kind::Rule) {
        out.pop();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_stand_between_rows_only_and_a_warning_is_one() {
        let said = |label: &str, text: &str| Part::Said { label: label.into(), text: text.into() };
        let all = rows(vec![
            Part::Rule,
            said("WATCH", "look"),
            said("!", "a tap"),
            Part::Rule,
            Part::Rule,
            Part::Line("x".into()),
            Part::Rule,
        ]);
        let kinds: Vec<Kind> = all.iter().map(|r| r.kind).collect();
        assert_eq!(kinds, [Kind::Said, Kind::Warning, Kind::Rule, Kind::Line]);
        assert_eq!(all[1].text, "a tap");
    }
}
