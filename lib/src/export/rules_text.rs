//! Rule sets as text: which there are, and one with every number's unit, source and standing.

use super::Paper;
use super::lines::{Sheet, left};
use crate::rules::{Change, Choice, Grounds, Restart, Row, RuleSet, Sourced, Standing};
use crate::units::print::for_terminal;

/// Columns of a key.
const KEY: usize = 30;
/// Columns of a rule set's short name.
const NAME: usize = 22;

/// A league's rule set beside the venues: its short name, and the set or what is wrong with its file.
pub type OwnRules = (String, Result<RuleSet, usize>);

/// Which rule sets there are: built in, and a league's own.
#[must_use]
pub fn rule_sets_text(own: &[OwnRules], beside: &str, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    out.wrap("RULE SETS built in", "");
    for set in RuleSet::all() {
        out.wrap(&set.name, &format!("  {}", left(&set.id, NAME)));
    }
    out.wrap(&format!("RULE SETS of leagues, in {}", for_terminal(beside)), "");
    for (id, set) in own {
        let text = match set {
            Ok(set) => {
                let base = set.based_on.as_deref().unwrap_or("nothing");
                let n = set.changes.len();
                format!("{} (on top of {base}: {n} changed)", for_terminal(&set.name))
            }
            Err(1) => "can't be used: its file has a problem".to_owned(),
            Err(n) => format!("can't be used: its file has {n} problems"),
        };
        out.wrap(&text, &format!("  {}", left(&for_terminal(id), NAME)));
    }
    if own.is_empty() {
        out.wrap("none", "  ");
    }
    out.text()
}

/// How sure, with the source, its edition and year.
fn sourced(n: Sourced) -> String {
    if n.source == n.standing.text() {
        return n.cite();
    }
    format!("{} ({})", n.cite(), n.standing.text())
}

fn grounds(g: Grounds) -> String {
    let cite = g.source.to_string();
    if cite == g.standing.text() { cite } else { format!("{cite} ({})", g.standing.text()) }
}

/// A key, and beside it or below it what it is.
fn keyed(out: &mut Sheet, key: &str, text: &str) {
    out.wrap(text, &format!("{} ", left(key, KEY)));
}

fn number(out: &mut Sheet, row: Row, n: Sourced) {
    keyed(out, row.key, &row.shown(n));
    out.wrap(row.what, "    ");
    out.wrap(&sourced(n), "    ");
}

fn change(out: &mut Sheet, c: &Change) {
    keyed(out, c.key, &format!("{} (was {})", c.now, c.was));
    out.wrap(&format!("Why: {}", for_terminal(&c.why)), "    ");
    let year = c.year.map(|y| y.to_string());
    let parts: Vec<&str> = c.source.as_deref().into_iter().chain(year.as_deref()).collect();
    if !parts.is_empty() {
        out.wrap(&for_terminal(&parts.join(", ")), "    ");
    }
}

/// What is worth saying of a set beside its numbers.
fn remarks(set: &RuleSet) -> Vec<String> {
    let mut all = Vec::new();
    if set.kick_in_mark_m.standing.is_preset() {
        all.push(
            "The mark of a kick-in stood 10 m from the kick-off line in 2019 and stands at 15 m since 2021; not every league took that up: check your league."
                .to_owned(),
        );
    }
    if set.restart == Restart::Either {
        all.push("Ball-up or bounce: check your league.".to_owned());
    }
    if set.entries().any(|(_, n)| n.standing == Standing::NotStated) {
        all.push("Numbers not stated for these rules are the Laws': check your league.".to_owned());
    }
    all.push("The controlling body rules; what is from memory or common practice is no law.".to_owned());
    all
}

/// One rule set: every number with its unit, source, edition, year and standing.
#[must_use]
pub fn rules_text(set: &RuleSet, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    out.line(&for_terminal(&set.id));
    out.wrap(&for_terminal(&set.name), "");
    if let Some(base) = &set.based_on {
        out.wrap(&format!("on top of {base}"), "");
    }
    if !set.changes.is_empty() {
        out.rule('=');
        out.line("CHANGED BY THE LEAGUE");
        set.changes.iter().for_each(|c| change(&mut out, c));
    }
    out.rule('=');
    out.line("RULES");
    set.entries().for_each(|(row, n)| number(&mut out, row, n));
    for choice in Choice::ALL {
        keyed(&mut out, choice.key(), choice.words(set));
        out.wrap(choice.what(), "    ");
        out.wrap(&grounds(choice.grounds(set)), "    ");
    }
    out.rule('=');
    out.line("PRACTICE of its officials");
    set.practice.entries().for_each(|(row, n)| number(&mut out, row, n));
    out.rule('=');
    for text in remarks(set) {
        out.wrap(&text, "NOTE  ");
    }
    out.text()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As wide as a desk has it.
    fn desk(ascii: bool) -> Paper {
        Paper::new(crate::export::LIST_COLUMNS, ascii)
    }

    #[test]
    fn every_number_of_every_set_is_listed_with_its_source() {
        for set in RuleSet::all() {
            let text = rules_text(&set, desk(false));
            for (row, n) in set.entries().chain(set.practice.entries()) {
                assert!(text.contains(&format!("{} {}", left(row.key, KEY), row.shown(n))), "{}", row.key);
            }
            assert!(text.lines().all(|l| l.chars().count() <= desk(false).columns()), "{text}");
            // The first words of each source, which no line's end cuts.
            for (_, n) in set.entries() {
                let first: String = n.source.chars().take(20).collect();
                assert!(text.contains(&first), "{first}");
            }
        }
        let laws = rules_text(&RuleSet::laws(), desk(false));
        for want in ["2010s editions", "2019", "2021", "2026", "from memory", "common practice, no source"] {
            assert!(laws.contains(want), "{want}");
        }
        assert!(rules_text(&RuleSet::laws(), desk(true)).is_ascii());
    }

    #[test]
    fn what_a_league_wrote_reaches_no_terminal_unescaped() {
        use crate::rules::{Reason, Setting};
        let mut set = RuleSet::laws();
        set.name = "Wat\u{1b}tle".into();
        let reason =
            Reason { why: "bell\u{7}".into(), source: Some("by\u{202e}law".into()), year: Some(2026) };
        set.change("length_min_m", &Setting::Number(130.0), &reason).unwrap();
        let own = vec![("wattle".to_owned(), Ok(set.clone())), ("bad".to_owned(), Err(2))];
        for text in [rules_text(&set, desk(false)), rule_sets_text(&own, "ven\u{1b}ues", desk(false))] {
            assert!(!text.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{text}");
        }
        assert!(rules_text(&set, desk(false)).contains("130 m (was 135 m)"));
        assert!(rule_sets_text(&own, "venues", desk(false)).contains("its file has 2 problems"));
    }
}
