//! The tape notebook: plain text that a volunteer can type.
//!
//! ```text
//! # Tape notebook of Cockatoo Hollow, 14 March 2026
//! tape A: 50 m, class III, steel
//! laser L: sd 0.01
//!
//! NE goal post to peg 7: 62.40
//! peg 7 to peg 8: 30.25, sd 0.01, 31 C, rise 0.7
//! NE goal post to SW goal post: 162.31, with L
//!
//! base NW behind post to SW behind post
//! at 20.00 left 31.40
//! at 40.00 left 38.25: gate corner
//!
//! peg 7 is at 0, 0
//! peg 8 is at 30.2, 0, sd 0.05
//! peg 9 is near 20, 30
//! peg 9 is left of peg 7 to peg 8
//! gate corner is a mark
//! peg 7 to peg 8 bears 347
//!
//! goal to goal: 162.35
//! wing to wing: 131.20
//! ```
//!
//! | line | meaning |
//! | --- | --- |
//! | `tape NAME: 50 m, …` | a tape. `class I`, `II` or `III` (a greatest error, mostly one scale error), or `scale 0.0002` (one standard deviation); `sd 0.02` of one reading; `steel` or `expands 0.0000115`; `true 50.012`, its true length |
//! | `laser NAME: …` | the same for a hand-held laser; without `scale` it has no scale error |
//! | `with NAME` | what the measures below were made with; until it is said, the first one described |
//! | `A to B: 62.40, …` | a tie: the distance between two marks, m |
//! | `base A to B` | a base line for the `at` lines below it |
//! | `at 20.00 left 31.40: name, …` | 20.00 along it, 31.40 to the left of a person who looks from A to B. Without a name, a point of the boundary |
//! | `goal to goal: …`, `wing to wing: …` | from the middle of one goal line to the other's; across, midway between the goals |
//! | `A is at 10, 20` | held fixed there: x, y in metres. With `sd 0.05`: measured there |
//! | `A is near 10, 20` | a place to start looking, no measure |
//! | `A is left of B to C` | which side: tells a network from its mirror image (`right of` too) |
//! | `A to B bears 347` | the true bearing from one mark to another, degrees: tells where north is |
//! | `A is a boundary`, `goal post`, `behind post`, `mark` | what it is, where its name does not say |
//!
//! Measures take `sd 0.02` (one standard deviation, m), `with NAME`, `31 C` (needs an
//! expansion), and `rise 0.7` (metres from end to end). Names are words
//! of any kind without `:`, `,` and without the words `to` and `is`; upper and lower
//! case are alike. `#` starts a comment. Numbers have a decimal point and metres.
//!
//! Looser forms are read too: `A - B` or `A → B` for `A to B`; `=`, or nothing before a number
//! with decimals, for the colon; `L` and `R`; `20.00 L 31.40` without `at`; `62,40` and
//! `is at 10,5; 20,0`; and words after a reading (`62.40 (checked)`),
//! which are ignored with a warning.
//!
//! Where no `sd` is given, the standard deviation is 0.02 m for a tape's reading and 0.01 m for a
//! laser's. The chainage of an offset also has the error of a right angle laid out by eye. A tape
//! without a class is taken as class III. Marks are posts or boundary as their names say; marks laid
//! out from a base line are boundary unless their names say otherwise.

mod book;
mod correction;
mod instrument;
mod loose;
mod rows;
mod sniff;
mod words;

pub use book::{Bears, Hand, Mark, Measure, Notebook, Quantity, Tape};

use std::collections::BTreeMap;

pub(super) use sniff::is_notebook;

use self::instrument::Instrument;
use self::loose::plain;
use self::words::without_comment;
use super::roles::{Says, is_a_mark, says};
use super::{Format, Problems, ReadOptions, Role, Survey, SurveyError};
use crate::units::{Problem, Warned, print};

/// Most marks of a notebook: a network of so many is adjusted in seconds.
const MAX_MARKS: usize = 500;
/// Most measures.
const MAX_MEASURES: usize = 5_000;
/// Most lines that are neither blank nor comments.
const MAX_LINES: usize = 20_000;
/// Most tapes.
const MAX_TAPES: usize = 50;
/// Most sides.
const MAX_HANDS: usize = 1_000;

