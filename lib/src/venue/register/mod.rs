//! Makes a venue from a fit, or puts a new survey into an existing venue.

mod doubted;
mod fit_json;
mod of_fit;
mod overlap;
mod starter;
mod survey_bytes;
mod tables;

use toml_edit::{DocumentMut, Item, Table, value};

pub use doubted::{date_doubt, near_doubt};
pub use overlap::{overlap_share, planes_apart_m};
pub use survey_bytes::SurveyBytes;

use self::starter::{EXAMPLES, HEADER};
use self::tables::{fit_table, set, survey_table};
use super::document::BytesOf;
use super::end_mark::{END_COMMENT, END_MARK, is_whole};
use super::open::whole;
use super::rules_file::find_rules;
use super::surveys::{SurveyFile, identity};
use super::{Document, FitFile, Names, SCHEMA, Venue, VenueError, hashed_name, sha256_hex};
use crate::frame::LocalPlane;
use crate::geometry::Model;
use crate::rules::RuleSet;
use crate::units::print::round_to;
use crate::units::ranges::FILE_BYTES;
use crate::units::{Day, Problem};

/// What to register.
#[derive(Debug, Clone)]
pub struct Registration<'a> {
    /// Short name of the venue.
    pub id: &'a str,
    /// The name that people know.
    pub name: &'a str,
    /// Names of ends and sides.
    pub names: &'a Names,
    /// The plane that the fit is in.
    pub plane: LocalPlane,
    /// The survey's files as received, at least one.
    pub surveys: &'a [SurveyBytes<'a>],
    /// Steps of track cleaning that were left out.
    pub keep: &'a [String],
    /// What was cut off both ends of a walk.
    pub trim: Option<&'a str>,
    /// Doubts that a person accepted, by name.
    pub accepted: &'a [String],
    /// The shape of the line, where a person chose it.
    pub shape: Option<Model>,
    /// The day of the survey.
    pub surveyed: Day,
    /// Steady error of its place in each of east and north, one standard deviation, m.
    pub place_sd_m: f64,
    /// Standard deviation of a point, m, where the survey is one source and it is known.
    pub point_sd_m: Option<f64>,
    /// The fit, with end A where it should be.
    pub fit: &'a FitFile,
    /// The rule set.
    pub rules: &'a RuleSet,
}

/// A venue that was made and opened in memory, and its files.
#[derive(Debug, Clone, PartialEq)]
pub struct Registered {
    /// Name and bytes of each file, in the order in which to write them: writing the last one commits the
    /// change.
    pub files: Vec<(String, Vec<u8>)>,
    /// The venue that these files open as.
    pub venue: Venue,
}

struct Parts {
    surveys: Vec<SurveyFile>,
    fit_file: String,
    fit_sha: String,
    fit_json: String,
}

fn parts(r: &Registration<'_>) -> Parts {
    let surveys: Vec<SurveyFile> = r.surveys.iter().map(SurveyBytes::named).collect();
    let fit_json = r.fit.to_json(&identity(&surveys));
    Parts {
        fit_file: hashed_name("fit", fit_json.as_bytes(), "json"),
        fit_sha: sha256_hex(fit_json.as_bytes()),
        surveys,
        fit_json,
    }
}

/// The text with an end mark, added if it has none yet.
fn ended(text: &str) -> String {
    if is_whole(text) { text.to_owned() } else { format!("{}\n\n{END_COMMENT}{END_MARK}\n", text.trim_end()) }
}

/// The files of a new venue.
///
/// # Errors
/// Why these files would not open again; then nothing must be written.
pub fn register(r: &Registration<'_>) -> Result<Registered, VenueError> {
    let p = parts(r);
    let mut doc = DocumentMut::new();
    doc.decor_mut().set_prefix(HEADER);
    let root = doc.as_table_mut();
    root.insert("schema", value(SCHEMA));
    root.insert("id", value(r.id));
    root.insert("name", value(r.name));
    let mut ends = Table::new();
    ends.insert("a", value(&r.names.ends[0]));
    ends.insert("b", value(&r.names.ends[1]));
    root.insert("ends", Item::Table(ends));
    let mut sides = Table::new();
    sides.insert("left", value(&r.names.sides[0]));
    sides.insert("right", value(&r.names.sides[1]));
    root.insert("sides", Item::Table(sides));
    if let Some(d) = r.plane.datum_point() {
        let mut t = Table::new();
        t.insert("latitude", value(round_to(d.latitude_deg(), 9)));
        t.insert("longitude", value(round_to(d.longitude_deg(), 9)));
        t.insert("height_m", value(round_to(d.height_m(), 3)));
        t.insert("datum", value(d.datum().name()));
        root.insert("datum_point", Item::Table(t));
    }
    let mut t = Table::new();
    survey_table(&mut t, r, &p);
    root.insert("survey", Item::Table(t));
    let mut t = Table::new();
    fit_table(&mut t, r, &p);
    root.insert("fit", Item::Table(t));
    let mut t = Table::new();
    t.insert("set", value(r.rules.id.as_ref()));
    root.insert("rules", Item::Table(t));
    opened(
        r,
        p,
        ended(&format!("{doc}\n{EXAMPLES}")),
        &mut |_| Err("no file beside it was opened".to_owned()),
    )
}

