//! What a venue's record says of itself, as JSON.

use serde_json::{Value, json};

use super::json::{deg, m};
use crate::units::Day;
use crate::venue::{ConfigurationLine, Document};

/// The record of a venue on a day.
pub(super) fn record(d: &Document, today: Day) -> Value {
    let (r, square) = (&d.record, &d.surroundings.square_at);
    let day = |d: Option<Day>| d.map(|d| d.to_string());
    let configurations: Vec<Value> = d
        .configurations
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let (line, inside) = match c.line {
                ConfigurationLine::Surveyed => ("surveyed", 0.0),
                ConfigurationLine::Inset { in_m } => ("inset", in_m),
                ConfigurationLine::Rope { in_m } => ("rope", in_m),
                ConfigurationLine::Own(_) => ("own", 0.0),
            };
            json!({
                "name": c.name,
                "this": d.default_configuration == Some(i),
                "line": line,
                "inside_m": m(inside),
                "rule_set": c.rules.id,
            })
        })
        .collect();
    let reported: Vec<Value> = d
        .reported
        .iter()
        .map(|r| {
            json!({
                "what": r.what, "place": r.place, "date": r.date.to_string(), "by": r.by,
                "settled": day(r.settled), "how": r.how,
            })
        })
        .collect();
    let marks = &d.surroundings.other_marks;
    json!({
        "measured_by": r.measured_by,
        "approved_by": r.approved_by,
        "approved": day(r.approved),
        "valid_until": day(r.valid_until),
        "past": r.is_past(today),
        "reported": reported,
        "configurations": configurations,
        "centre_square": {
            "along_m": m(square.along_m), "across_m": m(square.across_m), "turn_deg": deg(square.turn_deg),
        },
        "other_marks": marks.iter().map(|k| json!({ "name": k.name, "kind": k.kind.id() })).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
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
        let of = |d| record(&v.document, Day::new(2026, 7, d).unwrap());
        assert_eq!((&of(31)["past"], &of(1)["measured_by"]), (&json!(false), &json!("R. Quill")));
        assert_eq!(of(31)["reported"][0]["settled"], json!("2026-06-21"));
        assert_eq!(of(31)["configurations"][0]["this"], json!(true));
        assert_eq!(of(31)["centre_square"]["across_m"].as_f64(), Some(3.0));
        let later = record(&v.document, Day::new(2026, 8, 1).unwrap());
        assert_eq!(later["past"], json!(true));
    }
}