struct Reader<'a> {
    book: Notebook,
    /// Indices of the marks by [`Notebook::key`].
    keys: BTreeMap<String, usize>,
    options: &'a ReadOptions,
    instruments: Vec<Instrument>,
    with: Option<usize>,
    base: Option<[usize; 2]>,
    /// Whether each mark was laid out from a base line.
    laid_out: Vec<bool>,
    /// The role of each mark that a line of the notebook states.
    said: Vec<Option<Role>>,
    offsets: usize,
    /// Remarks that were ignored, with their places.
    remarks: Vec<(String, String)>,
    /// Lines whose decimal commas were read as points.
    commas: Vec<String>,
    /// Lines with coordinates of a mark in which a comma may be a decimal comma.
    unsure: Vec<String>,
}

pub(super) fn read(text: &str, options: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    let mut reader = Reader {
        book: Notebook::default(),
        keys: BTreeMap::new(),
        options,
        instruments: Vec::new(),
        with: None,
        base: None,
        laid_out: Vec::new(),
        said: Vec::new(),
        offsets: 0,
        remarks: Vec::new(),
        commas: Vec::new(),
        unsure: Vec::new(),
    };
    let mut problems = Problems::default();
    let lines = text.lines().map(without_comment).enumerate().filter(|(_, line)| !line.is_empty());
    for (read, (i, line)) in lines.enumerate() {
        let place = format!("line {}", i + 1);
        if read == MAX_LINES {
            problems.push(
                Problem::new(format!("more than {MAX_LINES} lines: too many for one notebook")).at(place),
            );
            break;
        }
        let plain = plain(line);
        if plain.commas {
            reader.commas.push(place.clone());
        }
        if let Err(p) = reader.line(&plain.text, &place) {
            problems.push(p.at(place));
        }
        if problems.enough() {
            break;
        }
        let b = &reader.book;
        let many = b.marks.len() > MAX_MARKS || b.measures.len() > MAX_MEASURES;
        if many || b.tapes.len() > MAX_TAPES || b.hands.len() > MAX_HANDS {
            problems.push(Problem::new(format!(
                "more than {MAX_MARKS} marks, {MAX_MEASURES} measures, {MAX_TAPES} tapes or {MAX_HANDS} sides: too many for one notebook"
            )));
            break;
        }
    }
    if let (Some(comma), false) = (reader.commas.first(), reader.unsure.is_empty()) {
        for place in &reader.unsure {
            problems.push(
                Problem::new(format!("the comma parts x from y or is a decimal one, as in {comma}"))
                    .at(place.clone())
                    .hint("write: peg 7 is at 10.00, 20.00"),
            );
        }
    }
    if !problems.is_empty() {
        return Err(problems.into_error());
    }
    reader.finish()
}