/// The registration's files, opened in memory as they will be when they are read back.
fn opened(
    r: &Registration<'_>,
    p: Parts,
    text: String,
    bytes_of: BytesOf<'_>,
) -> Result<Registered, VenueError> {
    let mut files: Vec<(String, Vec<u8>)> = p
        .surveys
        .into_iter()
        .zip(r.surveys)
        .map(|(named, s)| (named.file, s.bytes.to_vec()))
        .chain([(p.fit_file, p.fit_json.into_bytes())])
        .collect();
    let document = Document::under(&text, &mut rules_of(r, bytes_of)).map_err(VenueError::new)?;
    let venue = whole(document, |name| {
        // A configuration's own survey and fit are there already.
        let Some((_, bytes)) = files.iter().find(|(n, _)| n == name) else { return bytes_of(name) };
        match FILE_BYTES.check(bytes.len()) {
            Ok(_) => Ok(bytes.clone()),
            Err(p) => Err(p.to_string()),
        }
    })?;
    files.push(("venue.toml".into(), text.into_bytes()));
    Ok(Registered { files, venue })
}

/// Finds rule sets by name. Where the file of the venue's own rule set can't be read, it is taken from the
/// registration.
fn rules_of<'a>(
    r: &'a Registration<'_>,
    bytes_of: BytesOf<'a>,
) -> impl FnMut(&str) -> Result<RuleSet, Vec<Problem>> + 'a {
    move |id| {
        find_rules(id, bytes_of).or_else(|e| if id == r.rules.id { Ok(r.rules.clone()) } else { Err(e) })
    }
}

