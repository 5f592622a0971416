//! Reads and checks `venue.toml`.

use toml::de::DeTable;

use super::around::{MatchTimes, fence, hazard, landmark, match_times, painted};
use super::configuration::{Base, Configuration, configurations};
use super::end_mark::{END_TABLE, NO_END, end_trouble, is_whole};
use super::fitted::{Fitted, fitted};
use super::id::id_trouble;
use super::marks::{other_marks, square_at};
use super::plane_in::plane;
use super::record::{Record, Reported, record, reported};
use super::rules_file::find_rules;
use super::rules_in::{RulesOf, rules_in};
use super::surveys::SurveyFile;
use super::table::{Source, Table};
use super::{END_MARK, Names, SCHEMA};
use crate::boundary::Side;
use crate::frame::LocalPlane;
use crate::ground::{Fence, Painted, Surroundings};
use crate::rules::{Practice, RuleSet};
use crate::units::ranges::{HAZARDS, LANDMARKS};
use crate::units::{Day, Problem};

/// A venue file that was checked by itself: the files that it names are not opened yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The version of the file's layout.
    pub schema: i64,
    /// The venue's short name, which is the name of its folder.
    pub id: String,
    /// The name that people know.
    pub name: String,
    /// Names of ends and sides.
    pub names: Names,
    /// The local plane of all coordinates.
    pub plane: LocalPlane,
    /// The survey's files: one, or several that were adjusted together.
    pub surveys: Vec<SurveyFile>,
    /// The day of the survey.
    pub surveyed: Day,
    /// Steady error of the survey's place in each of east and north, one standard deviation, m, as
    /// registered; `None` in a file that does not give it.
    pub place_sd_m: Option<f64>,
    /// Standard deviation of a point, m, where the survey is one source; `None` in a file that does not give
    /// it.
    pub point_sd_m: Option<f64>,
    /// The fit's file name.
    pub fit_file: String,
    /// Its SHA-256.
    pub fit_sha256: String,
    /// The true bearing to end A, degrees, from the summary for people: where the fit file is lost, only this
    /// tells which end is A.
    pub axis_said_deg: Option<f64>,
    /// The rule set of the default configuration, with the venue's own numbers.
    pub rules: RuleSet,
    /// The practice with the venue's own numbers.
    pub practice: Practice,
    /// Landmarks, hazards, fence and other marks of the default configuration.
    pub surroundings: Surroundings,
    /// The file's configurations; empty where it has none.
    pub configurations: Vec<Configuration>,
    /// The index of the one that commands use, if there are any.
    pub default_configuration: Option<usize>,
    /// When matches are played.
    pub match_times: MatchTimes,
    /// Side of the interchange area, if the file gives it.
    pub interchange: Option<Side>,
    /// Who measured and approved the ground, and until when that holds.
    pub record: Record,
    /// What people found wrong, settled or not.
    pub reported: Vec<Reported>,
    /// Lines for the card's help row.
    pub help: Vec<String>,
    /// Lines that the card shows as they are.
    pub notes: Vec<String>,
}

/// Returns the bytes of a file in a venue's folder, or beside that folder, or says why it can't.
pub type BytesOf<'a> = &'a mut dyn FnMut(&str) -> Result<Vec<u8>, String>;

impl Document {
    /// Reads and checks a venue file under a built-in rule set.
    ///
    /// # Errors
    /// Every problem, with its line.
    pub fn parse(text: &str) -> Result<Self, Vec<Problem>> {
        Self::read(text, &mut |_| Err("no file beside it was opened".to_owned()))
    }

    /// As [`Document::parse`], where the rule set may be a league's own: `bytes_of` returns the bytes of its
    /// file, or says why it can't.
    ///
    /// # Errors
    /// Every problem of the venue's file and of the league's, with its line.
    pub fn read(text: &str, bytes_of: BytesOf<'_>) -> Result<Self, Vec<Problem>> {
        Self::under(text, &mut |id| find_rules(id, bytes_of))
    }

