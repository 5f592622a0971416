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
mod curve_sizes;
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
pub use curve_sizes::Toward;
pub use doubted::ground;
pub use error::{FitError, Posts};
pub use gaps::Unsurveyed;
pub use misfit::{Departure, Residual};
pub use report::{Curve, Fit, FoundRun, PostFit, Reading, SetAside, Shift, SpanFit, Why};
pub use settle::{SettleError, Settled, SettledBook, settle};
pub use sources::Common;
pub use walk_error::WalkError;

/// The errors to expect of a survey, as its instrument and method suggest.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Noise {
    /// Standard deviation of a point that states none of its own, m. `None`: it is found from the residuals.
    pub point_sd_m: Option<f64>,
    /// Constant distance of the surveyed line from the true one, one standard deviation, m.
    pub line_offset_sd_m: f64,
    /// Scale error of the whole survey, one standard deviation, as a ratio.
    pub scale_sd: f64,
    /// Are the errors autocorrelated, as those of a walk's fixes are?
    pub runs_on: bool,
    /// Constant error of the survey's place on the Earth, in each of east and north, one standard deviation,
    /// m. It matters only together with another survey.
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
    /// Standard deviation of a tape network's mark about the line's edge, m.
    pub mark_sd_m: f64,
    /// The errors to expect.
    pub noise: Noise,
    /// The shape to fit. `None`: the simplest that the survey does not rule out.
    pub shape: Option<Model>,
    /// The errors to expect of each source of a survey that has several. Sources beyond the list have
    /// `noise`.
    pub sources: Vec<Noise>,
}

impl FitOptions {
    /// The defaults: posts to 0.05 m, marks on the line to 0.02 m, and errors from the residuals alone.
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

    /// The errors to expect of one source.
    #[must_use]
    pub fn noise_of(&self, source: usize) -> &Noise {
        self.sources.get(source).unwrap_or(&self.noise)
    }
}