/// The files of an existing venue with a new survey and fit put in.
///
/// What people wrote stays: names, landmarks, hazards, rules, comments. The datum point stays too, so the fit
/// must be in the plane of the document. A file of an older schema is brought to the newest. `bytes_of`
/// returns the bytes of a file beside the venue: a configuration's own survey and fit, and a league's rules.
///
/// # Errors
/// What is wrong with the document, or with the venue that would result.
pub fn replace(
    existing: &str,
    r: &Registration<'_>,
    bytes_of: BytesOf<'_>,
) -> Result<Registered, VenueError> {
    Document::under(existing, &mut rules_of(r, bytes_of)).map_err(VenueError::new)?;
    let p = parts(r);
    let mut doc: DocumentMut =
        existing.parse().map_err(|e: toml_edit::TomlError| Problem::new(e.message()))?;
    for (key, fill) in
        [("survey", survey_table as fn(&mut Table, &Registration<'_>, &Parts)), ("fit", fit_table)]
    {
        let Some(t) = doc.get_mut(key).and_then(Item::as_table_mut) else {
            return Err(Problem::new(format!("[{key}] is not a table of its own"))
                .hint(format!("write it as [{key}]"))
                .into());
        };
        fill(t, r, &p);
    }
    set(doc.as_table_mut(), "schema", SCHEMA.into());
    opened(r, p, ended(&doc.to_string()), bytes_of)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::AxisFrom;
    use crate::boundary::{Outline, Spread};
    use crate::rules::{Edge, Method};
    use crate::venue::LineOff;
    use crate::venue::{ConfigurationLine, Said, above_end_mark, open, registered_fit};

    fn beside(name: &str) -> Result<Vec<u8>, String> {
        Err(format!("{name} is not there"))
    }

    fn fit() -> FitFile {
        let outline = Outline::from_parameters(&[0.0, 0.0, 83.35, 67.5, 12.0, 0.0, 0.0, 12.0, 82.5]).unwrap();
        let mut spread = Spread::none();
        spread.add_axis([0.01, 0.0, 0.02, 0.0, 0.0, 0.0, 0.0, 0.01, 0.02]);
        FitFile {
            outline,
            spread,
            axis_from: AxisFrom::Posts,
            end_width_m: 19.2,
            points_used: 90,
            points_set_aside: 0,
            rms_m: 0.02,
            largest_m: -0.05,
            largest_bearing_deg: 190.0,
            post_miss_m: 0.01,
            departures: vec![LineOff { bearing_deg: 100.0, mean_m: -1.2 }],
            error_lasts_m: None,
            conflicts: Vec::new(),
            also_possible: Vec::new(),
            unsurveyed: Vec::new(),
        }
    }

    fn names() -> Names {
        Names { ends: ["Silo".into(), "School".into()], sides: ["Pavilion".into(), "Road".into()] }
    }

    fn rtk(bytes: &[u8]) -> SurveyBytes<'_> {
        SurveyBytes {
            bytes,
            ending: "csv",
            method: Some(Method::Rtk),
            edge: Edge::Outer,
            line_width_m: None,
            said: Said::default(),
        }
    }

    fn registered(survey: &[u8]) -> Registered {
        let (f, n, rules) = (fit(), names(), RuleSet::laws());
        register(&registration(&f, &n, &rules, &[rtk(survey)])).unwrap()
    }

    fn registration<'a>(
        f: &'a FitFile,
        n: &'a Names,
        rules: &'a RuleSet,
        survey: &'a [SurveyBytes<'a>],
    ) -> Registration<'a> {
        Registration {
            id: "test-oval",
            name: "Test \"Quoted\" Oval",
            names: n,
            plane: LocalPlane::own(),
            surveys: survey,
            keep: &[],
            trim: None,
            accepted: &[],
            shape: None,
            surveyed: Day::new(2026, 3, 14).unwrap(),
            place_sd_m: 0.05,
            point_sd_m: None,
            fit: f,
            rules,
        }
    }

    fn reopen(r: &Registered) -> crate::venue::Venue {
        let get = |name: &str| {
            r.files.iter().find(|(n, _)| n == name).map(|(_, b)| b.clone()).ok_or("no such file".to_owned())
        };
        let text = String::from_utf8(get("venue.toml").unwrap()).unwrap();
        open(&text, get).unwrap()
    }

    #[test]
    fn what_is_registered_opens_again() {
        let v = reopen(&registered(b"x,y\n"));
        assert_eq!(v.document.name, "Test \"Quoted\" Oval");
        // Equal to the digits that are kept.
        assert_eq!(v.fit.to_json(""), fit().to_json(""));
        assert_eq!(registered(b"x,y\n"), registered(b"x,y\n"));
    }

    #[test]
    fn replacing_keeps_what_people_wrote() {
        let first = registered(b"x,y\n");
        let text = String::from_utf8(first.files[2].1.clone()).unwrap();
        let edited = above_end_mark(
            &text.replace("method = \"rtk\"", "method = \"rtk\" # lent by the shire"),
            "\n[[landmark]]\nname = \"silo\" # the tall one\nx_m = 300.0\ny_m = 0.0\n",
        );
        let (f, n, rules) = (fit(), names(), RuleSet::laws());
        let second =
            replace(&edited, &registration(&f, &n, &rules, &[rtk(b"x,y\n1,2\n")]), &mut beside).unwrap();
        let after = String::from_utf8(second.files[2].1.clone()).unwrap();
        assert!(after.contains("# the tall one") && after.contains("# lent by the shire"), "{after}");
        assert_ne!(first.files[0].0, second.files[0].0);
        assert_eq!(reopen(&second).document.surroundings.landmarks.len(), 1);
    }

    #[test]
    fn several_surveys_of_one_ground_are_all_kept() {
        let (f, n, rules) = (fit(), names(), RuleSet::laws());
        let inner = SurveyBytes {
            method: None,
            ending: "txt",
            edge: Edge::Inner,
            line_width_m: Some(0.1),
            said: Said { datum: Some(crate::frame::Datum::Gda94), zone: Some(55), sigma_m: Some(0.3) },
            ..rtk(b"a to b: 3\n")
        };
        let r = register(&registration(&f, &n, &rules, &[rtk(b"x,y\n"), inner])).unwrap();
        assert_eq!(r.files.len(), 4);
        let v = reopen(&r);
        assert_eq!(v.document.surveys.len(), 2);
        let second = &v.document.surveys[1];
        assert_eq!((second.method, second.edge, second.line_width_m), (None, Edge::Inner, Some(0.1)));
        assert_eq!((second.said.datum, second.said.zone), (Some(crate::frame::Datum::Gda94), Some(55)));
        // Replacing both by one survey leaves nothing of the second behind.
        let text = String::from_utf8(r.files[3].1.clone()).unwrap();
        let alone = replace(&text, &registration(&f, &n, &rules, &[rtk(b"x,y\n")]), &mut beside).unwrap();
        assert_eq!(reopen(&alone).document.surveys.len(), 1);
        // Each is checked when the venue is opened.
        let mut broken = r.clone();
        broken.files[1].1.push(b'!');
        let e = open(&text, |name| {
            broken
                .files
                .iter()
                .find(|(n, _)| n == name)
                .map(|(_, b)| b.clone())
                .ok_or("no such file".to_owned())
        })
        .unwrap_err();
        assert!(e.to_string().contains("SHA-256"), "{e}");
    }

    /// A configuration's own survey and fit are checked when the venue is opened, and are kept when the venue
    /// gets a new survey.
    #[test]
    fn a_configurations_own_files_are_checked_and_kept() {
        let first = registered(b"x,y\n");
        let text = String::from_utf8(first.files[2].1.clone()).unwrap();
        let own = |sha: &str| {
            let d = &first.venue.document;
            above_end_mark(
                &text,
                &format!(
                    "[[configuration]]\nname = \"senior\"\ndefault = true\n[[configuration]]\nname = \"finals\"\n\
                     [configuration.survey]\nfile = \"{}\"\nsha256 = \"{}\"\nmethod = \"rtk\"\ndate = \"2026-08-01\"\n\
                     [configuration.fit]\nfile = \"{}\"\nsha256 = \"{sha}\"\n",
                    d.surveys[0].file, d.surveys[0].sha256, d.fit_file
                ),
            )
        };
        let mut old = |name: &str| {
            let found = first.files.iter().find(|(n, _)| n == name);
            found.map(|(_, b)| b.clone()).ok_or_else(|| "no such file".to_owned())
        };
        let good = own(&first.venue.document.fit_sha256);
        assert_eq!(open(&good, &mut old).unwrap().document.configurations.len(), 2);
        let e = open(&own(&"0".repeat(64)), &mut old).unwrap_err();
        assert!(e.to_string().contains("SHA-256"), "{e}");
        let (f, n, rules) = (fit(), names(), RuleSet::laws());
        let survey = [rtk(b"x,y\n1,2\n")];
        let r = registration(&f, &n, &rules, &survey);
        let second = replace(&good, &r, &mut old).unwrap();
        let ConfigurationLine::Own(kept) = &second.venue.document.configurations[1].line else { panic!() };
        assert_eq!(kept.surveys[0].file, first.venue.document.surveys[0].file);
        assert_ne!(second.venue.document.surveys[0].file, first.venue.document.surveys[0].file);
        assert!(replace(&good, &r, &mut beside).is_err());
    }

    #[test]
    fn what_leaves_no_ground_or_lies_far_off_is_refused() {
        let r = registered(b"x,y\n");
        let text = String::from_utf8(r.files[2].1.clone()).unwrap();
        let said = |more: &str| {
            let get = |name: &str| {
                let found = r.files.iter().find(|(n, _)| n == name);
                found.map(|(_, b)| b.clone()).ok_or_else(|| "no such file".to_owned())
            };
            open(&above_end_mark(&text, more), get).map_err(|e| e.to_string())
        };
        let inset = |m: f64| {
            said(&format!(
                "[[configuration]]\nname = \"senior\"\ndefault = true\n[[configuration]]\nname = \"juniors\"\ninset_m = {m}\n"
            ))
        };
        // 135 m wide, and no ground is under 20 m.
        assert!(inset(57.0).is_ok());
        assert!(
            inset(58.0)
                .unwrap_err()
                .contains("'juniors' lies 58.0 m inside the line: that leaves a ground 19 m")
        );
        assert!(said("[centre_square]\nacross_m = 20\n").is_ok());
        let e = said("[centre_square]\nacross_m = 30\nalong_m = 30\nturn_deg = 45\n").unwrap_err();
        assert!(e.contains("[centre_square]: its corner would be") && e.contains("outside the line"), "{e}");
        let e = said("[[other_mark]]\nname = \"rope\"\nkind = \"rope\"\nx_m = 900\ny_m = 0\nradius_m = 60\n");
        assert!(e.unwrap_err().contains("[[other_mark]] 'rope' lies 0.9 km from the line"));
        // So is a hazard of a configuration that is not the default.
        let e = said(
            "[[configuration]]\nname = \"senior\"\ndefault = true\n[[configuration]]\nname = \"juniors\"\n\
             [[configuration.hazard]]\nname = \"pit\"\nx_m = 900\ny_m = 0\nradius_m = 1\n",
        );
        assert!(e.unwrap_err().contains("[[hazard]] 'pit' lies 0.8 km"));
    }

    #[test]
    fn a_changed_file_is_noticed() {
        let mut r = registered(b"x,y\n");
        let text = String::from_utf8(r.files[2].1.clone()).unwrap();
        r.files[0].1.push(b'!');
        let e = open(&text, |name| {
            r.files.iter().find(|(n, _)| n == name).map(|(_, b)| b.clone()).ok_or("no such file".to_owned())
        })
        .unwrap_err();
        assert!(e.to_string().contains("SHA-256") && e.to_string().contains("survey-"), "{e}");
        let e = open(&text, |_| Err("can't be read".to_owned())).unwrap_err();
        assert_eq!(e.problems().len(), 2);
    }
    #[test]
    fn what_would_not_open_again_is_never_made() {
        let (n, rules) = (names(), RuleSet::laws());
        let said = |r: &Registration<'_>| register(r).unwrap_err().to_string();
        let with = |sigma_m: f64| SurveyBytes {
            said: Said { sigma_m: Some(sigma_m), ..Said::default() },
            ..rtk(b"x,y\n")
        };
        let good = fit();
        // A number that the venue file would not take.
        let e = said(&registration(&good, &n, &rules, &[with(1e-7)]));
        assert!(e.contains("'sigma_m' in [survey] is 0.0000001, outside 0.000001 to 1000 m"), "{e}");
        assert!(register(&registration(&good, &n, &rules, &[with(1e-6)])).is_ok());
        let e = said(&Registration { name: "", ..registration(&good, &n, &rules, &[rtk(b"x,y\n")]) });
        assert!(e.contains("'name' is empty"), "{e}");
        let e = said(&Registration { id: "nul", ..registration(&good, &n, &rules, &[rtk(b"x,y\n")]) });
        assert!(e.contains("Windows"), "{e}");
        // A degenerate fit: one step of its uncertainty leaves no oval.
        let mut loose = fit();
        loose.spread.add_axis([0.0, 0.0, 0.0, 68.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        let e = said(&registration(&loose, &n, &rules, &[rtk(b"x,y\n")]));
        assert!(e.starts_with("fit-"), "{e}");
        // The same in place of a good one.
        let text = String::from_utf8(registered(b"x,y\n").files[2].1.clone()).unwrap();
        assert!(replace(&text, &registration(&loose, &n, &rules, &[rtk(b"x,y\n")]), &mut beside).is_err());
        assert!(replace(&text, &registration(&good, &n, &rules, &[with(1e5)]), &mut beside).is_err());
    }

    #[test]
    fn a_lost_or_damaged_fit_is_no_hindrance_to_a_new_one() {
        let first = registered(b"x,y\n");
        let document = &first.venue.document;
        let lost = registered_fit(document, |_| Err("it is not there".into())).unwrap_err();
        assert_eq!(lost.place(), Some(document.fit_file.as_str()));
        assert!(registered_fit(document, |_| Ok(b"{}".to_vec())).unwrap_err().message().contains("SHA-256"));
        let kept = registered_fit(document, |name| {
            assert_eq!(name, document.fit_file, "the survey is not asked for");
            Ok(first.files[1].1.clone())
        });
        assert_eq!(kept.unwrap().to_json(""), fit().to_json(""));
        let text = String::from_utf8(first.files[2].1.clone()).unwrap();
        let (f, n, rules) = (fit(), names(), RuleSet::laws());
        let again = replace(&text, &registration(&f, &n, &rules, &[rtk(b"x,y\n")]), &mut beside).unwrap();
        assert_eq!(again, first);
    }
}
