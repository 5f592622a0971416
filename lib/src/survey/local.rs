//! A survey in one local plane.

use std::collections::BTreeSet;

use super::{Cleaning, Notebook, Observation, Position, Role, Survey, SurveyError};
use crate::frame::{Degrees, Geodetic, Local, LocalPlane, Zone};
use crate::geometry::Point;
use crate::numeric::Covariance;
use crate::units::{Problem, Remedy, Setting, print};

/// One point in the local plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    /// Its position.
    pub at: Point<Local>,
    /// One standard deviation in each coordinate, m, if the file gave it.
    pub sd_m: Option<f64>,
    /// What it is.
    pub role: Role,
    /// Its name; may be empty.
    pub name: String,
    /// Where in the file, with the file's name where there are several.
    pub place: String,
    /// Its time, in seconds from 1970-01-01 UTC, if the file gave it.
    pub time_s: Option<f64>,
    /// The walked or drawn path that it belongs to; loose points have none.
    pub path: Option<usize>,
    /// Is the path a track, which a receiver recorded while walking?
    pub walked: bool,
    /// The source that it came from, counted from 0.
    pub source: usize,
    /// The source whose error of position on the Earth it shares: its own, or for a mark of a
    /// tape network the source of the points that hold the network.
    pub frame: usize,
    /// The step of track cleaning that set it aside, if any; such a point is reported and not used.
    pub cleaned: Option<Cleaning>,
}

impl Observed {
    /// A loose point of the first source.
    #[must_use]
    pub fn new(at: Point<Local>, role: Role) -> Self {
        Self {
            at,
            sd_m: None,
            role,
            name: String::new(),
            place: String::new(),
            time_s: None,
            path: None,
            walked: false,
            source: 0,
            frame: 0,
            cleaned: None,
        }
    }
}

/// A survey in the local plane, from one source or several.
#[derive(Debug, Clone, PartialEq)]
pub struct LocalSurvey {
    /// The plane.
    pub plane: LocalPlane,
    /// Every point, in the file's order, source after source.
    pub points: Vec<Observed>,
    /// Names of the sources, for messages.
    pub sources: Vec<String>,
    /// Tape notebooks, each with its source; an adjustment turns them into points.
    pub books: Vec<(usize, Notebook)>,
    /// Groups of points whose errors are correlated.
    pub shared: Vec<Shared>,
    /// Measured lengths of the whole ground.
    pub spans: Vec<GroundSpan>,
    /// Names of all tapes; spans and networks refer to them by index.
    pub tapes: Vec<String>,
    /// What the survey does not determine.
    pub untold: Untold,
}

/// What a free tape network does not determine; `true` where it is unknown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Untold {
    /// The direction of north: +y may point anywhere.
    pub north: bool,
    /// Whether it is the network or its mirror image, with left and right exchanged.
    pub hand: bool,
}

/// Points whose errors are correlated, such as the marks of one tape network.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// Indices of the points.
    pub points: Vec<usize>,
    /// Covariance of their x and y, m², in the order x of the first, y of the first, x of the
    /// second, …; with the scales of [`Shared::tapes`] held at their values.
    pub covariance: Covariance,
    /// Tapes that measured a length of the whole ground too, so that the scale error is common.
    pub tapes: Vec<SharedTape>,
}

/// A tape whose scale error the points of a network share with other measures.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedTape {
    /// Its index among all tapes of the survey.
    pub tape: usize,
    /// The ratio by which it is too long, as the network estimates it.
    pub too_long: f64,
    /// One standard deviation of that ratio.
    pub sd: f64,
    /// How much x and y of each point change with the ratio, m.
    pub moves: Vec<f64>,
}

/// A measured length of the whole ground.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundSpan {
    /// Whether it is from wing to wing; otherwise it is from goal to goal.
    pub wing_to_wing: bool,
    /// The length, corrected for slope, temperature and the tape's standard length, m.
    pub value_m: f64,
    /// One standard deviation of the reading, m.
    pub sd_m: f64,
    /// Index of the tape among all tapes of the survey, and the standard deviation of its scale.
    pub tape: Option<(usize, f64)>,
    /// Its place, with the file's name.
    pub place: String,
}

