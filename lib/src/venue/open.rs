//! Opens a venue: its document, and the files that it names, checked against their hashes.

use super::configuration::ConfigurationLine;
use super::surveys::SurveyFile;
use super::{Document, FitFile, ground_trouble, sha256_hex};
use crate::boundary::BoundaryError;
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::ground::{Ground, Surroundings, WhereSeen};
use crate::officiate::Scene;
use crate::units::print::fixed;
use crate::units::ranges::GROUND_M;
use crate::units::{Problem, TrueBearing};

/// A venue that was opened and checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Venue {
    /// The venue file, which people read and edit.
    pub document: Document,
    /// The registered fit.
    pub fit: FitFile,
    /// The ground with its uncertainty.
    pub ground: Ground,
}

/// Why a venue can't be opened: every problem, with its place.
pub type VenueError = crate::units::Refused;

/// How far to either side of its direction from the centre a recorded departure holds, degrees: departures
/// are found in sectors 15° wide.
const DEPARTURE_REACH_DEG: f64 = 11.0;

impl Venue {
    /// The nominal oval, its surroundings, and the practice there.
    #[must_use]
    pub fn scene(&self) -> Scene<'_> {
        let (around, practice) = (&self.document.surroundings, &self.document.practice);
        Scene { oval: self.ground.oval(), around, practice }
    }

    /// How far the surveyed line departs from the fitted shape in the direction from the centre to `p`, m,
    /// positive outside; 0 where it does not.
    #[must_use]
    pub fn departure_toward(&self, p: Point<GroundFrame>) -> f64 {
        let oval = self.ground.oval();
        let Ok(bearing) = oval.plan().bearing(p - Point::ORIGIN) else { return 0.0 };
        self.fit
            .departures
            .iter()
            .filter_map(|d| {
                let at = TrueBearing::from_degrees(d.bearing_deg).ok()?;
                Some((at.turn_to(bearing).abs(), d.mean_m))
            })
            .filter(|(turn, _)| *turn <= DEPARTURE_REACH_DEG)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or(0.0, |(_, off)| off)
    }
}

