//! Lines and curves on a page.

use crate::units::{Invalid, finite};

/// A place on a page: millimetres right of its left edge and down from its top.
pub(super) type Place = (f64, f64);

/// One step of a path; places are (x, y) in mm, y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Starts a new part here.
    Move((f64, f64)),
    /// A straight line to here.
    Line((f64, f64)),
    /// A cubic Bézier curve: its two handles and its end.
    Cubic((f64, f64), (f64, f64), (f64, f64)),
    /// Back to the start of this part.
    Close,
}

/// Straight lines and cubic curves. Circles and arcs are made of cubics, so that all writers draw the same curve.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Path {
    steps: Vec<Step>,
}

impl Path {
    /// A straight line.
    #[must_use]
    pub fn line(from: (f64, f64), to: (f64, f64)) -> Self {
        Self { steps: vec![Step::Move(from), Step::Line(to)] }
    }

    /// Straight lines from place to place.
    #[must_use]
    pub fn polyline(places: &[(f64, f64)]) -> Self {
        let steps =
            places.iter().enumerate().map(|(i, p)| if i == 0 { Step::Move(*p) } else { Step::Line(*p) });
        Self { steps: steps.collect() }
    }

    /// Straight lines from place to place and back to the first.
    #[must_use]
    pub fn polygon(places: &[(f64, f64)]) -> Self {
        let mut path = Self::polyline(places);
        path.close();
        path
    }