impl LocalSurvey {
    /// A survey of points in a plane.
    #[must_use]
    pub fn new(plane: LocalPlane, points: Vec<Observed>) -> Self {
        Self {
            plane,
            points,
            sources: Vec::new(),
            books: Vec::new(),
            shared: Vec::new(),
            spans: Vec::new(),
            tapes: Vec::new(),
            untold: Untold::default(),
        }
    }

    /// Joins several surveys in one plane, each as a source with its name. They must be as
    /// read, before their notebooks are adjusted.
    ///
    /// The file's name is put before every place.
    #[must_use]
    pub fn together(plane: LocalPlane, surveys: Vec<(String, Self)>) -> Self {
        let mut all = Self::new(plane, Vec::new());
        for (source, (name, survey)) in surveys.into_iter().enumerate() {
            let place = |p: &str| format!("{name}, {p}");
            all.points.extend(survey.points.into_iter().map(|mut o| {
                (o.source, o.frame) = (source, source);
                o.place = place(&o.place);
                o
            }));
            for (_, mut book) in survey.books {
                let places = book
                    .marks
                    .iter_mut()
                    .map(|m| &mut m.place)
                    .chain(book.tapes.iter_mut().map(|t| &mut t.place))
                    .chain(book.measures.iter_mut().map(|m| &mut m.place));
                places.for_each(|p| *p = place(p));
                all.books.push((source, book));
            }
            all.sources.push(name);
        }
        all
    }
}

/// The median; of an even count, the upper of the two middle values. Sorts the slice.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    (!values.is_empty()).then(|| values[values.len() / 2])
}

/// The error that asks for the zone, with the towns of each: eastings and northings fit any zone.
pub(super) fn which_zone() -> SurveyError {
    let numbers = Zone::AUSTRALIA.map(|z| z.number().to_string());
    let asked = Problem::new("eastings and northings, and nothing says their zone")
        .hint("add a zone column")
        .settle(Remedy::say(Setting::Zone).one_of(numbers));
    let list = Zone::AUSTRALIA.map(|z| Problem::new(z.described()));
    SurveyError::new(std::iter::once(asked).chain(list).collect())
}

/// Warns about the points that were read and are not used.
pub(super) fn report_unused(observations: &[Observation], warnings: &mut Vec<Problem>) {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut names: Vec<&str> = Vec::new();
    let mut total = 0usize;
    for o in observations.iter().filter(|o| o.role == Role::Unused) {
        let name = if o.name.is_empty() { o.place.as_str() } else { o.name.as_str() };
        total += 1;
        if seen.insert(name) {
            names.push(name);
        }
    }
    if names.is_empty() {
        return;
    }
    let list: Vec<String> = names.iter().take(8).map(|n| print::quoted(n)).collect();
    let more = if names.len() > 8 { format!(" and {} more", names.len() - 8) } else { String::new() };
    warnings.push(
        Problem::new(format!(
            "{} read and not used (neither line nor post): {}{more}",
            print::count(total, "point"),
            list.join(", ")
        ))
        .settle(Remedy::otherwise(Setting::Boundary))
        .settle(Remedy::otherwise(Setting::GoalPosts))
        .settle(Remedy::otherwise(Setting::BehindPosts)),
    );
}

/// The plane at the middle of all these surveys, at ground height;
/// or their own plane if they have no positions on the Earth.
///
/// # Errors
/// [`SurveyError`] when plane and earth coordinates are mixed.
pub fn plane_of(surveys: &[&Survey]) -> Result<LocalPlane, SurveyError> {
    let mut lats = Vec::new();
    let mut lons = Vec::new();
    let mut planes = None;
    for o in surveys.iter().flat_map(|s| &s.observations) {
        match o.position {
            Position::Plane(_) => planes = planes.or(Some(o)),
            Position::Geodetic(_) | Position::Grid(_) => {
                let g = as_gda2020(o)?;
                lats.push(g.latitude_deg());
                lons.push(g.longitude_deg());
            }
        }
    }
    if lats.is_empty() {
        return Ok(LocalPlane::own());
    }
    if let Some(o) = planes {
        return Err(Problem::new("plane and earth coordinates are mixed: nothing ties x and y to the Earth")
            .at(o.place.clone())
            .hint("give both in one kind, or the plane survey as a notebook of distances between its marks")
            .into());
    }
    // Medians, so that one stray fix does not shift the plane; rounded, so that the
    // datum point is short to print.
    let mid = |v: &mut Vec<f64>| print::round_to(median(v).unwrap_or(0.0), 6);
    let (lat, lon) = (mid(&mut lats), mid(&mut lons));
    let height = surveys.iter().find_map(|s| s.height_m).unwrap_or(0.0);
    Geodetic::new(
        Degrees { latitude: lat, longitude: lon },
        print::round_to(height, 1),
        crate::frame::Datum::Gda2020,
    )
    .and_then(LocalPlane::at)
    .map_err(|e| Problem::new(e.to_string()).into())
}