/// Opens a venue from the text of its `venue.toml`. `bytes_of` returns the bytes of a file beside it, or says
/// why it can't. It is asked also for a league's own rules (`<name>.rules.toml`), which lie beside the
/// venue's folder.
///
/// # Errors
/// [`VenueError`] with every problem of the document, or of the files it names.
pub fn open(
    text: &str,
    mut bytes_of: impl FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Venue, VenueError> {
    let document = Document::read(text, &mut bytes_of).map_err(VenueError::new)?;
    whole(document, bytes_of)
}

/// Opens the venue of a document that was read already.
pub(super) fn whole(
    mut document: Document,
    mut bytes_of: impl FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Venue, VenueError> {
    let mut problems = Vec::new();
    for survey in &document.surveys {
        problems.extend(checked(&mut bytes_of, &survey.file, &survey.sha256).err());
    }
    let fit = registered_fit(&document, &mut bytes_of).map_err(|p| problems.push(p)).ok();
    for configuration in &document.configurations {
        let ConfigurationLine::Own(own) = &configuration.line else { continue };
        for survey in &own.surveys {
            problems.extend(checked(&mut bytes_of, &survey.file, &survey.sha256).err());
        }
        let found = fit_of(&own.surveys, [&own.fit_file, &own.fit_sha256], &mut bytes_of);
        problems.extend(found.err());
    }
    let Some(fit) = fit.filter(|_| problems.is_empty()) else { return Err(VenueError::new(problems)) };
    let at_fit = |p: Problem| p.at(document.fit_file.clone());
    let ground = Ground::new(&fit.outline, &fit.spread, document.rules.clone())
        .map_err(|e: BoundaryError| VenueError::from(at_fit(Problem::new(e.to_string()))))?;
    let unsound = ground_trouble(&ground);
    if !unsound.is_empty() {
        return Err(VenueError::new(unsound.into_iter().map(at_fit).collect()));
    }
    // On a short ground practice differs: see `Practice::on_ground`.
    document.practice = ground.oval().rules().practice.clone();
    let mut far = too_far(&document, &ground);
    far.extend(no_room(&document, &ground));
    if far.is_empty() { Ok(Venue { document, fit, ground }) } else { Err(VenueError::new(far)) }
}

/// The fit that a venue file names, without opening its survey files.
///
/// # Errors
/// A problem where the file is not there, is not the one that was registered, or belongs to another survey.
pub fn registered_fit(
    document: &Document,
    bytes_of: impl FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<FitFile, Problem> {
    fit_of(&document.surveys, [&document.fit_file, &document.fit_sha256], bytes_of)
}

fn fit_of(
    surveys: &[SurveyFile],
    [file, sha256]: [&str; 2],
    bytes_of: impl FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<FitFile, Problem> {
    let bytes = checked(bytes_of, file, sha256)?;
    let at_fit = |p: Problem| p.at(file);
    let (fit, of_survey) = FitFile::from_json(&bytes).map_err(|why| at_fit(Problem::new(why)))?;
    if of_survey != super::surveys::identity(surveys) {
        return Err(at_fit(
            Problem::new("this fit was made from another survey than the venue file names")
                .hint("register the survey again"),
        ));
    }
    Ok(fit)
}

/// A file's bytes, if they are the registered ones.
fn checked(
    mut bytes_of: impl FnMut(&str) -> Result<Vec<u8>, String>,
    name: &str,
    want: &str,
) -> Result<Vec<u8>, Problem> {
    let bytes = bytes_of(name)
        .map_err(|why| Problem::new(why).at(name).hint("it belongs beside venue.toml; or register again"))?;
    let have = sha256_hex(&bytes);
    if have == want {
        return Ok(bytes);
    }
    Err(Problem::new(format!("its SHA-256 is {have}, and the venue file says {want}"))
        .at(name)
        .hint("survey and fit files never change: put the registered one back, or register again"))
}

/// A hazard or fence measure farther from the line than this must be mistyped, m.
const NEAR_THINGS_M: f64 = 100.0;
/// A mark that reaches farther outside the line than this is mistyped, or belongs to the ground next door, m.
const MARK_M: f64 = 150.0;
/// A landmark farther away than this can't be seen, or is mistyped, m.
const LANDMARK_M: f64 = 100_000.0;

/// Problems with room: a configuration's line so far inside the surveyed one that too little ground is left,
/// and a centre square that reaches over the line.
fn no_room(document: &Document, ground: &Ground) -> Vec<Problem> {
    let (oval, at) = (ground.oval(), document.surroundings.square_at);
    let least = oval.length_m().min(oval.boundary().width_m());
    let mut out: Vec<Problem> = document
        .configurations
        .iter()
        .filter_map(|c| match c.line {
            ConfigurationLine::Inset { in_m } | ConfigurationLine::Rope { in_m } => {
                let left = least - 2.0 * in_m;
                (left < GROUND_M.least()).then(|| {
                    Problem::new(format!(
                        "the configuration '{}' lies {} m inside the line: that leaves a ground {} m across",
                        c.name,
                        fixed(in_m, 1),
                        fixed(left, 0)
                    ))
                    .at("venue.toml")
                    .hint("metres inside the surveyed line, all round")
                })
            }
            ConfigurationLine::Surveyed | ConfigurationLine::Own(_) => None,
        })
        .collect();
    if let Some(half) = oval.square_half_m().filter(|_| at.is_moved()) {
        let outside =
            at.corners(half).map(|p| oval.boundary().outside_m(p)).into_iter().fold(f64::MIN, f64::max);
        if outside > 0.0 {
            out.push(
                Problem::new(format!(
                    "[centre_square]: its corner would be {} m outside the line",
                    fixed(outside, 1)
                ))
                .at("venue.toml")
                .hint("along_m and across_m are from the ground's centre to the square's"),
            );
        }
    }
    out
}

/// Problems with things that lie so far off that their coordinates must be wrong. Without this check a hazard
/// could be missing from the card unnoticed.
fn too_far(document: &Document, ground: &Ground) -> Vec<Problem> {
    let others = document.configurations.iter().map(|c| &c.surroundings);
    let mut out: Vec<Problem> = Vec::new();
    for p in std::iter::once(&document.surroundings).chain(others).flat_map(|around| far_of(around, ground)) {
        // What all configurations share is reported once.
        if !out.contains(&p) {
            out.push(p);
        }
    }
    out
}

fn far_of(around: &Surroundings, ground: &Ground) -> Vec<Problem> {
    let oval = ground.oval();
    let off = |at| oval.boundary().outside_m(oval.plan().to_ground(at)).abs();
    let things = around
        .hazards
        .iter()
        .map(|h| (format!("[[hazard]] '{}'", h.name), off(h.at), NEAR_THINGS_M))
        .chain(
            around
                .fence
                .tight
                .iter()
                .enumerate()
                .map(|(i, t)| (format!("[[fence.tight]] number {}", i + 1), off(t.at), NEAR_THINGS_M)),
        )
        .chain(around.other_marks.iter().map(|m| {
            let far =
                m.points(oval).into_iter().map(|p| oval.boundary().outside_m(p)).fold(f64::MIN, f64::max);
            (format!("[[other_mark]] '{}'", m.name), far, MARK_M)
        }))
        .chain(around.landmarks.iter().filter_map(|l| match l.seen {
            WhereSeen::At(at) => Some((format!("[[landmark]] '{}'", l.name), off(at), LANDMARK_M)),
            WhereSeen::Bearing(_) => None,
        }));
    things
        .filter(|(_, off, limit)| off.is_nan() || off > limit)
        .map(|(what, off, limit)| {
            Problem::new(format!(
                "{what} lies {} km from the line, and at most {} m is believed",
                fixed(off / 1000.0, 1),
                fixed(limit, 0)
            ))
            .at("venue.toml")
            .hint("a digit or a minus sign lost?")
        })
        .collect()
}