    /// As [`Document::read`], with a function that finds rule sets.
    pub(super) fn under(text: &str, rules_of: RulesOf<'_>) -> Result<Self, Vec<Problem>> {
        let mut source = Source::new(text);
        let root = match DeTable::parse(text) {
            Ok(root) => root,
            Err(e) => {
                let offset = e.span().map_or(0, |s| s.start);
                let p = Problem::new(format!("not TOML: {}", e.message()));
                source.problem(offset, if is_whole(text) { p } else { p.hint(NO_END) });
                return Err(source.into_problems());
            }
        };
        let document = read(Table::new(root.get_ref(), "", 0), &mut source, text, rules_of);
        match document {
            Some(d) if source.is_good() => Ok(d),
            _ => Err(source.into_problems()),
        }
    }

    /// A warning where the file has an older layout: it is read, but lacks what newer layouts have.
    #[must_use]
    pub fn outdated(&self) -> Option<Problem> {
        (self.schema < SCHEMA).then(|| {
            Problem::new(format!("of schema {}, where nothing shows that a file was cut off", self.schema)).hint(
                format!("write schema = {SCHEMA} at its head and {END_MARK} as its last line, or register a survey anew"),
            )
        })
    }
}

fn read(mut root: Table<'_, '_>, s: &mut Source, text: &str, rules_of: RulesOf<'_>) -> Option<Document> {
    let schema = root.must_schema(s, SCHEMA)?;
    ended(&mut root, s, text);
    let id = root.must_text(s, "id", "\"marrow-plains\"").filter(|id| {
        let trouble = id_trouble(id);
        let good = trouble.is_none();
        if let Some(trouble) = trouble {
            s.problem(root.offset, trouble.about("id"));
        }
        good
    });
    let name = root.must_text(s, "name", "\"Marrow Plains Oval\"");
    let names = names(&mut root, s);
    let plane = plane(&mut root, s);
    let fitted = fitted(&mut root, s);
    let practice = root.table(s, "practice");
    let rules = root.must_table(s, "rules").and_then(|t| rules_in(Some(t), practice, None, s, rules_of));
    let local = plane.unwrap_or(LocalPlane::own());
    let surroundings = surroundings(&mut root, s, &local, rules.as_ref());
    let laws = RuleSet::laws();
    let base = Base { plane: &local, rules: rules.as_ref().unwrap_or(&laws), surroundings: &surroundings };
    let (configurations, default_configuration) = configurations(&mut root, s, &base, rules_of);
    let interchange = interchange(&mut root, s, names.as_ref());
    let match_times = match_times(&mut root, s);
    let (record, reported) = (record(&mut root, s), reported(&mut root, s));
    let help = root.texts(s, "help");
    let notes = root.texts(s, "notes");
    root.finish(s);
    let Fitted { surveys, surveyed, place_sd_m, point_sd_m, fit_file, fit_sha256, axis_said_deg } = fitted?;
    // Commands use the default configuration.
    let (rules, surroundings) = match default_configuration.and_then(|i| configurations.get(i)) {
        Some(c) => (c.rules.clone(), c.surroundings.clone()),
        None => (rules?, surroundings),
    };
    Some(Document {
        schema,
        id: id?,
        name: name?,
        names: names?,
        plane: plane?,
        surveys,
        surveyed,
        place_sd_m,
        point_sd_m,
        fit_file,
        fit_sha256,
        axis_said_deg,
        practice: rules.practice.clone(),
        rules,
        surroundings,
        configurations,
        default_configuration,
        match_times,
        interchange,
        record,
        reported,
        help,
        notes,
    })
}

/// Checks the end mark, from schema 2 on.
fn ended(root: &mut Table<'_, '_>, s: &mut Source, text: &str) {
    if !root.since(s, 2, END_TABLE) {
        return;
    }
    let mark = root.table(s, END_TABLE);
    if let Some(p) = end_trouble(text, mark.is_some()) {
        s.problem(text.len(), p);
    } else if let Some(mark) = mark {
        mark.finish(s);
    }
}

fn names(root: &mut Table<'_, '_>, s: &mut Source) -> Option<Names> {
    let ends = pair(root, s, "ends", ["a", "b"]);
    let sides = pair(root, s, "sides", ["left", "right"]);
    let names = Names { ends: ends?, sides: sides? };
    if let Some(trouble) = names.trouble() {
        let p = Problem::new(trouble).at("[ends], [sides]").hint("give each a short name of its own");
        s.problem(root.offset, p);
    }
    Some(names)
}

