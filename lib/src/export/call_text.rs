//! A call; and on one page the table of calls, the signals, and what passes between umpires.

use super::Paper;
use super::lines::{Sheet, left};
use crate::rules::{
    CALLS, CallRow, Decision, EXCHANGES, Exchange, LAST_DISPOSAL_IN, SIGNALS, Standing, Way, With,
};

fn row(out: &mut Sheet, label: &str, text: &str) {
    out.wrap(text, &left(label, 8));
}

/// Where something comes from, and how sure that is.
pub(super) fn source_words(source: &str, standing: Standing) -> String {
    let memory = format!("; {}", Standing::FromMemory.text());
    match source.split_once(&memory) {
        _ if source == standing.text() => source.to_owned(),
        // What is from memory was not read with the rest.
        Some((read, rest)) => format!("{read} ({}){memory}{rest}", standing.text()),
        None => format!("{source} ({})", standing.text()),
    }
}

/// What is said below every call.
pub(super) const NOTE: &str =
    "The Laws in force and the controlling body rule; rows marked from memory or common practice are no law.";

/// One call, under rules that have throw-ins or have none.
#[must_use]
pub fn call_text(r: &CallRow, throw_ins: bool, paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    row(&mut out, "WHEN", r.when);
    row(&mut out, "CALL", &r.decision.words_where(throw_ins).to_uppercase());
    for (i, signal) in r.signals_where(throw_ins).enumerate() {
        let label = left(if i == 0 { "SIGNAL" } else { "" }, 8);
        out.wrap(signal.how, &format!("{label}{}. ", i + 1));
    }
    row(&mut out, "SOURCE", &source_words(r.source, r.standing));
    row(&mut out, "NOTE", NOTE);
    out.text()
}

/// The whole table: the first row that fits is the call.
#[must_use]
pub fn calls_text(paper: Paper) -> String {
    let mut out = Sheet::new(paper);
    calls_on(&mut out, true);
    out.text()
}

