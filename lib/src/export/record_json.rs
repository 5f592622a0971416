//! What a venue's record says of itself, as JSON.

use serde::Serialize;

use super::json::{Number, deg, m};
use crate::units::Day;
use crate::venue::{Configuration, ConfigurationLine, Document};

/// Who measured, who approved, what was reported, and what is not as the survey has it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct RecordRow<'a> {
    measured_by: Option<&'a str>,
    approved_by: Option<&'a str>,
    approved: Option<String>,
    valid_until: Option<String>,
    past: bool,
    reported: Vec<ReportedRow<'a>>,
    configurations: Vec<ConfigurationRow<'a>>,
    centre_square: CentreSquareRow,
    other_marks: Vec<OtherMarkRow<'a>>,
}

/// Something that somebody reported.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ReportedRow<'a> {
    what: &'a str,
    place: Option<&'a str>,
    date: String,
    by: &'a str,
    settled: Option<String>,
    how: Option<&'a str>,
}

/// A way in which the ground is set out.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct ConfigurationRow<'a> {
    name: &'a str,
    this: bool,
    line: &'static str,
    inside_m: Number,
    rule_set: &'a str,
}

/// Where the square's centre is painted, from the ground's.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct CentreSquareRow {
    along_m: Number,
    across_m: Number,
    turn_deg: Number,
}

/// A line on the grass that is none of this game's.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
struct OtherMarkRow<'a> {
    name: &'a str,
    kind: &'static str,
}

fn day(day: Option<Day>) -> Option<String> {
    day.map(|d| d.to_string())
}

fn configuration(c: &Configuration, this: bool) -> ConfigurationRow<'_> {
    let (line, inside) = match c.line {
        ConfigurationLine::Surveyed => ("surveyed", 0.0),
        ConfigurationLine::Inset { in_m } => ("inset", in_m),
        ConfigurationLine::Rope { in_m } => ("rope", in_m),
        ConfigurationLine::Own(_) => ("own", 0.0),
    };
    ConfigurationRow { name: &c.name, this, line, inside_m: m(inside), rule_set: &c.rules.id }
}

/// The record of a venue on a day.
pub(super) fn record(d: &Document, today: Day) -> RecordRow<'_> {
    let (r, square) = (&d.record, &d.surroundings.square_at);
    let reported = d.reported.iter().map(|r| ReportedRow {
        what: &r.what,
        place: r.place.as_deref(),
        date: r.date.to_string(),
        by: &r.by,
        settled: day(r.settled),
        how: r.how.as_deref(),
    });
    let configurations = d.configurations.iter().enumerate();
    let marks = d.surroundings.other_marks.iter();
    RecordRow {
        measured_by: r.measured_by.as_deref(),
        approved_by: r.approved_by.as_deref(),
        approved: day(r.approved),
        valid_until: day(r.valid_until),
        past: r.is_past(today),
        reported: reported.collect(),
        configurations: configurations
            .map(|(i, c)| configuration(c, d.default_configuration == Some(i)))
            .collect(),
        centre_square: CentreSquareRow {
            along_m: m(square.along_m),
            across_m: m(square.across_m),
            turn_deg: deg(square.turn_deg),
        },
        other_marks: marks.map(|k| OtherMarkRow { name: &k.name, kind: k.kind.id() }).collect(),
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::ground::outline_for_tests as outline;
    use crate::venue::for_tests::venue;

    #[test]
    fn the_record_is_data_too() {
        let v = venue(
            &outline(165.0, 135.0),
            "[record]\nmeasured_by = \"R. Quill\"\nvalid_until = \"2026-07-31\"\n[centre_square]\nacross_m = 3\n\
             [[configuration]]\nname = \"senior\"\n\
             [[reported]]\nwhat = \"bench\"\ndate = \"2026-06-20\"\nby = \"B. Wren\"\nsettled = \"2026-06-21\"\n",
        )
        .0;
        let told = |day| serde_json::to_value(record(&v.document, day)).unwrap();
        let of = |d| told(Day::new(2026, 7, d).unwrap());
        assert_eq!((&of(31)["past"], &of(1)["measured_by"]), (&json!(false), &json!("R. Quill")));
        assert_eq!(of(31)["reported"][0]["settled"], json!("2026-06-21"));
        assert_eq!(of(31)["configurations"][0]["this"], json!(true));
        assert_eq!(of(31)["centre_square"]["across_m"].as_f64(), Some(3.0));
        let later = told(Day::new(2026, 8, 1).unwrap());
        assert_eq!(later["past"], json!(true));
    }
}
