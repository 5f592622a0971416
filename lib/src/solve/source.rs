//! One file of a survey, and what a person says of it.

use crate::frame::{Datum, State, Zone};
use crate::rules::{Edge, Method, line_width_m};
use crate::units::Problem;
use crate::units::ranges::{LINE_WIDTH_M, SIGMA_M};

/// A file of a survey with what is known of it beside its bytes.
///
/// # Examples
/// ```
/// use ovalpeg::rules::Method;
/// use ovalpeg::solve::Source;
/// let walk = Source::new("walk.gpx", b"<gpx/>".as_slice()).method(Method::Phone);
/// assert_eq!(walk.name(), "walk.gpx");
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    pub(super) name: String,
    pub(super) bytes: Vec<u8>,
    pub(super) method: Option<Method>,
    pub(super) edge: Edge,
    pub(super) line_width_m: f64,
    pub(super) sd_m: Option<f64>,
    pub(super) datum: Option<Datum>,
    pub(super) zone: Option<Zone>,
    pub(super) state: Option<State>,
}

impl Source {
    /// A file by its name, which messages use, and its bytes as received.
    pub fn new(name: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            name: name.into(),
            bytes: bytes.into(),
            method: None,
            edge: Edge::default(),
            line_width_m: line_width_m().value,
            sd_m: None,
            datum: None,
            zone: None,
            state: None,
        }
    }

    /// How it was surveyed.
    #[must_use]
    pub fn method(mut self, method: impl Into<Option<Method>>) -> Self {
        self.method = method.into();
        self
    }

    /// Which edge of the painted line was surveyed, and the line's width, m.
    #[must_use]
    pub fn edge(mut self, edge: Edge, line_width_m: f64) -> Self {
        (self.edge, self.line_width_m) = (edge, line_width_m);
        self
    }

    /// One standard deviation of a point, m, where the file gives none.
    #[must_use]
    pub fn sd_m(mut self, sd_m: impl Into<Option<f64>>) -> Self {
        self.sd_m = sd_m.into();
        self
    }

    /// Datum of the coordinates.
    #[must_use]
    pub fn datum(mut self, datum: impl Into<Option<Datum>>) -> Self {
        self.datum = datum.into();
        self
    }

    /// MGA zone of eastings and northings.
    #[must_use]
    pub fn zone(mut self, zone: impl Into<Option<Zone>>) -> Self {
        self.zone = zone.into();
        self
    }

    /// The state or territory that it lies in: it holds coordinates and zone to account, and never picks them.
    #[must_use]
    pub fn state(mut self, state: impl Into<Option<State>>) -> Self {
        self.state = state.into();
        self
    }

    /// Is what was said of it within the ranges that a venue's file has too?
    pub(super) fn check(&self) -> Result<(), Problem> {
        LINE_WIDTH_M.check(self.line_width_m)?;
        self.sd_m.map_or(Ok(()), |sd| SIGMA_M.check(sd).map(|_| ()))
    }

    /// What messages call it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its bytes as received.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// How it was surveyed, where that was said.
    #[must_use]
    pub fn said_method(&self) -> Option<Method> {
        self.method
    }

    /// Which edge of the line was surveyed.
    #[must_use]
    pub fn said_edge(&self) -> Edge {
        self.edge
    }

    /// Width of the painted line, m.
    #[must_use]
    pub fn said_line_width_m(&self) -> f64 {
        self.line_width_m
    }

    /// One standard deviation of a point that was said, m.
    #[must_use]
    pub fn said_sd_m(&self) -> Option<f64> {
        self.sd_m
    }

    /// Datum that was said.
    #[must_use]
    pub fn said_datum(&self) -> Option<Datum> {
        self.datum
    }

    /// MGA zone that was said.
    #[must_use]
    pub fn said_zone(&self) -> Option<Zone> {
        self.zone
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::RuleSet;
    use crate::solve::{SolveOptions, prepare};

    #[test]
    fn what_no_venue_file_would_take_is_refused_at_this_door_too() {
        let file = || Source::new("a.csv", b"x,y\n1,2\n".as_slice());
        let refused = |source: Source, height_m: Option<f64>| {
            let mut options = SolveOptions::new(RuleSet::laws());
            options.height_m = height_m;
            prepare(vec![source], &options).unwrap_err().to_string()
        };
        for (source, height, want) in [
            (file().sd_m(1e-7), None, "sigma is 0.0000001, outside 0.000001 to 1000 m"),
            (file().sd_m(f64::NAN), None, "outside 0.000001 to 1000 m"),
            (file().edge(Edge::Inner, 7.0), None, "line width is 7, outside 0.01 to 0.5 m"),
            (file(), Some(72_000.0), "height is 72000, outside -1000 to 9000 m"),
        ] {
            let e = refused(source, height);
            assert!(e.starts_with("the survey a.csv can't be used: ") && e.contains(want), "{e}");
        }
        let many: Vec<Source> = (0..21).map(|i| Source::new("a.csv", format!("x,y\n{i},2\n"))).collect();
        let e = prepare(many, &SolveOptions::new(RuleSet::laws())).unwrap_err().to_string();
        assert!(e.contains("there are 21 survey files, and at most 20"), "{e}");
    }
}