impl Reader<'_> {
    fn finish(mut self) -> Result<Warned<Survey>, SurveyError> {
        let mut warnings = Vec::new();
        let names: Vec<String> = self.book.marks.iter().map(|m| m.name.clone()).collect();
        super::roles::refuse_unmatched(&self.options.patterns, names.iter().map(String::as_str))?;
        for (i, mark) in self.book.marks.iter_mut().enumerate() {
            mark.role =
                self.options.patterns.role(&mark.name).or(self.said[i]).unwrap_or_else(|| {
                    match says(&mark.name) {
                        Says::GoalPost => Role::GoalPost,
                        Says::BehindPost => Role::BehindPost,
                        Says::Boundary if !self.options.patterns.names_boundary() => Role::Line,
                        Says::SomethingElse | Says::Nothing
                            if self.laid_out[i]
                                && !is_a_mark(&mark.name)
                                && !self.options.patterns.names_boundary() =>
                        {
                            Role::Line
                        }
                        _ => Role::Unused,
                    }
                });
        }
        if self.book.measures.is_empty() {
            return Err(Problem::new("the notebook holds no measures")
                .hint("write a tie as: NE goal post to peg 7: 62.40")
                .into());
        }
        warnings.extend(self.said_of_writing());
        let untaped = self.book.measures.iter().filter(|m| m.tape.is_none()).count();
        if untaped > 0 {
            warnings.push(
                Problem::new(format!(
                    "{} made with no tape named: no scale error common to them is in the ±",
                    print::count(untaped, "measure")
                ))
                .hint("add a line at the top: tape A: 50 m, class III"),
            );
        }
        Ok(Warned {
            value: Survey {
                format: Format::Notebook,
                observations: Vec::new(),
                height_m: self.options.height_m,
                book: Some(self.book),
                names_datum: false,
            },
            warnings,
        })
    }

    /// Warnings about looser forms that were read.
    fn said_of_writing(&self) -> Vec<Problem> {
        const SHOWN: usize = 5;
        let mut out = Vec::new();
        let more = |n: usize| if n > SHOWN { format!(" and {} more", n - SHOWN) } else { String::new() };
        if let Some(first) = self.commas.first() {
            let others = self.commas.len() - 1;
            let also = if others > 0 {
                format!(", here and in {}", print::count(others, "other line"))
            } else {
                String::new()
            };
            out.push(Problem::new(format!("decimal commas are read as points{also}")).at(first.clone()));
        }
        if !self.remarks.is_empty() {
            let shown: Vec<String> = self
                .remarks
                .iter()
                .take(SHOWN)
                .map(|(place, text)| format!("{} ({place})", print::quoted(text)))
                .collect();
            out.push(Problem::new(format!(
                "{} passed over: {}{}",
                print::count(self.remarks.len(), "remark"),
                shown.join(", "),
                more(self.remarks.len())
            )));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ok(text: &str) -> Warned<Survey> {
        assert!(is_notebook(text), "{text}");
        read(text, &ReadOptions::default()).unwrap()
    }

    fn book(text: &str) -> Notebook {
        ok(text).value.book.unwrap()
    }

    fn err(text: &str) -> String {
        read(text, &ReadOptions::default()).unwrap_err().to_string()
    }

    #[test]
    fn the_example_of_the_documentation() {
        let example: String = include_str!("mod.rs")
            .lines()
            .skip_while(|l| !l.contains("```text"))
            .skip(1)
            .take_while(|l| !l.contains("```"))
            .map(|l| l.trim_start_matches("//!").trim().to_owned() + "\n")
            .collect();
        let b = book(&example);
        let names: Vec<&str> = b.marks.iter().map(|m| m.name.as_str()).collect();
        assert_eq!(
            names,
            [
                "NE goal post",
                "peg 7",
                "peg 8",
                "SW goal post",
                "NW behind post",
                "SW behind post",
                "boundary offset 1",
                "gate corner",
                "peg 9"
            ]
        );
        assert_eq!(b.measures.len(), 3 + 4 + 2);
        assert_eq!(b.marks[0].role, Role::GoalPost);
        assert_eq!(b.marks[4].role, Role::BehindPost);
        assert_eq!(b.marks[6].role, Role::Line);
        assert_eq!(b.marks[7].role, Role::Unused);
        assert_eq!(
            (b.marks[1].at_sd_m, b.marks[2].at_sd_m, b.marks[8].at_sd_m),
            (Some(0.0), Some(0.05), None)
        );
        assert_eq!(b.hands, [Hand { mark: 8, of: [1, 2], left: true }]);
        assert_eq!(b.bears.map(|b| (b.from, b.to, b.true_deg)), Some((1, 2, 347.0)));
        // 30.25 m at 31 °C with a rise of 0.7 m, by steel: + 30.25 · 11.5e-6 · 11 − 0.7²/(2 · 30.25) − …
        let m = &b.measures[1];
        let want = (30.25f64 * 30.25 - 0.49).sqrt() + 30.25 * 11.5e-6 * 11.0;
        assert!((m.value_m - want).abs() < 1e-12 && m.read_m == 30.25 && m.sd_m == 0.01);
        // Class III: 0.4 mm per metre, uniformly distributed.
        assert!((b.tapes[0].scale_sd - 0.0004 / 3f64.sqrt()).abs() < 1e-15);
        assert_eq!(b.tapes[1].scale_sd, 0.0);
        assert!(matches!(b.measures[7].quantity, Quantity::GoalToGoal));
    }

    #[test]
    fn sides_tapes_and_roles() {
        let b = book(
            "tape A: 50 m, true 50.05, sd 0.03\nwith A\nbase a to b\nat 10 right 5.0: Peg 1\nat 10 left 5: B2, sd 0.01\nGate 3 is boundary\nA TO gate_3: 12.0\n",
        );
        assert_eq!(b.measures[1].value_m, -5.0 - 5.0 * (50.05 / 50.0 - 1.0));
        let [peg, b2, gate] = ["peg 1", "B2", "gate 3"].map(|n| b.marks[b.find(n).unwrap()].role);
        assert_eq!([peg, b2, gate], [Role::Unused, Role::Line, Role::Line]);
        // A right angle laid out by eye adds 1° of the offset to the chainage, unless the line gives an sd.
        assert!((b.measures[0].sd_m - 0.03f64.hypot(5.0 * 1f64.to_radians().tan())).abs() < 1e-12);
        assert_eq!((b.measures[2].sd_m, b.measures[3].sd_m), (0.01, 0.01));
        assert_eq!(b.measures[4].tape, Some(0));
        assert_eq!(b.tapes[0].scale_sd, 0.0);
    }

    #[test]
    fn every_problem_has_its_line_and_a_remedy() {
        let e = err(
            "a to b: 1,234\na to b\nat 3 left 4\na to a: 5\nc is left of b\nb to c: -3\nwith Q\nhello\na to b: 5, 31 C\n",
        );
        for want in [
            "line 1: '234' after a comma is not understood",
            "line 2: the measure is missing",
            "line 3: there is no base line yet",
            "line 4: a tie from 'a' to itself",
            "line 5: left or right of what?",
            "line 6: the distance -3.000 m",
            "line 7: 'Q' is no tape",
            "line 8: 'hello' is not understood",
            "line 9: a temperature needs a tape",
        ] {
            assert!(e.contains(want), "{want}\n{e}");
        }
        assert!(e.lines().filter(|l| l.contains("hint")).count() >= 7, "{e}");
        assert!(err("a is at 1, 2\n").contains("no measures"));
        assert!(err("a to b: 4\na is at 1, 2\na is near 3, 4\n").contains("two places"));
    }

    #[test]
    fn looser_writings_are_the_same_notebook() {
        let strict = book(
            "tape A: 50 m, class III\nN to S: 160.50\nwing to wing: 131.20\nbase N to S\nat 20.00 left 31.40\nat 40.00 right 38.25: gate corner\npeg 7 is at 10.5, 20, sd 0.05\npeg 7 to N: 62.40\n",
        );
        let r = ok(
            "tape A: 50 m, class III\nN – S = 160,50 m (checked)\nwing - wing 131.20\nbase N → S\n20.00 L 31.40 m by the gate\nat 40,00 m R 38,25: gate corner, good\npeg 7 is at 10,5; 20; sd 0,05\npeg 7 to N: 62.40 metres\n",
        );
        let said: Vec<String> = r.warnings.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "line 2: decimal commas are read as points, here and in 1 other line",
                "3 remarks passed over: '(checked)' (line 2), 'by the gate' (line 5), 'good' (line 6)",
            ]
        );
        assert_eq!(r.value.book.unwrap(), strict);
    }

    #[test]
    fn what_may_be_two_things_is_named_with_its_line() {
        let e = err(
            "tape A: 50 m\na to b: 62,40\npeg is at 10,20\na to c: 62.40 ft\na to d: 62.40 or 62.70\na to e: 62.40, using A\nb to c: 1,234\nat 5 up 3\n",
        );
        for want in [
            "line 3: the comma parts x from y or is a decimal one, as in line 2",
            "line 4: the distance '62.40 ft' is not a number of metres",
            "line 5: the distance '62.40 or 62.70'",
            "line 6: 'using A' is not understood",
            "line 7: '234' after a comma",
            "line 8: there is no base line yet",
        ] {
            assert!(e.contains(want), "{want}\n{e}");
        }
        // Where no comma is a decimal comma, it separates x and y.
        assert_eq!(
            book("peg is at 10,20\na to peg: 4\n").marks[0].at.map(|p| (p.x, p.y)),
            Some((10.0, 20.0))
        );
    }

    #[test]
    fn names_that_no_message_can_hold_are_refused() {
        let long = "peg".repeat(30);
        for (name, shown) in [("pe\u{15}g", "'pe\\u{15}g' is no name"), (long.as_str(), "…' is no name")] {
            assert!(err(&format!("a to {name}: 5\n")).contains(shown), "{name}");
            let tape = err(&format!("tape {name}: 50 m\na to b: 5\n"));
            assert!(tape.contains(shown) && tape.len() < 300, "{tape}");
        }
    }

    #[test]
    fn a_notebook_without_end_is_bounded_in_time_and_words() {
        let marks: String = (0..400).map(|i| format!("m{i} to m0: {i}.5\n")).collect();
        for line in ["m399 is boundary\n", "m399 is odd\n", "m399 to m399: 5\n"] {
            let e = err(&format!("{marks}{}", line.repeat(500_000)));
            assert!(e.lines().count() < 10, "{e}");
        }
    }
}
