#![doc = include_str!("README.md")]

use crate::geometry::Model;

mod axis;
mod chain;
mod choice;
mod chosen;
mod circle;
mod clock;
mod conflict;
mod curve_fit;
mod direct;
mod doubted;
mod error;
mod follow;
mod form;
mod gaps;
mod geometric;
mod goal_line;
mod goals;
mod ground_fit;
mod joint;
mod kinds;
mod linear;
mod misfit;
mod observation;
mod outliers;
mod places;
mod posts;
mod readings;
mod report;
mod runs;
mod screened;
mod screening;
mod settle;
mod shifts;
mod sources;
mod span;
mod starts;
mod steady;
mod system;
mod to_spread;
mod walk;
mod walk_error;

pub use crate::boundary::AxisFrom;
pub use chosen::{Candidate, Choice};
pub use circle::{Circle, circle};
pub use conflict::Conflict;
pub use curve_fit::curve;
pub use doubted::ground;
pub use error::{FitError, Posts};
pub use gaps::Unsurveyed;
pub use misfit::{Departure, Residual};
pub use report::{Curve, Fit, FoundRun, PostFit, Reading, SetAside, Shift, SpanFit, Why};
pub use settle::{SettleError, Settled, SettledBook, settle};
pub use sources::Common;
pub use walk_error::WalkError;

/// What is known of a survey's errors beforehand.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Noise {
    /// One standard deviation of a point that brings none of its own, m; `None`: from the residuals.
    pub point_sd_m: Option<f64>,
    /// Steady distance of what was surveyed from the line, one standard deviation, m.
    pub line_offset_sd_m: f64,
    /// Scale error of the whole survey, one standard deviation, as a ratio.
    pub scale_sd: f64,
    /// Do neighbouring points share their error, as the fixes of a walk do?
    pub runs_on: bool,
    /// Steady error of the survey's place on the Earth in each of east and north, one
    /// standard deviation, m. It matters only beside another survey.
    pub shift_sd_m: f64,
    /// How far inside the line's outer edge the surveyed line lies, m: half the line's
    /// width for its centre, all of it for its inner edge.
    pub inside_m: f64,
}

/// How to fit.
#[derive(Debug, Clone, PartialEq)]
pub struct FitOptions {
    /// Behind post to behind post across a scoring end, m.
    pub end_width_m: f64,
    /// Standard deviation of a post's place on the line and across the axis, m.
    pub post_sd_m: f64,
    /// Standard deviation of how truly a mark of a tape network is put on the line's edge, m.
    pub mark_sd_m: f64,
    /// What is known of the errors.
    pub noise: Noise,
    /// The shape to take; `None`: the simplest that the survey does not rule out.
    pub shape: Option<Model>,
    /// The same for each source of a survey that has several; sources beyond the list have `noise`.
    pub sources: Vec<Noise>,
}

impl FitOptions {
    /// Posts to 0.05 m, marks on the line to 0.02 m, errors from the residuals alone.
    #[must_use]
    pub fn with_end_width(end_width_m: f64) -> Self {
        Self {
            end_width_m,
            post_sd_m: 0.05,
            mark_sd_m: 0.02,
            noise: Noise::default(),
            shape: None,
            sources: Vec::new(),
        }
    }

    /// What is known of one source's errors.
    #[must_use]
    pub fn noise_of(&self, source: usize) -> &Noise {
        self.sources.get(source).unwrap_or(&self.noise)
    }
}
