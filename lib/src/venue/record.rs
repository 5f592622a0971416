//! Who measured and approved a venue's record, until when it holds, and what people found wrong with it.

use super::table::{Source, Table};
use crate::units::ranges::REPORTS;
use crate::units::{Day, Problem};

/// Who measured, who approved, and until when that holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Record {
    /// Who measured the ground.
    pub measured_by: Option<String>,
    /// Who approved the record.
    pub approved_by: Option<String>,
    /// The day on which it was approved.
    pub approved: Option<Day>,
    /// The last day on which it holds.
    pub valid_until: Option<Day>,
}

/// Something that a person found wrong with a record or a card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reported {
    /// What, in a line.
    pub what: String,
    /// Where, in words.
    pub place: Option<String>,
    /// When it was found.
    pub date: Day,
    /// By whom.
    pub by: String,
    /// The day on which it was settled; `None` while it is open.
    pub settled: Option<Day>,
    /// How it was settled.
    pub how: Option<String>,
}

impl Record {
    /// Is nothing recorded?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Has it run out on this day?
    #[must_use]
    pub fn is_past(&self, day: Day) -> bool {
        self.valid_until.is_some_and(|until| day > until)
    }
}

/// Reads `[record]`.
pub(super) fn record(root: &mut Table<'_, '_>, s: &mut Source) -> Record {
    if !root.since(s, 2, "record") {
        return Record::default();
    }
    let Some(mut t) = root.table(s, "record") else { return Record::default() };
    let found = Record {
        measured_by: t.text(s, "measured_by"),
        approved_by: t.text(s, "approved_by"),
        approved: t.day(s, "approved"),
        valid_until: t.day(s, "valid_until"),
    };
    let at = t.offset_of("approved");
    if t.has("approved") && !t.has("approved_by") {
        s.problem(
            at,
            Problem::new("'approved' in [record] says when, and nothing by whom").hint("add approved_by"),
        );
    }
    if let (Some(from), Some(until)) = (found.approved, found.valid_until)
        && until < from
    {
        let p = Problem::new(format!("valid_until {until} is before the record was approved, on {from}"));
        s.problem(
            t.offset_of("valid_until"),
            p.hint("the later of the two is the last day on which it holds"),
        );
    }
    t.finish(s);
    found
}

/// Reads every `[[reported]]`.
pub(super) fn reported(root: &mut Table<'_, '_>, s: &mut Source) -> Vec<Reported> {
    if !root.since(s, 2, "reported") {
        return Vec::new();
    }
    root.tables(s, "reported", REPORTS).into_iter().filter_map(|t| report(t, s)).collect()
}

fn report(mut t: Table<'_, '_>, s: &mut Source) -> Option<Reported> {
    let what = t.must_text(s, "what", "\"the tap by the Silo post was moved\"");
    let place = t.text(s, "place");
    let date = t.must_day(s, "date");
    let by = t.must_text(s, "by", "\"B. Wren\"");
    let settled = t.day(s, "settled");
    let how = t.text(s, "how");
    if let (Some(date), Some(settled)) = (date, settled)
        && settled < date
    {
        let p = Problem::new(format!("settled {settled} is before the day it was found, {date}"));
        s.problem(t.offset_of("settled"), p.hint("a report that is open has no 'settled'"));
    }
    if t.has("how") && !t.has("settled") {
        let p = Problem::new("this report says how it was settled, and not when");
        s.problem(t.offset_of("how"), p.hint("add settled = \"2026-07-01\""));
    }
    t.finish(s);
    Some(Reported { what: what?, place, date: date?, by: by?, settled, how })
}

#[cfg(test)]
mod tests {
    use super::super::document::Document;
    use super::super::document::tests::{GOOD_2, with};
    use super::*;

    fn problems(more: &str) -> String {
        Document::parse(&with(GOOD_2, more)).unwrap_err().iter().map(|p| format!("{p}\n")).collect()
    }

    #[test]
    fn who_measured_who_approved_and_what_is_open_are_read() {
        let d = Document::parse(&with(
            GOOD_2,
            "[record]\nmeasured_by = \"R. Quill\"\napproved_by = \"A. Plover\"\napproved = 2026-04-02\n\
             valid_until = \"2027-03-31\"\n\
             [[reported]]\nwhat = \"tap moved\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\n\
             [[reported]]\nwhat = \"bench\"\nplace = \"Road wing\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\n\
             settled = \"2026-06-21\"\nhow = \"moved back\"\n",
        ))
        .unwrap();
        let day = |d| Day::new(2027, 3, d).unwrap();
        assert_eq!(d.record.valid_until, Some(day(31)));
        assert!(!d.record.is_past(day(31)) && d.record.is_past(Day::new(2027, 4, 1).unwrap()));
        assert_eq!(d.reported.iter().filter(|r| r.settled.is_none()).count(), 1);
        assert_eq!(d.reported[1].how.as_deref(), Some("moved back"));
    }

    #[test]
    fn days_that_can_not_be_are_refused() {
        let e = problems(
            "[record]\napproved_by = \"x\"\napproved = \"2026-04-02\"\nvalid_until = \"2026-04-01\"\n",
        );
        assert!(e.contains("valid_until 2026-04-01 is before the record was approved, on 2026-04-02"), "{e}");
        assert!(problems("[record]\napproved = \"2026-04-31\"\n").contains("not a day"));
        assert!(problems("[record]\napproved = \"2026-04-30\"\n").contains("add approved_by"));
        let report = |more: &str| {
            problems(&format!("[[reported]]\nwhat = \"x\"\nby = \"y\"\ndate = \"2026-06-20\"\n{more}"))
        };
        assert!(report("settled = \"2026-06-19\"\n").contains("before the day it was found"));
        assert!(report("how = \"so\"\n").contains("says how it was settled, and not when"));
        let e = problems("[[reported]]\nwhat = \"x\"\n");
        assert!(e.contains("'date' in [[reported]] number 1 is missing") && e.contains("'by'"), "{e}");
    }
}
