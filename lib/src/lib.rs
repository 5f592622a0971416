//! Turns survey points of any Australian-football oval into a trusted model of that
//! ground, and the model into what officials, leagues and trainers need.
//!
//! ```
//! use ovalpeg::boundary::{End, Side};
//! use ovalpeg::briefing::Summary;
//! use ovalpeg::ground::{NamedSpot, SpotRef};
//! use ovalpeg::officiate::throw_in_deg;
//! use ovalpeg::rules::{Method, RuleSet};
//! use ovalpeg::solve::{SolveOptions, Source, solve};
//!
//! # let bytes = include_bytes!("../../venues/cockatoo-hollow/survey-1417be253061.csv");
//! // let bytes = std::fs::read("survey.csv")?;
//! let survey = Source::new("survey.csv", bytes).method(Method::Rtk);
//! let solved = solve(vec![survey], &SolveOptions::new(RuleSet::laws()))?;
//! solved.unsettled().for_each(|guess| println!("look at this first: {}", guess.problem));
//! let length = Summary::of(solved.ground()).sizes.length.expect("a ground has a length");
//! println!("{:.2} m ± {:.2} long", length.value(), length.half_width());
//! let pocket = SpotRef::Named { side: Side::Left, end: End::A, name: NamedSpot::Pocket };
//! let aim = throw_in_deg(solved.ground(), pocket)?;
//! println!("from the pocket throw on {:.1}° ± {:.1}", aim.value(), aim.half_width());
//! # assert!((length.value() - 165.01).abs() < 0.005 && (aim.value() - 170.7).abs() < 0.05, "{aim:?}");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! What the library had to guess about a survey is in [`solve::Solved::doubts`]:
//! read it before trusting the numbers.
//!
//! # Words
//! A *survey* is what was measured. A *boundary* is two boundary lines, closed by the
//! two scoring ends. An *oval* is one whole ground with exact numbers, and a *ground* is
//! an oval with its uncertainty. A *spot* is a place on a boundary line. A *venue* is a
//! registered ground, and a *briefing* is everything that a card says about it.
//!
//! # Frames and units
//! Metres and degrees at every public door. Points are typed by their plane:
//! [`frame::Local`] (east, true north, at ground height) and [`frame::Ground`] (x to
//! end A, y to the left of a person at the centre who faces end A). Bearings are
//! clockwise and know their north. Chainage runs from end A's left behind post,
//! anticlockwise seen from above.
//!
//! # Features
//! All but the last two are on by default. Without them the library opens registered venues, writes their briefings and
//! answers every question about them, in the time zones of Australia and its neighbours
//! since 2020. A phone page needs no more.
//! - `survey`: from surveys to grounds: the modules `survey`, `network`, `fit`, `solve` and `compare`,
//!   registering a venue, and the text outputs of these;
//! - `archive`: reads KMZ surveys;
//! - `page`: plans and cards laid out on paper, with the fonts that they are set in;
//! - `world-zones`: every time zone of the world, and days before 2020;
//! - `pdf` and `png`: pages written as such.
//!
//! # What it does not do
//! It takes bytes and returns bytes: it knows no file, clock, terminal or process.
#![forbid(unsafe_code)]

#[cfg(all(
    test,
    not(all(
        feature = "archive",
        feature = "page",
        feature = "pdf",
        feature = "png",
        feature = "world-zones"
    ))
))]
compile_error!("the tests take the whole library: leave its features on");

pub mod boundary;
pub mod briefing;
#[cfg(feature = "survey")]
pub mod compare;
pub mod export;
#[cfg(feature = "survey")]
pub mod fit;
pub mod frame;
pub mod geometry;
pub mod ground;
#[cfg(feature = "survey")]
pub mod network;
mod numeric;
pub mod officiate;
#[cfg(feature = "page")]
pub mod page;
pub mod rules;
pub mod sky;
#[cfg(feature = "survey")]
pub mod solve;
#[cfg(feature = "survey")]
pub mod survey;
pub mod units;
pub mod venue;

pub use numeric::Covariance;
