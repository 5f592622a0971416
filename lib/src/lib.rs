//! Survey points of any Australian-football oval in; a trusted model of that
//! ground, and the model turned into what officials, leagues and trainers need.
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
//! What a survey leaves to be guessed at is in [`solve::Solved::doubts`]: look at it before the numbers are trusted.
//!
//! # Words
//! A *survey* is what was measured; a *boundary* two boundary lines closed by the
//! two scoring ends; an *oval* one whole ground with exact numbers; a *ground* an
//! oval with its uncertainty; a *spot* a place on a boundary line; a *venue* a
//! registered ground; a *briefing* everything that a card says of one.
//!
//! # Frames and units
//! Metres and degrees at every public door. Points are typed by their plane:
//! [`frame::Local`] (east, true north, at ground height) and [`frame::Ground`] (x to
//! end A, y to the left of a person at the centre who faces end A). Bearings are
//! clockwise and know their north. Chainage runs from end A's left behind post,
//! anticlockwise seen from above.
//!
//! # Features
//! All are on by default. With none the library opens registered venues, briefs and answers every question about
//! them, in the time zones of Australia and its neighbours as they are since 2020: what a phone page needs.
//! - `survey`: surveys in, grounds out: `survey`, `fit`, `solve`, `compare`, registering a venue, and the texts of
//!   all that;
//! - `archive`: KMZ among the surveys;
//! - `world-zones`: every time zone of the world, and days before 2020.
//!
//! # What it does not do
//! It takes bytes and returns bytes: it knows no file, clock, terminal or process.
#![forbid(unsafe_code)]

#[cfg(all(test, not(all(feature = "archive", feature = "world-zones"))))]
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
pub mod rules;
pub mod sky;
#[cfg(feature = "survey")]
pub mod solve;
#[cfg(feature = "survey")]
pub mod survey;
pub mod units;
pub mod venue;

pub use numeric::Covariance;