/// Sources as they come up, each with its number.
#[derive(Default)]
struct Sources(Vec<&'static str>);

impl Sources {
    /// A text with a mark of where it comes from behind it: numbers of sources, or the letters of none.
    fn mark(&mut self, text: &str, source: &'static str, standing: Standing) -> String {
        let mut marks: Vec<String> = Vec::new();
        for part in source.split("; ") {
            if part == Standing::CommonPractice.text() {
                marks.push("p".to_owned());
            } else if part.starts_with(Standing::FromMemory.text()) {
                marks.push("m".to_owned());
            } else {
                let at = self.0.iter().position(|s| *s == part).unwrap_or_else(|| {
                    self.0.push(part);
                    self.0.len() - 1
                });
                marks.push((at + 1).to_string());
            }
        }
        // A source that was named and not read is no more than memory.
        if standing == Standing::FromMemory && !marks.iter().any(|m| m == "m") {
            marks.push("m".to_owned());
        }
        format!("{text} [{}]", marks.join(","))
    }
}

/// The table on a sheet that has more on it.
pub(super) fn calls_on(out: &mut Sheet, throw_ins: bool) {
    let mut sources = Sources::default();
    out.wrap("CALLS: the first that fits. What is given then, and the signals in order", "");
    out.rule('-');
    for (i, r) in CALLS.iter().enumerate() {
        let number = format!("{:>2} ", i + 1);
        out.wrap(&sources.mark(r.when, r.source, r.standing), &number);
        let ids: Vec<&str> = r.signals_where(throw_ins).map(|s| s.id).collect();
        let given = match r.decision {
            Decision::StillIn => r.decision.words().to_uppercase(),
            Decision::ThrowIn if !throw_ins => format!("OUT: {}", ids.join(", ")),
            Decision::ThrowIn => format!("THROW-IN: {}", ids.join(", ")),
            Decision::FreeKick => format!("FREE KICK, OTHER TEAM: {}", ids.join(", ")),
        };
        out.wrap(&given, "   ");
    }
    if !throw_ins {
        out.wrap("No throw-in in these rules: ask the league what follows an OUT.", "");
    }
    out.rule('-');
    out.wrap("SIGNALS", "");
    for s in SIGNALS.iter().filter(|s| throw_ins || !s.is_throw()) {
        row(out, s.id, &sources.mark(s.how, s.source, s.standing));
    }
    let of = |with, way| {
        let asked =
            move |e: &&Exchange| e.with == with && e.way == way && (throw_ins || !e.is_of_throw_ins());
        EXCHANGES.iter().filter(asked)
    };
    for with in With::ALL {
        out.rule('-');
        out.wrap(&with.words().to_uppercase(), "");
        for way in [Way::Read, Way::Say, Way::Do] {
            for (i, e) in of(with, way).enumerate() {
                let between = if way == Way::Read { " =" } else { ":" };
                let text = format!("{}{between} {}", e.when, e.what);
                row(out, if i == 0 { way.words() } else { "" }, &sources.mark(&text, e.source, e.standing));
            }
        }
    }
    out.rule('-');
    out.wrap("LAST DISPOSAL", "");
    for l in &LAST_DISPOSAL_IN {
        let text = format!("since {}, {}", l.since, l.extent);
        row(out, l.competition, &sources.mark(&text, l.source, l.standing));
    }
    out.rule('-');
    out.wrap("SOURCES: [p] common practice, no source; [m] from memory; the others were read", "");
    for (i, s) in sources.0.iter().enumerate() {
        out.wrap(s, &format!("[{}] ", i + 1));
    }
    out.wrap(NOTE, "");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_page_is_marked_with_its_source() {
        let flat = calls_text(Paper::new(49, false)).split_whitespace().collect::<Vec<_>>().join(" ");
        let marked = |text: &str| flat.contains(&format!("{text} ["));
        for r in &CALLS {
            assert!(marked(r.when), "{}", r.id);
        }
        for s in &SIGNALS {
            assert!(marked(s.how), "{}", s.id);
        }
        for e in &EXCHANGES {
            assert!(marked(e.what), "{}", e.id);
        }
        for l in &LAST_DISPOSAL_IN {
            assert!(marked(l.extent), "{}", l.competition);
        }
    }

    #[test]
    fn a_mark_claims_no_more_than_was_read() {
        let mut all = Sources::default();
        assert_eq!(all.mark("a", "a page; from memory: a leg", Standing::Sure), "a [1,m]");
        assert_eq!(all.mark("b", "a sheet", Standing::FromMemory), "b [2,m]");
        assert_eq!(all.mark("c", Standing::CommonPractice.text(), Standing::CommonPractice), "c [p]");
        assert_eq!(all.mark("d", Standing::FromMemory.text(), Standing::FromMemory), "d [m]");
        assert_eq!(all.mark("e", "a page", Standing::Sure), "e [1]");
    }

    #[test]
    fn what_is_from_memory_is_not_said_to_be_read() {
        let words = |source, standing| source_words(source, standing);
        assert_eq!(
            words("a page; from memory: a leg", Standing::Sure),
            "a page (read in the source); from memory: a leg"
        );
        assert_eq!(words("a page", Standing::FromMemory), "a page (from memory)");
        assert_eq!(words("from memory", Standing::FromMemory), "from memory");
    }

    #[test]
    fn a_call_tells_its_signals_step_by_step() {
        for r in &CALLS {
            let text = call_text(r, true, Paper::new(49, true));
            for (i, _) in r.signals.iter().enumerate() {
                assert!(text.contains(&format!("{}. ", i + 1)), "{}", r.id);
            }
            assert!(!text.contains("OTHER SIDE") && !text.contains("PLAY ON"), "{}", r.id);
        }
    }

    #[test]
    fn rules_without_throw_ins_order_none() {
        for r in &CALLS {
            let text = call_text(r, false, Paper::new(80, true)).replace("NO THROW-IN IN THESE RULES", "");
            assert!(!text.contains("THROW-IN") && !text.contains("throw when"), "{text}");
        }
        let mut out = Sheet::new(Paper::new(80, true));
        calls_on(&mut out, false);
        let text = out.text().replace("No throw-in in these rules", "");
        assert!(
            !text.contains("THROW") && !text.contains("throw-in") && !text.contains("throw when"),
            "{text}"
        );
    }
}
