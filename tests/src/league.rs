//! The demo league: six invented grounds and their surveys as received.
//!
//! Grounds, names and places are invented. Each one tests something different: a plain RTK survey, a phone
//! walk over the goals, a short ground traced from an image, a straight side along a road, a grid survey at a
//! great height, and a ground that is nearly round.

use ovalpeg::boundary::Side;
use ovalpeg::frame::{Datum, Local, Zone};
use ovalpeg::geometry::Point;
use ovalpeg::rules::{Method, RuleSet};
use ovalpeg::solve::{SolveOptions, Solved, Source, solve};
use ovalpeg::survey::ReadOptions;

use crate::Failure;
use crate::random::Random;
use crate::truth::{Post, Shape, Site, Truth};
use crate::walk::{Fading, Lap, enlarged, phone, posts, rtk, trace};
use crate::write::{Columns, Drawn, Row, Titles, csv_grid, csv_latlon, kml, post_code, post_name};

/// The seed of the whole league.
pub const SEED: u64 = 0x0a11_0e9e;

/// Steady pace of the demo's walks, m/s.
const PACE_M_S: f64 = 1.4;

/// How a demo ground was surveyed, with the simulated errors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// Receiver on a pole, latitude and longitude in a CSV.
    LatLon {
        /// Points of the line.
        points: usize,
        /// Standard deviation in each coordinate, m, of line and posts.
        sd_m: f64,
        /// Does the file carry a column of standard deviations?
        sigma: bool,
    },
    /// Receiver on a pole, MGA coordinates in a CSV with heights and standard deviations.
    Grid {
        /// Points of the line.
        points: usize,
        /// Standard deviation in each coordinate, m, of line and posts.
        sd_m: f64,
    },
    /// A phone carried round the lines and across the goals: a KML line, no posts.
    Phone {
        /// Metres between fixes.
        step_m: f64,
        /// The phone's error.
        error: Fading,
    },
    /// Clicked on an image: a KML polygon, and named points for the posts.
    Trace {
        /// Vertices of the polygon.
        vertices: usize,
        /// Standard deviation in each coordinate, m, of vertices.
        sd_m: f64,
        /// Standard deviation in each coordinate, m, of posts, which are found by their shadows.
        posts_sd_m: f64,
        /// By how much the image is too large, as a ratio.
        scale: f64,
    },
}

/// A ground of the demo league.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demo {
    /// Its folder's name.
    pub id: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Roughly where it is imagined.
    pub district: &'static str,
    /// Its true shape.
    pub shape: Shape,
    /// Its true place.
    pub site: Site,
    /// How it was surveyed.
    pub way: Way,
}

/// A file of a demo ground.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// Path below the folder of venues, with `/`.
    pub path: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

const fn site(latitude_deg: f64, longitude_deg: f64, height_m: f64, axis_deg: f64) -> Site {
    Site { latitude_deg, longitude_deg, height_m, axis_deg }
}