fn interchange(root: &mut Table<'_, '_>, s: &mut Source, names: Option<&Names>) -> Option<Side> {
    let text = root.text(s, "interchange_side")?;
    let side = names.and_then(|n| n.find_side(&text));
    if side.is_none() {
        s.problem(
            root.offset,
            Problem::new(format!("interchange_side '{text}' is not a side of this venue")),
        );
    }
    side
}

/// The ground's surroundings.
fn surroundings(
    root: &mut Table<'_, '_>,
    s: &mut Source,
    local: &LocalPlane,
    rules: Option<&RuleSet>,
) -> Surroundings {
    let practice = rules.map_or_else(Practice::default, |r| r.practice.clone());
    Surroundings {
        painted: root.table(s, "painted").map_or_else(Painted::default, |t| painted(t, s)),
        square_at: square_at(root, s),
        other_marks: other_marks(root, s, local),
        landmarks: root
            .tables(s, "landmark", LANDMARKS)
            .into_iter()
            .filter_map(|t| landmark(t, s, local, &practice))
            .collect(),
        hazards: root.tables(s, "hazard", HAZARDS).into_iter().filter_map(|t| hazard(t, s, local)).collect(),
        fence: root.table(s, "fence").map_or_else(Fence::default, |t| fence(t, s, local)),
    }
}

