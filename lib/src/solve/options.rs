//! What is asked of a survey beside its files.

use super::Doubt;
use crate::frame::LocalPlane;
use crate::geometry::Model;
use crate::rules::RuleSet;
use crate::survey::{Cleaning, Patterns, Trim};
use crate::units::TrueBearing;

/// How a ground lies in the plane.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
pub enum Facing {
    /// End A is the end nearer true north, of equals the eastern.
    #[default]
    ByDefinition,
    /// End A is the end that was registered, whose bearing from the centre is nearer to this.
    Registered(TrueBearing),
}

/// What is asked of a survey beside its files.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct SolveOptions {
    /// The rules that the ground is for.
    pub rules: RuleSet,
    /// Height of the ground above the ellipsoid, m; `None`: the files', else 0.
    pub height_m: Option<f64>,
    /// Which features are the boundary, which are posts.
    pub patterns: Patterns,
    /// Steps of track cleaning that are left out.
    pub keep: Vec<Cleaning>,
    /// How much is cut off both ends of each walk before it is cleaned.
    pub trim: Option<Trim>,
    /// The shape of the line; `None`: the simplest that the survey does not rule out.
    pub shape: Option<Model>,
    /// The plane to work in; `None`: the survey's own.
    pub plane: Option<LocalPlane>,
    /// Which end is end A.
    pub facing: Facing,
    /// Doubts that a person has looked at and accepts.
    pub accept: Vec<Doubt>,
}

impl SolveOptions {
    /// A survey in its own plane under a rule set, everything else by default.
    #[must_use]
    pub fn new(rules: RuleSet) -> Self {
        Self {
            rules,
            height_m: None,
            patterns: Patterns::default(),
            keep: Vec::new(),
            trim: None,
            shape: None,
            plane: None,
            facing: Facing::ByDefinition,
            accept: Vec::new(),
        }
    }
}