/// The six grounds.
pub const LEAGUE: [Demo; 6] = [
    Demo {
        id: "cockatoo-hollow",
        name: "Cockatoo Hollow Oval",
        district: "northern Victoria, MGA zone 55",
        shape: Shape::Ellipse { length_m: 165.0, width_m: 135.0 },
        site: site(-36.743_1, 144.946_8, 142.0, 12.0),
        way: Way::LatLon { points: 90, sd_m: 0.02, sigma: false },
    },
    Demo {
        id: "saltbush-siding",
        name: "Saltbush Siding Recreation Ground",
        district: "the South Australian mallee, MGA zone 54",
        shape: Shape::Ellipse { length_m: 166.0, width_m: 116.0 },
        site: site(-34.702_6, 140.548_3, 62.0, 348.0),
        way: Way::Phone {
            step_m: 1.4,
            error: Fading { sd_m: 1.2, tau_s: 20.0, white_sd_m: 0.3, pace_m_s: PACE_M_S },
        },
    },
    Demo {
        id: "pelican-gutter",
        name: "Pelican Gutter Oval",
        district: "north-east Tasmania, MGA zone 55",
        shape: Shape::Ellipse { length_m: 137.0, width_m: 112.0 },
        site: site(-40.937_4, 147.652_9, 9.0, 27.0),
        way: Way::Trace { vertices: 48, sd_m: 0.4, posts_sd_m: 0.25, scale: 0.003 },
    },
    Demo {
        id: "quandong-crossing",
        name: "Quandong Crossing Oval",
        district: "the Western Australian wheatbelt, MGA zone 50",
        shape: Shape::Cut { length_m: 160.0, half_width_m: 66.0, cut_m: 4.0, side: Side::Right },
        site: site(-32.147_3, 118.128_6, 285.0, 355.0),
        way: Way::LatLon { points: 96, sd_m: 0.02, sigma: false },
    },
    Demo {
        id: "stringybark-gap",
        name: "Stringybark Gap Reserve",
        district: "the New South Wales tablelands, MGA zone 55",
        shape: Shape::Ellipse { length_m: 172.0, width_m: 141.0 },
        site: site(-34.866_1, 149.521_7, 640.0, 41.0),
        way: Way::Grid { points: 84, sd_m: 0.025 },
    },
    Demo {
        id: "lantern-hill",
        name: "Lantern Hill Oval",
        district: "southern Queensland, MGA zone 56",
        shape: Shape::Ellipse { length_m: 146.0, width_m: 143.0 },
        site: site(-28.812_4, 151.874_5, 873.0, 62.0),
        way: Way::LatLon { points: 72, sd_m: 0.03, sigma: true },
    },
];