    /// An upright rectangle from its top left corner.
    #[must_use]
    pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::polygon(&[(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
    }

    /// An upright rectangle with rounded corners.
    #[must_use]
    pub fn rounded(x: f64, y: f64, width: f64, height: f64, radius: f64) -> Self {
        let r = radius.min(0.5 * width).min(0.5 * height).max(0.0);
        let mut path = Self::default();
        path.move_to((x + r, y));
        for (cx, cy, from) in [
            (x + width - r, y + r, -90.0),
            (x + width - r, y + height - r, 0.0),
            (x + r, y + height - r, 90.0),
            (x + r, y + r, 180.0),
        ] {
            path.arc((cx, cy), r, from, 90.0);
        }
        path.close();
        path
    }

    /// A circle.
    #[must_use]
    pub fn circle(centre: (f64, f64), radius: f64) -> Self {
        let mut path = Self::default();
        path.move_to((centre.0 + radius, centre.1));
        path.arc(centre, radius, 0.0, 360.0);
        path.close();
        path
    }

    /// Starts a new part.
    pub fn move_to(&mut self, to: (f64, f64)) -> &mut Self {
        self.steps.push(Step::Move(to));
        self
    }

    /// Goes on straight.
    pub fn line_to(&mut self, to: (f64, f64)) -> &mut Self {
        self.steps.push(Step::Line(to));
        self
    }

    /// Goes on along a cubic Bézier curve.
    pub fn cubic_to(&mut self, first: (f64, f64), second: (f64, f64), to: (f64, f64)) -> &mut Self {
        self.steps.push(Step::Cubic(first, second, to));
        self
    }

    /// Goes on along a circle, by degrees from the right (+x) and on **clockwise on the page**, a straight line to
    /// its start first where the path is elsewhere.
    pub fn arc(&mut self, centre: (f64, f64), radius: f64, from_deg: f64, turn_deg: f64) -> &mut Self {
        let at = |deg: f64| {
            let (s, c) = deg.to_radians().sin_cos();
            (centre.0 + radius * c, centre.1 + radius * s)
        };
        let start = at(from_deg);
        match self.end() {
            None => self.steps.push(Step::Move(start)),
            Some(end) if (end.0 - start.0).hypot(end.1 - start.1) > 1e-9 => {
                self.steps.push(Step::Line(start))
            }
            Some(_) => {}
        }
        // A cubic for each eighth of a turn is off a circle by 4e-6 of its radius.
        let parts = (turn_deg.abs() / 45.0).ceil().clamp(1.0, 16.0);
        let step = turn_deg / parts;
        let handle = radius * 4.0 / 3.0 * (0.25 * step.to_radians()).tan();
        for i in 0..parts as u32 {
            let a = from_deg + step * f64::from(i);
            let (from, to) = (at(a), at(a + step));
            let along = |deg: f64, sign: f64, p: Place| {
                let (s, c) = deg.to_radians().sin_cos();
                (p.0 - sign * handle * s, p.1 + sign * handle * c)
            };
            self.steps.push(Step::Cubic(along(a, 1.0, from), along(a + step, -1.0, to), to));
        }
        self
    }

    /// Closes the part that was begun last.
    pub fn close(&mut self) -> &mut Self {
        self.steps.push(Step::Close);
        self
    }

    /// Another path's steps after these.
    pub fn append(&mut self, other: &Self) -> &mut Self {
        self.steps.extend_from_slice(&other.steps);
        self
    }

    /// Its steps.
    #[must_use]
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    fn end(&self) -> Option<Place> {
        match self.steps.last()? {
            Step::Move(p) | Step::Line(p) | Step::Cubic(_, _, p) => Some(*p),
            Step::Close => None,
        }
    }

    /// The smallest rectangle about its places and handles: left, top, right, bottom, mm; `None` of nothing.
    #[must_use]
    pub fn bounds_mm(&self) -> Option<[f64; 4]> {
        let mut found: Option<[f64; 4]> = None;
        for step in &self.steps {
            let places: &[Place] = match step {
                Step::Move(p) | Step::Line(p) => &[*p],
                Step::Cubic(a, b, c) => &[*a, *b, *c],
                Step::Close => &[],
            };
            for (x, y) in places {
                let [l, t, r, b] = found.unwrap_or([*x, *y, *x, *y]);
                found = Some([l.min(*x), t.min(*y), r.max(*x), b.max(*y)]);
            }
        }
        found
    }

    /// Refuses a path that does not begin with a start, or holds what is no number.
    pub(super) fn check(&self) -> Result<(), Invalid> {
        if !matches!(self.steps.first(), Some(Step::Move(_))) {
            return Err(Invalid::Impossible { what: "a path that starts nowhere" });
        }
        for step in &self.steps {
            let all = match step {
                Step::Move(p) | Step::Line(p) => [*p; 3],
                Step::Cubic(a, b, c) => [*a, *b, *c],
                Step::Close => [(0.0, 0.0); 3],
            };
            for (x, y) in all {
                finite("a place on the page", x)?;
                finite("a place on the page", y)?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_of_cubics_is_round() {
        let path = Path::circle((10.0, 20.0), 5.0);
        let mut at = (15.0, 20.0);
        let mut seen = 0;
        for step in path.steps() {
            let Step::Cubic(a, b, c) = *step else { continue };
            for i in 0..=10 {
                let t = f64::from(i) / 10.0;
                let u = 1.0 - t;
                let mix = |p: f64, q: f64, r: f64, s: f64| {
                    u * u * u * p + 3.0 * u * u * t * q + 3.0 * u * t * t * r + t * t * t * s
                };
                let (x, y) = (mix(at.0, a.0, b.0, c.0), mix(at.1, a.1, b.1, c.1));
                // Within 4e-6 of the radius.
                assert!(((x - 10.0).hypot(y - 20.0) - 5.0).abs() < 2.5e-5);
            }
            at = c;
            seen += 1;
        }
        assert_eq!(seen, 8);
        assert!((at.0 - 15.0).abs() < 1e-9 && (at.1 - 20.0).abs() < 1e-9);
    }

    #[test]
    fn an_arc_runs_clockwise_on_the_page() {
        let mut path = Path::default();
        path.arc((0.0, 0.0), 1.0, 0.0, 90.0);
        let Some(Step::Cubic(_, _, end)) = path.steps().last() else { panic!() };
        // From the right a quarter on is down, for y runs down.
        assert!(end.0.abs() < 1e-12 && (end.1 - 1.0).abs() < 1e-12, "{end:?}");
    }

    #[test]
    fn a_path_of_nothing_or_of_no_numbers_is_refused() {
        assert!(Path::default().check().is_err());
        assert!(Path::polyline(&[(0.0, 0.0), (f64::NAN, 1.0)]).check().is_err());
        assert!(Path::rounded(0.0, 0.0, 10.0, 5.0, 9.0).check().is_ok());
        assert_eq!(Path::rectangle(1.0, 2.0, 3.0, 4.0).bounds_mm(), Some([1.0, 2.0, 4.0, 6.0]));
    }
}
