//! How a survey was made, and what that says about its errors: the scatter that
//! residuals show, and the errors that they can't show.

use super::{Sourced, Standing};

/// A named way of surveying a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    /// Real-time kinematic or total station.
    Rtk,
    /// A phone or a watch, walked.
    Phone,
    /// Traced off an aerial or satellite image.
    Trace,
    /// Tapes.
    Tape,
}

impl Method {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Rtk, Self::Phone, Self::Trace, Self::Tape];

    /// The name used on the command line and in venue files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Rtk => "rtk",
            Self::Phone => "phone",
            Self::Trace => "trace",
            Self::Tape => "tape",
        }
    }

    /// As printed.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Rtk => "RTK receiver or total station",
            Self::Phone => "phone or watch, walked",
            Self::Trace => "traced off an image",
            Self::Tape => "tapes",
        }
    }

    /// The method of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.id() == id)
    }

    /// One standard deviation of one point, m.
    #[must_use]
    pub fn point_sd_m(self) -> Sourced {
        match self {
            Self::Rtk => Sourced::new(
                0.02,
                "0.02 to 0.05 m: Dabove et al., ISPRS Int. J. Geo-Inf. 2020",
                Standing::Sure,
            ),
            Self::Phone => Sourced::new(
                1.5,
                "several metres one at a time: Remote Sensing 2021, 13, 1149; 1.5 m along a steady walk is common practice",
                Standing::CommonPractice,
            ),
            Self::Trace => Sourced::practice(0.6),
            Self::Tape => Sourced::practice(0.05),
        }
    }

    /// Steady distance of what was surveyed from the line's outer edge, one
    /// standard deviation, m: the walker's feet, the antenna, the edge clicked on.
    #[must_use]
    pub fn line_offset_sd_m(self) -> Sourced {
        match self {
            Self::Rtk => Sourced::practice(0.02),
            Self::Phone => Sourced::practice(0.3),
            Self::Trace => Sourced::practice(0.1),
            Self::Tape => Sourced::practice(0.02),
        }
    }

    /// Scale error common to the whole survey, one standard deviation, as a ratio.
    ///
    /// Tape: class III allows 20.6 mm in 50 m as a greatest error; as a uniform
    /// error that is 20.6 / √3 mm, 0.024 %.
    #[must_use]
    pub fn scale_sd(self) -> Sourced {
        match self {
            Self::Rtk => Sourced::practice(0.00001),
            Self::Phone => Sourced::practice(0.0),
            Self::Trace => Sourced::practice(0.005),
            Self::Tape => Sourced::new(
                0.00024,
                "EU Measuring Instruments Directive, class III: 20.6 mm in 50 m",
                Standing::Sure,
            ),
        }
    }

    /// Do neighbouring points share their error, as fixes of a walk do?
    #[must_use]
    pub fn error_runs_on(self) -> bool {
        matches!(self, Self::Phone)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_method_is_found_by_its_name() {
        for m in Method::ALL {
            assert_eq!(Method::find(m.id()), Some(m));
        }
        assert_eq!(Method::find("laser"), None);
    }

    #[test]
    fn a_class_three_tape() {
        // 0.6 + 0.4 L mm at L = 50 m is 20.6 mm (EU MID), uniform.
        assert!((Method::Tape.scale_sd().value - 0.0206 / 50.0 / 3f64.sqrt()).abs() < 5e-6);
    }
}