impl Demo {
    /// The ground of this id.
    #[must_use]
    pub fn find(id: &str) -> Option<&'static Self> {
        LEAGUE.iter().find(|d| d.id == id)
    }

    /// The true ground.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn truth(&self) -> Result<Truth, Failure> {
        Ok(Truth::new(self.shape, self.site)?)
    }

    fn stream(&self, what: &str) -> Random {
        Random::named(SEED, &format!("{}/{what}", self.id))
    }

    /// Name of the survey file.
    #[must_use]
    pub fn survey_name(&self) -> &'static str {
        match self.way {
            Way::LatLon { .. } => "boundary.csv",
            Way::Grid { .. } => "boundary-mga.csv",
            Way::Phone { .. } => "walk.kml",
            Way::Trace { .. } => "trace.kml",
        }
    }

    /// The options that a person must give because the survey file does not say them.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn read_options(&self) -> Result<ReadOptions, Failure> {
        let mut options = ReadOptions::default();
        options.height_m = Some(self.site.height_m);
        if let Way::Grid { .. } = self.way {
            options.datum = Some(Datum::Gda2020);
            options.zone = Some(Zone::of(&self.truth()?.to_geodetic(Point::ORIGIN)?)?);
        }
        Ok(options)
    }

    /// The method with which its venue was registered.
    #[must_use]
    pub fn method(&self) -> Method {
        match self.way {
            Way::LatLon { .. } | Way::Grid { .. } => Method::Rtk,
            Way::Phone { .. } => Method::Phone,
            Way::Trace { .. } => Method::Trace,
        }
    }

    /// The survey as received, solved.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn solved(&self) -> Result<Solved, Failure> {
        let said = self.read_options()?;
        let file = Source::new(self.survey_name(), self.survey()?)
            .method(self.method())
            .datum(said.datum)
            .zone(said.zone);
        let mut options = SolveOptions::new(RuleSet::laws());
        options.height_m = said.height_m;
        Ok(solve(vec![file], &options)?)
    }

    /// The survey's file as received.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn survey(&self) -> Result<Vec<u8>, Failure> {
        let truth = self.truth()?;
        let mut heights = self.stream("heights");
        let mut rows = |points: Vec<Point<Local>>, code: &str, height_sd_m: f64| -> Vec<Row> {
            points
                .into_iter()
                .map(|at| Row {
                    at,
                    height_m: self.site.height_m + height_sd_m * heights.normal(),
                    code: code.to_owned(),
                })
                .collect()
        };
        let (mut line, mut at_posts) = (self.stream("line"), self.stream("posts"));
        match self.way {
            Way::LatLon { points, sd_m, .. } | Way::Grid { points, sd_m } => {
                let lap = Lap { start_m: 31.0, uneven: 0.4, ..Lap::of_the_lines(points) };
                // A receiver's height is about half again as uncertain as its place.
                let mut all = rows(rtk(&truth, &lap, sd_m, &mut line), "BL", 1.5 * sd_m);
                for (post, at) in posts(&truth, sd_m, &mut at_posts) {
                    all.extend(rows(vec![at], post_code(&post), 1.5 * sd_m));
                }
                let columns = Columns { height: true, sigma_m: None, code: true, remarks: &[] };
                match self.way {
                    Way::Grid { .. } => {
                        let remarks = &["MGA2020, heights above the ellipsoid, metres; zone: see the note"];
                        csv_grid(&truth, &all, &Columns { sigma_m: Some(sd_m), remarks, ..columns })
                    }
                    Way::LatLon { sigma: true, .. } => {
                        csv_latlon(&truth, &all, &Columns { sigma_m: Some(sd_m), ..columns }, 9)
                    }
                    _ => csv_latlon(&truth, &all, &columns, 9),
                }
            }
            Way::Phone { step_m, error } => {
                let fixes = (truth.perimeter_m() / step_m).round() as usize;
                let lap = Lap { start_m: 44.0, uneven: 0.2, ..Lap::over_the_goals(fixes) };
                let walked = rows(phone(&truth, &lap, &error, &mut line), "", 3.0);
                let titles = Titles { folder: self.name, line: "Boundary walk" };
                kml(&truth, titles, Drawn::LineString, &walked, &[], 7)
            }
            Way::Trace { vertices, sd_m, posts_sd_m, scale } => {
                let lap = Lap { start_m: 2.0, uneven: 0.5, ..Lap::of_the_lines(vertices) };
                let traced = rows(trace(&truth, &lap, sd_m, scale, &mut line), "", 0.0);
                let found = posts(&truth, posts_sd_m, &mut at_posts);
                let named: Vec<Row> = numbered(&found)
                    .flat_map(|(post, at, number)| {
                        rows(vec![enlarged(&truth, at, scale)], &post_name(&post, number), 0.0)
                    })
                    .collect();
                let titles = Titles { folder: self.name, line: "Boundary line" };
                kml(&truth, titles, Drawn::Polygon, &traced, &named, 8)
            }
        }
    }

    /// The files of this ground's `received` folder.
    ///
    /// # Errors
    /// Never for the grounds of the league.
    pub fn received(&self) -> Result<Vec<File>, Failure> {
        let path = |name: &str| format!("{}/received/{name}", self.id);
        Ok(vec![
            File { path: path(self.survey_name()), bytes: self.survey()? },
            File { path: path("NOTE.md"), bytes: self.note()?.into_bytes() },
        ])
    }
}

