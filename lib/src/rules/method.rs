//! How a survey was made, and what that says about its errors: the scatter that residuals
//! show, and the errors common to all points, which residuals can't show.

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
    /// All methods.
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

    /// Distance from the line's outer edge to what was surveyed (the walker's feet, the antenna,
    /// the edge clicked on), common to all points, one standard deviation, m.
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
    /// Tape: class III allows a greatest error of 20.6 mm in 50 m. For a uniformly
    /// distributed error that is a standard deviation of 20.6 / √3 mm, 0.024 %.
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

    /// Error of the survey's position on the Earth, common to all points, one standard deviation
    /// in each of east and north, m: of an image's georeference, or of a receiver in that hour.
    #[must_use]
    pub fn place_sd_m(self) -> Sourced {
        match self {
            Self::Rtk | Self::Tape => Sourced::practice(0.05),
            Self::Phone | Self::Trace => Sourced::practice(2.0),
        }
    }

    /// Are the errors of neighbouring points correlated, as those of a walk are?
    #[must_use]
    pub fn error_runs_on(self) -> bool {
        matches!(self, Self::Phone)
    }
}

/// Which edge of the painted line was surveyed. The boundary is its outer edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Edge {
    /// The outer edge.
    #[default]
    Outer,
    /// The middle of the line.
    Centre,
    /// The inner edge.
    Inner,
}

impl Edge {
    /// The name used on the command line and in venue files.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Outer => "outer",
            Self::Centre => "centre",
            Self::Inner => "inner",
        }
    }

    /// The edge of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        [Self::Outer, Self::Centre, Self::Inner].into_iter().find(|e| e.id() == id)
    }

    /// How far inside the outer edge it lies, as a share of the line's width.
    #[must_use]
    pub fn inside_share(self) -> f64 {
        match self {
            Self::Outer => 0.0,
            Self::Centre => 0.5,
            Self::Inner => 1.0,
        }
    }
}

/// Error of taking a receiver's WGS 84 position as GDA2020, common to all points, one standard
/// deviation in each of east and north, m: half a metre by now, growing by 7 cm a year.
#[must_use]
pub fn wgs84_as_gda2020_sd_m() -> Sourced {
    Sourced::new(0.5, "from memory", Standing::FromMemory)
}

/// Width of a painted line that nobody measured, m.
#[must_use]
pub fn line_width_m() -> Sourced {
    Sourced::new(0.05, "from memory", Standing::FromMemory)
}

/// How well a line's width is known, measured or not, one standard deviation, m.
#[must_use]
pub fn line_width_sd_m() -> Sourced {
    Sourced::practice(0.01)
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
    fn edges_lie_inside_the_outer_one() {
        for (id, share) in [("outer", 0.0), ("centre", 0.5), ("inner", 1.0)] {
            let e = Edge::find(id).unwrap();
            assert_eq!((e.id(), e.inside_share()), (id, share));
        }
        assert_eq!(Edge::find("middle"), None);
    }

    #[test]
    fn a_class_three_tape() {
        // 0.6 + 0.4 L mm at L = 50 m is 20.6 mm (EU MID), uniform.
        assert!((Method::Tape.scale_sd().value - 0.0206 / 50.0 / 3f64.sqrt()).abs() < 5e-6);
    }
}
