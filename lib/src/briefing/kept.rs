//! What a venue's record says: who measured and approved it, until when it holds, what was reported wrong,
//! the other configurations of the ground, and a centre square that was moved.

use super::cautions::SQUARE_PAINTED;
use super::unusual::Unusual;
use crate::boundary::{End, Side};
use crate::ground::{SquareAt, Surroundings};
use crate::units::Day;
use crate::units::print::plain;
use crate::venue::{Configuration, ConfigurationLine, Document, Names};

/// A day as `31 Mar 2027`.
fn day(d: Day) -> String {
    format!("{} {}", d.day(), d.month_and_year())
}

/// What the record says, first what an official acts on, then what the league does.
pub(super) fn kept(d: &Document, today: Day) -> Vec<Unusual> {
    let mut out: Vec<String> = d
        .reported
        .iter()
        .filter(|r| r.settled.is_none())
        .map(|r| {
            let place = r.place.as_ref().map_or_else(String::new, |p| format!("{p}: "));
            format!("{place}{} ({}, {}): not settled yet", r.what, r.by, day(r.date))
        })
        .collect();
    out.extend(
        d.record
            .valid_until
            .filter(|_| d.record.is_past(today))
            .map(|until| format!("This record held until {}: it is past. Check all of it", day(until))),
    );
    out.extend(
        square_moved(&d.surroundings, &d.names).map(|text| {
            format!("{text}: what is said here by the square is for one about the ground's centre")
        }),
    );
    let mut all: Vec<Unusual> = out.into_iter().map(Unusual::on_the_line).collect();
    all.extend(record(d).into_iter().chain(configurations(d)).map(Unusual::of_the_record));
    all
}

/// Where a moved centre square is, as `The centre square is painted 1.2 m toward Silo, turned 2° clockwise`;
/// `None` where it was not moved.
pub(super) fn square_moved(around: &Surroundings, names: &Names) -> Option<String> {
    let SquareAt { along_m, across_m, turn_deg } = around.square_at;
    if !around.square_at.is_moved() {
        return None;
    }
    let end = names.end(if along_m > 0.0 { End::A } else { End::B });
    let side = names.side(if across_m > 0.0 { Side::Left } else { Side::Right });
    let sense = if turn_deg > 0.0 { "clockwise" } else { "anticlockwise" };
    let parts: Vec<String> = [
        (along_m, format!("{} m toward {end}", plain(along_m.abs()))),
        (across_m, format!("{} m toward {side}", plain(across_m.abs()))),
        (turn_deg, format!("turned {}° {sense}", plain(turn_deg.abs()))),
    ]
    .into_iter()
    .filter(|(by, _)| *by != 0.0)
    .map(|(_, text)| text)
    .collect();
    Some(format!("{SQUARE_PAINTED} {}", parts.join(", ")))
}

fn record(d: &Document) -> Vec<String> {
    let r = &d.record;
    let mut parts: Vec<String> = r.measured_by.iter().map(|who| format!("measured by {who}")).collect();
    parts.extend(r.approved_by.as_ref().map(|who| match r.approved {
        Some(on) => format!("approved by {who}, {}", day(on)),
        None => format!("approved by {who}"),
    }));
    parts.extend(r.valid_until.map(|until| format!("holds until {}", day(until))));
    let mut out = Vec::new();
    if !parts.is_empty() {
        out.push(format!("Record: {}", parts.join("; ")));
    }
    out.extend(r.approved.filter(|on| *on < d.surveyed).map(|on| {
        format!("Approved {}, before the survey of {}: have it approved again", day(on), day(d.surveyed))
    }));
    out
}

/// Which configuration this is, and which others there are.
fn configurations(d: &Document) -> Option<String> {
    let this = d.default_configuration.and_then(|i| d.configurations.get(i))?;
    let others: Vec<String> = d.configurations.iter().filter(|c| c.name != this.name).map(other).collect();
    Some(if others.is_empty() {
        format!("This is the ground as for {}", this.name)
    } else {
        format!("This is the ground as for {}. Also played on: {}", this.name, others.join("; "))
    })
}

fn other(c: &Configuration) -> String {
    match &c.line {
        ConfigurationLine::Surveyed => c.name.clone(),
        ConfigurationLine::Inset { in_m } => {
            format!("{}, its line {} m inside this one", c.name, plain(*in_m))
        }
        ConfigurationLine::Rope { in_m } => format!("{}, a rope {} m inside this line", c.name, plain(*in_m)),
        ConfigurationLine::Own(_) => format!("{}, its line surveyed by itself", c.name),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::briefing::{briefing, cautions_beside};
    use crate::ground::outline_for_tests as outline;
    use crate::venue::for_tests::venue;

    const MORE: &str = "[record]\nmeasured_by = \"R. Quill\"\napproved_by = \"A. Plover\"\napproved = \"2026-03-10\"\n\
        valid_until = \"2026-07-31\"\n[centre_square]\nalong_m = -1.2\nturn_deg = 2\n\
        [[reported]]\nwhat = \"tap was moved\"\nplace = \"Silo post\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\n\
        [[reported]]\nwhat = \"bench\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\nsettled = \"2026-06-21\"\n\
        [[configuration]]\nname = \"senior\"\ndefault = true\n[[configuration]]\nname = \"junior\"\ninset_m = 12.5\n";

    #[test]
    fn what_is_open_past_or_moved_is_an_officials_and_the_record_the_leagues() {
        let v = venue(&outline(165.0, 135.0), MORE).0;
        let of = |y, m, d| briefing(&v, Day::new(y, m, d).unwrap()).unusual;
        let past = of(2026, 8, 1);
        let has = |all: &[Unusual], on_the_line: bool, said: &str| {
            all.iter().any(|u| u.on_the_line == on_the_line && u.text.starts_with(said))
        };
        for said in [
            "Silo post: tap was moved (B. Wren, 20 Jun 2026): not settled yet",
            "This record held until 31 Jul 2026: it is past. Check all of it",
            "The centre square is painted 1.2 m toward School, turned 2° clockwise: what is said here",
        ] {
            assert!(has(&past, true, said), "{said}\n{past:?}");
        }
        for said in [
            "Record: measured by R. Quill; approved by A. Plover, 10 Mar 2026; holds until 31 Jul 2026",
            "Approved 10 Mar 2026, before the survey of 14 Mar 2026: have it approved again",
            "This is the ground as for senior. Also played on: junior, its line 12.5 m inside this one",
        ] {
            assert!(has(&past, false, said), "{said}\n{past:?}");
        }
        assert!(!past.iter().any(|u| u.text.contains("bench")), "{past:?}");
        assert!(!of(2026, 7, 31).iter().any(|u| u.text.contains("it is past")));
    }

    #[test]
    fn an_answer_beside_says_that_the_square_is_moved() {
        let said = |more: &str| cautions_beside(&venue(&outline(165.0, 135.0), more).0, Vec::new());
        let text = "The centre square is painted 3 m toward Shed.";
        assert!(said("[centre_square]\nacross_m = 3\n").iter().any(|c| c == text));
        assert!(!said("").iter().any(|c| c.contains("square")));
    }
}