/// The posts, each numbered among its kind at its end.
fn numbered(found: &[(Post, Point<Local>)]) -> impl Iterator<Item = (Post, Point<Local>, usize)> {
    found.iter().enumerate().map(|(i, &(post, at))| {
        let alike =
            |p: &&(Post, Point<Local>)| p.0.kind == post.kind && p.0.end_bearing_deg == post.end_bearing_deg;
        (post, at, found[..=i].iter().filter(alike).count())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::coverage::{length_m, width_m};
    use ovalpeg::fit::{AxisFrom, Fit, Why};
    use ovalpeg::survey::{Role, read};

    fn fit(demo: &Demo) -> Fit {
        demo.solved().unwrap_or_else(|e| panic!("{}: {e}", demo.id)).fit().clone()
    }

    /// Error and standard deviation of length and of width, m.
    fn misses(demo: &Demo, fit: &Fit) -> [(f64, f64); 2] {
        let sd = |f: fn(&ovalpeg::boundary::Outline) -> f64| fit.spread.sd_of(&fit.outline, f).unwrap();
        [
            (length_m(&fit.outline) - demo.shape.length_m(), sd(length_m)),
            (width_m(&fit.outline) - demo.shape.width_m(), sd(width_m)),
        ]
    }

    #[test]
    fn surveys_come_back_to_the_planted_ground() {
        for demo in LEAGUE.iter().filter(|d| !matches!(d.shape, Shape::Cut { .. })) {
            let f = fit(demo);
            for (error, sd) in misses(demo, &f) {
                assert!(error.abs() < 3.0 * sd, "{}: {error} m, sd {sd} m", demo.id);
                // The standard deviation must be plausible for the survey, or the line above proves nothing.
                let most = match demo.way {
                    // Both sides or ends may be off the line together by 0.02 m: 0.04 m, plus the points'
                    // scatter.
                    Way::LatLon { .. } | Way::Grid { .. } => 0.05,
                    Way::Trace { .. } => 1.0,
                    Way::Phone { .. } => 3.0,
                };
                assert!(sd < most, "{}: sd {sd} m", demo.id);
            }
            let turn = (f.outline.plan().axis().degrees() - demo.site.axis_deg).rem_euclid(180.0);
            let sd = f.spread.axis_sd_deg(&f.outline).unwrap();
            assert!(turn.min(180.0 - turn) < 3.0 * sd, "{}: {turn}°, sd {sd}°", demo.id);
        }
    }

    #[test]
    fn the_road_side_is_seen_to_be_straight() {
        let demo = Demo::find("quandong-crossing").unwrap();
        let f = fit(demo);
        let [(length, _), (width, sd)] = misses(demo, &f);
        // The posts fix the length, each to 0.05 m.
        assert!(length.abs() < 0.1, "{length}");
        assert!(width.abs() < 4.0 * sd, "{width} {sd}");
        assert_eq!(f.choice.model, ovalpeg::geometry::Model::CutEllipse);
        assert!(f.departures.is_empty());
    }

    #[test]
    fn each_file_holds_what_its_note_says() {
        for demo in &LEAGUE {
            let survey = read(&demo.survey().unwrap(), &demo.read_options().unwrap()).unwrap().value;
            let n = |role| survey.observations.iter().filter(|o| o.role == role).count();
            let (line, goal, behind) = (n(Role::Line), n(Role::GoalPost), n(Role::BehindPost));
            let want = match demo.way {
                Way::LatLon { points, .. } | Way::Grid { points, .. } => (points, 4, 4),
                Way::Trace { vertices, .. } => (vertices, 4, 4),
                Way::Phone { .. } => (line, 0, 0),
            };
            assert_eq!((line, goal, behind), want, "{}", demo.id);
            assert_eq!(n(Role::Unused), 0, "{}", demo.id);
            assert!(demo.note().unwrap().contains("Invented"));
        }
        let walk = fit(Demo::find("saltbush-siding").unwrap());
        assert!((315..=335).contains(&(walk.curve.residuals.len() + walk.curve.set_aside.len())));
        assert_eq!(walk.axis_from, AxisFrom::LongAxis);
        // At one end at least the straight goal line was recognised.
        assert!(walk.curve.set_aside.iter().any(|a| a.why == Why::OnGoalLine));
    }

    #[test]
    fn the_same_seed_makes_the_same_bytes() {
        for demo in &LEAGUE {
            assert_eq!(demo.received().unwrap(), demo.received().unwrap());
        }
    }
}
