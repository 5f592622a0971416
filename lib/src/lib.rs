//! Survey points of any Australian-football oval in; a trusted model of that
//! ground, and the model turned into what officials, leagues and trainers need.
//!
//! ```
//! use ovalpeg::boundary::{End, Side};
//! use ovalpeg::fit::{FitOptions, ground};
//! use ovalpeg::ground::{Ground, NamedSpot, SpotRef};
//! use ovalpeg::officiate::throw_in;
//! use ovalpeg::rules::{Practice, RuleSet};
//! use ovalpeg::survey::{ReadOptions, read};
//! use ovalpeg::units::print::{PlusMinus, measured};
//!
//! // Points of the line, in a plane of the survey's own: x east, y north, metres.
//! let mut csv = String::from("x,y\n");
//! for i in 0..24 {
//!     let t = f64::from(i) * 15.0_f64.to_radians() + 0.13;
//!     let wobble = if i % 2 == 0 { 0.05 } else { -0.05 };
//!     csv += &format!("{},{}\n", (83.3 + wobble) * t.cos(), (67.5 + wobble) * t.sin());
//! }
//! let survey = read(csv.as_bytes(), &ReadOptions::default())?.value;
//!
//! // Fit in the local plane, then ask the ground: every number comes with its ±.
//! let rules = RuleSet::laws();
//! let local = survey.to_local(survey.plane()?)?;
//! let fit = ground(&local, &FitOptions::with_end_width(rules.end_width_m()))?;
//! let ground = Ground::new(&fit.outline, &fit.spread, rules)?;
//! let length = ground.measure(|oval| Some(oval.length_m())).unwrap();
//! assert!(measured(&length, "m", PlusMinus::Unicode).starts_with("164.9"));
//!
//! // A throw-in from the pocket.
//! let practice = Practice::default();
//! let pocket = SpotRef::Named { side: Side::Left, end: End::A, name: NamedSpot::Pocket };
//! let spot = ground.oval().spot(pocket, practice.goal_range_m.value)?;
//! assert!(throw_in(&practice, &spot).landing.y > 15.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
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
//! # What it does not do
//! It takes bytes and returns bytes: it knows no file, clock, terminal or process.
#![forbid(unsafe_code)]

pub mod boundary;
pub mod briefing;
pub mod compare;
pub mod export;
pub mod fit;
pub mod frame;
pub mod geometry;
pub mod ground;
pub mod numeric;
pub mod officiate;
pub mod rules;
pub mod sky;
pub mod solve;
pub mod survey;
pub mod units;
pub mod venue;