fn pair(
    root: &mut Table<'_, '_>,
    s: &mut Source,
    key: &'static str,
    of: [&'static str; 2],
) -> Option<[String; 2]> {
    let mut t = root.must_table(s, key)?;
    let [a, b] = of.map(|k| t.must_text(s, k, "\"Silo\""));
    t.finish(s);
    let (a, b) = (a?, b?);
    Some([a, b])
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::boundary::End;
    use crate::rules::LastDisposal;

    pub(in crate::venue) const GOOD: &str = r#"schema = 1
id = "test-oval"
name = "Test Oval"
help = ["gate 2"]

[ends]
a = "Silo"
b = "School"

[sides]
left = "Pavilion"
right = "Road"

[datum_point]
latitude = -36.5
longitude = 145.0
height_m = 100.0
datum = "GDA2020"

[survey]
file = "survey-a.csv"
sha256 = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
method = "rtk"
date = 2026-03-14

[fit]
file = "fit-a.json"
sha256 = "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb"

[rules]
set = "laws"
last_disposal_between_arcs = true
on_the_arc_is_inside = false

[rules.numbers]
square_side_m = 45

[practice]
back_m = 12

[fence]
distance_m = 4.0
[[fence.tight]]
x_m = 10.0
y_m = 60.0
distance_m = 2.4

[[landmark]]
name = "silo"
latitude = -36.49
longitude = 145.0
width_m = 6

[[hazard]]
name = "pit cover"
x_m = 60.0
y_m = 10.0
radius_m = 0.5
"#;

    /// The schema line of the newest schema, for [`with`].
    pub(in crate::venue) const GOOD_2: &str = "schema = 2";

    /// The good file of the newest schema, with more above its end mark.
    pub(in crate::venue) fn with(schema: &str, more: &str) -> String {
        format!("{}\n{more}\n{END_MARK}\n", GOOD.replace("schema = 1", schema))
    }

    #[test]
    fn schema_1_opens_and_is_outdated_and_what_came_later_is_refused_in_it() {
        let d = Document::parse(GOOD).unwrap();
        assert!(d.outdated().unwrap().to_string().contains("write schema = 2 at its head and [end_of_file]"));
        assert_eq!(Document::parse(&with(GOOD_2, "")).unwrap().outdated(), None);
        let e = problems(&format!("{GOOD}\n[record]\nmeasured_by = \"x\"\n[end_of_file]\n"));
        assert!(e.contains("'record' came with schema 2 (hint: write schema = 2 at the head"), "{e}");
        assert!(e.contains("'end_of_file' came with schema 2"), "{e}");
    }

    #[test]
    fn another_schema_is_refused_in_one_sentence() {
        for schema in ["0", "3", "1.5", "77"] {
            let e = problems(&GOOD.replace("schema = 1", &format!("schema = {schema}\nfuture = 1")));
            assert_eq!(e.lines().count(), 1, "{e}");
            assert!(
                e.starts_with(&format!(
                    "line 1: schema {schema} is not known (hint: this program reads schema 1 and 2"
                )),
                "{e}"
            );
        }
        assert!(
            problems(&GOOD.replace("schema = 1\n", ""))
                .contains("'schema' is missing (hint: write schema = 2)")
        );
    }

    #[test]
    fn a_file_that_ends_before_its_mark_or_goes_on_after_it_is_refused() {
        let whole = with(GOOD_2, "");
        let cut = whole.replace("[end_of_file]\n", "");
        let e = problems(&cut);
        let line = cut.lines().count() + 1;
        assert_eq!(
            e,
            format!(
                "line {line}: the file ends before its end mark: it was cut off (hint: put the whole file back; if you wrote it by hand, add the line [end_of_file] at its end)"
            )
        );
        let e = problems(&format!("{whole}[[hazard]]\nname = \"tap\"\nx_m = 1\ny_m = 1\nradius_m = 1\n"));
        assert!(e.contains("something stands below [end_of_file]") && e.contains("move the line"), "{e}");
        assert!(problems(&whole.replace("radius_m = 0.5\n", "radius_m = \n")).lines().count() == 1);
        assert!(problems(&whole[..whole.len() - 20]).contains("its last line is [end_of_file]"));
    }

    fn problems(text: &str) -> String {
        Document::parse(text).unwrap_err().iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_good_file_reads_whole() {
        let d = Document::parse(GOOD).unwrap();
        assert_eq!(d.names.find_end("silo"), Some(End::A));
        assert_eq!(d.names.find_side("ROAD"), Some(Side::Right));
        assert_eq!(d.names.find_end("b"), Some(End::B));
        assert_eq!(d.rules.square_side_m.value, 45.0);
        assert_eq!(d.rules.last_disposal, LastDisposal::BetweenArcs);
        assert!(!d.rules.on_arc_is_inside);
        assert_eq!(d.practice.back_m.value, 12.0);
        assert_eq!(d.surroundings.landmarks.len(), 1);
        assert_eq!(d.surroundings.fence.tight.len(), 1);
        assert_eq!(d.surveyed.to_string(), "2026-03-14");
    }

    #[test]
    fn every_problem_at_once_with_its_line_and_a_hint() {
        let bad = GOOD
            .replace("method = \"rtk\"", "method = \"magic\"")
            .replace("latitude = -36.5\n", "latitude = 145.0\n")
            .replace("width_m = 6", "widht_m = 6")
            .replace("radius_m = 0.5", "radius_m = \"big\"")
            .replace("name = \"Test Oval\"\n", "");
        let all = problems(&bad);
        assert!(all.contains("line 1: 'name' is missing"), "{all}");
        assert!(all.contains("'latitude' in [datum_point] is 145") && all.contains("swapped"), "{all}");
        assert!(all.contains("method 'magic' is not known") && all.contains("rtk, phone"), "{all}");
        assert!(all.contains("'widht_m'") && all.contains("did you mean 'width_m'?"), "{all}");
        assert!(all.contains("'radius_m' in [[hazard]] number 1 is a text, not a number"), "{all}");
        // In the order of the file.
        let lines: Vec<usize> =
            all.lines().filter_map(|l| l.strip_prefix("line ")?.split(':').next()?.parse().ok()).collect();
        assert!(lines.len() >= 5 && lines.windows(2).all(|w| w[0] <= w[1]), "{all}");
    }

    #[test]
    fn numbers_out_of_their_range_are_refused_with_value_range_and_line() {
        let with = |from: &str, to: &str| problems(&GOOD.replace(from, to));
        let e = with("height_m = 100.0", "height_m = 72000.0");
        assert!(
            e.starts_with("line 17: 'height_m' in [datum_point] is 72000, outside -1000 to 9000 m"),
            "{e}"
        );
        let e = with("method = \"rtk\"", "method = \"rtk\"\nsigma_m = 1e-7");
        assert!(e.contains("'sigma_m' in [survey] is 0.0000001, outside 0.000001 to 1000 m (hint: "), "{e}");
        let e = with("method = \"rtk\"", "method = \"rtk\"\nline_width_m = 5");
        assert!(e.contains("'line_width_m' in [survey] is 5, outside 0.01 to 0.5 m"), "{e}");
        for zone in ["45", "60", "55.5"] {
            let e = with("method = \"rtk\"", &format!("method = \"rtk\"\nzone = {zone}"));
            assert!(e.contains("zone") && e.contains("on the mainland"), "{e}");
        }
        assert!(with("name = \"Test Oval\"", "name = \"\"").contains("line 3: 'name' is empty"));
        let e = with("id = \"test-oval\"", "id = \"aux\"");
        assert!(e.contains("id 'aux' is a name that Windows keeps"), "{e}");
    }

    #[test]
    fn lists_are_read_to_their_cap_and_refused_beyond_it_by_name_and_line() {
        let many = |n: usize| {
            let one = |i: usize| format!("[[landmark]]\nname = \"tree {i}\"\nx_m = {}\ny_m = 0\n", 300 + i);
            format!("{GOOD}{}", (1..n).map(one).collect::<String>())
        };
        assert_eq!(Document::parse(&many(1_000)).unwrap().surroundings.landmarks.len(), 1_000);
        let e = problems(&many(20_000));
        // The good file has one landmark, so the 1001st is 999 landmarks further down, at four lines each.
        let line = GOOD.lines().count() + 999 * 4 + 1;
        assert_eq!(
            e,
            format!(
                "line {line}: [[landmark]]: there are 20000 landmarks, and at most 1000 are read (hint: keep those that officials face)"
            )
        );
        // And a problem that each of many has is not listed for each.
        let e = problems(&many(900).replace("x_m = ", "x_q = "));
        assert_eq!(e.lines().count(), 21, "{e}");
        assert!(e.ends_with("more (hint: mend these first)"), "{e}");
        let notes = format!("notes = [{}]\n{GOOD}", "\"x\", ".repeat(21));
        assert!(problems(&notes).contains("line 1: 'notes': there are 21 lines, and at most 20"), "{notes}");
        let long = format!("notes = [\"{}\"]\n{GOOD}", "x".repeat(100_000));
        assert!(problems(&long).contains("line 1: a line of 'notes' has 100000 characters"));
        let key = format!("{} = 1\n{GOOD}", "k".repeat(100_000));
        assert!(problems(&key).len() < 400);
    }

    #[test]
    fn what_a_file_holds_is_never_obeyed_by_a_terminal() {
        let bad = GOOD
            .replace("method = \"rtk\"", "method = \"\u{202e}x\\u001b[2J\"")
            .replace("set = \"laws\"", "set = \"a\u{202e}b\"")
            .replace("name = \"silo\"", "name = \"a\\nline 1: all is well\"")
            + "\n\"\\u001b[2Jkey\\n\" = 1\n";
        let e = problems(&bad);
        assert!(!e.chars().any(|c| c != '\n' && crate::units::print::is_obeyed(c)), "{e:?}");
        assert!(!e.contains("\nline 1"), "{e}");
    }

    #[test]
    fn the_axis_is_read_from_its_summary() {
        let said = |axis: &str| {
            let text = GOOD.replace("[rules]\n", &format!("axis = \"{axis}\"\n\n[rules]\n"));
            Document::parse(&text).unwrap().axis_said_deg
        };
        assert_eq!(said("12.00° ± 0.03 true to end A, by the posts"), Some(12.0));
        for odd in ["unknown true to end A", "720° true", "north"] {
            assert_eq!(said(odd), None, "{odd}");
        }
    }

    #[test]
    fn names_that_lead_outside_are_refused() {
        let bad = GOOD.replace("file = \"survey-a.csv\"", "file = \"../other/survey.csv\"");
        assert!(problems(&bad).contains("not a plain name"));
        assert!(problems("schema = ").contains("line 1: not TOML"));
    }

    #[test]
    fn a_near_landmark_needs_a_place() {
        let bad = GOOD.replace(
            "latitude = -36.49\nlongitude = 145.0\nwidth_m = 6",
            "bearing_true_deg = 20\ndistance_m = 300",
        );
        assert!(problems(&bad).contains("must be far off"));
    }

    proptest::proptest! {
        /// A good file with any part of it replaced by anything is read or refused.
        #[test]
        fn never_panics(from in 0usize..900, length in 0usize..60, text in "\\PC{0,20}") {
            let from = from.min(GOOD.len());
            let to = (from + length).min(GOOD.len());
            if let Err(problems) = Document::parse(&format!("{}{text}{}", &GOOD[..from], &GOOD[to..])) {
                proptest::prop_assert!(!problems.is_empty());
            }
        }
    }
}