impl Survey {
    /// The plane at the middle of the survey, at ground height,
    /// or the survey's own plane; see [`plane_of`].
    ///
    /// # Errors
    /// [`SurveyError`] when plane and earth coordinates are mixed.
    pub fn plane(&self) -> Result<LocalPlane, SurveyError> {
        plane_of(&[self])
    }

    /// The survey with every point in `plane`.
    ///
    /// # Errors
    /// [`SurveyError`] when a point can't be placed there: earth coordinates in a
    /// survey's own plane, or plane coordinates in a plane on the Earth.
    pub fn to_local(&self, plane: LocalPlane) -> Result<LocalSurvey, SurveyError> {
        let points = self
            .observations
            .iter()
            .map(|o| {
                let at = match o.position {
                    Position::Plane(p) if plane.datum_point().is_none() => Some(p),
                    Position::Plane(_) => None,
                    _ => plane.to_local(&as_gda2020(o)?),
                };
                let at = at.ok_or_else(|| {
                    SurveyError::from(
                        Problem::new("this point has no place in the venue's plane").at(o.place.clone()),
                    )
                })?;
                Ok(Observed {
                    sd_m: o.sd_m,
                    name: o.name.clone(),
                    place: o.place.clone(),
                    time_s: o.time_s,
                    path: o.path,
                    walked: o.walked,
                    ..Observed::new(at, o.role)
                })
            })
            .collect::<Result<Vec<_>, SurveyError>>()?;
        let mut local = LocalSurvey::new(plane, points);
        local.books.extend(self.book.iter().map(|b| (0, b.clone())));
        Ok(local)
    }
}

fn as_gda2020(o: &Observation) -> Result<Geodetic, SurveyError> {
    let given = match o.position {
        Position::Geodetic(g) => Ok(g),
        Position::Grid(g) => g.geodetic(),
        Position::Plane(_) => {
            return Err(Problem::new("a plane point has no latitude").at(o.place.clone()).into());
        }
    };
    given.and_then(Geodetic::to_gda2020).map_err(|e| Problem::new(e.to_string()).at(o.place.clone()).into())
}

#[cfg(test)]
mod tests {
    use crate::survey::{ReadOptions, read};

    #[test]
    fn a_stray_fix_does_not_carry_the_plane_away() {
        let mut text = String::from("lat,lon\n0,0\n");
        for i in 0..10 {
            text += &format!("-36.5,{}\n", 145.0 + f64::from(i) * 1e-5);
        }
        let s = read(text.as_bytes(), &ReadOptions::default()).unwrap().value;
        let plane = s.plane().unwrap();
        assert_eq!(plane.datum_point().unwrap().latitude_deg(), -36.5);
    }

    #[test]
    fn grid_metres_become_ground_metres() {
        // Two points 100 m apart on the grid at a scale factor near 0.9996, 400 m up.
        let text = "easting,northing,zone,height\n500000,5950000,55,400\n500100,5950000,55,400\n";
        let s = read(text.as_bytes(), &ReadOptions::default()).unwrap().value;
        let local = s.to_local(s.plane().unwrap()).unwrap();
        let d = local.points[0].at.distance_to(local.points[1].at);
        // 100 / 0.9996 on the ellipsoid, times (1 + 400/6.37e6).
        assert!((d - 100.0 / 0.9996 * (1.0 + 400.0 / 6.37e6)).abs() < 2e-4, "{d}");
    }
}
