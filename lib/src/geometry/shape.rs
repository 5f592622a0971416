//! One type for all the shapes that a boundary may have.

use super::curve::ClosedCurve;
use super::{CutEllipse, Ellipse, Foot, FourArc, Plane, Point, Spline, Vector};
use crate::units::Invalid;

/// The kinds of shape that a boundary may have, the simplest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Model {
    /// An ellipse.
    Ellipse,
    /// Two end arcs and two side arcs of circles.
    FourArc,
    /// An ellipse cut by a straight chord.
    CutEllipse,
    /// A spline given by offsets from an ellipse: any smooth line.
    Freeform,
}

impl Model {
    /// All models, the simplest first.
    pub const ALL: [Self; 4] = [Self::Ellipse, Self::FourArc, Self::CutEllipse, Self::Freeform];

    /// The name in files and on the command line.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Ellipse => "ellipse",
            Self::FourArc => "four-arc",
            Self::CutEllipse => "cut-ellipse",
            Self::Freeform => "freeform",
        }
    }

    /// The name within a sentence: `an ellipse`.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Ellipse => "an ellipse",
            Self::FourArc => "an oval of four arcs",
            Self::CutEllipse => "an ellipse with a straight side",
            Self::Freeform => "a freeform line",
        }
    }

    /// The model of this name.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|m| m.id() == id)
    }
}

/// A closed curve of one of the shapes that ovals have.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Shape<F: Plane> {
    /// An ellipse.
    Ellipse(Ellipse<F>),
    /// Four circular arcs.
    FourArc(FourArc<F>),
    /// An ellipse cut by a straight chord.
    CutEllipse(CutEllipse<F>),
    /// A spline given by offsets from an ellipse.
    Freeform(Spline<F>),
}

macro_rules! each {
    ($shape:expr, $curve:ident => $answer:expr) => {
        match $shape {
            Shape::Ellipse($curve) => $answer,
            Shape::FourArc($curve) => $answer,
            Shape::CutEllipse($curve) => $answer,
            Shape::Freeform($curve) => $answer,
        }
    };
}

impl<F: Plane> Shape<F> {
    /// Name of the shape, as in files.
    #[must_use]
    pub fn model(&self) -> &'static str {
        self.kind().id()
    }

    /// Which kind of shape it is.
    #[must_use]
    pub fn kind(&self) -> Model {
        match self {
            Self::Ellipse(_) => Model::Ellipse,
            Self::FourArc(_) => Model::FourArc,
            Self::CutEllipse(_) => Model::CutEllipse,
            Self::Freeform(_) => Model::Freeform,
        }
    }

    /// The ellipse, if the shape is an ellipse.
    #[must_use]
    pub fn ellipse(&self) -> Option<&Ellipse<F>> {
        match self {
            Self::Ellipse(e) => Some(e),
            _ => None,
        }
    }

    /// The centre: of the ellipse or the four-arc oval itself, of the whole ellipse
    /// before the cut, or of the spline's base.
    #[must_use]
    pub fn centre(&self) -> Point<F> {
        match self {
            Self::FourArc(o) => o.centre(),
            Self::Ellipse(e) => e.centre(),
            Self::CutEllipse(c) => c.ellipse().centre(),
            Self::Freeform(s) => s.base().centre(),
        }
    }

    /// Semi-axes of the curve that [`Shape::centre`] belongs to, the longer first, metres.
    #[must_use]
    pub fn semi_axes_m(&self) -> [f64; 2] {
        match self {
            Self::FourArc(o) => [o.semi_major_m(), o.semi_minor_m()],
            Self::Ellipse(e) => [e.semi_major_m(), e.semi_minor_m()],
            Self::CutEllipse(c) => [c.ellipse().semi_major_m(), c.ellipse().semi_minor_m()],
            Self::Freeform(s) => [s.base().semi_major_m(), s.base().semi_minor_m()],
        }
    }

    /// Direction of the longer axis, degrees counter-clockwise from +x, in [0, 180).
    #[must_use]
    pub fn turn_deg(&self) -> f64 {
        match self {
            Self::FourArc(o) => o.turn_deg(),
            Self::Ellipse(e) => e.turn_deg(),
            Self::CutEllipse(c) => c.ellipse().turn_deg(),
            Self::Freeform(s) => s.base().turn_deg(),
        }
    }

    /// Indices of the shape's parameters that are directions.
    #[must_use]
    pub fn directions(&self) -> &'static [usize] {
        match self {
            Self::Ellipse(_) | Self::FourArc(_) => &[4],
            Self::CutEllipse(_) => &[4, 5],
            Self::Freeform(_) => &[],
        }
    }

    /// The same shape in another plane, moved to `centre` and turned by `turned_deg`
    /// counter-clockwise.
    ///
    /// # Errors
    /// [`Invalid`] for numbers that overflow.
    pub fn placed<G: Plane>(&self, centre: Point<G>, turned_deg: f64) -> Result<Shape<G>, Invalid> {
        let [a, b] = self.semi_axes_m();
        let ellipse = || Ellipse::<G>::new(centre, [a, b], self.turn_deg() + turned_deg);
        Ok(match self {
            Self::Ellipse(_) => Shape::Ellipse(ellipse()?),
            Self::FourArc(o) => {
                Shape::FourArc(FourArc::new(centre, [a, b], o.end_radius_m(), o.turn_deg() + turned_deg)?)
            }
            Self::CutEllipse(c) => {
                Shape::CutEllipse(CutEllipse::new(ellipse()?, c.normal_deg() + turned_deg, c.distance_m())?)
            }
            Self::Freeform(s) => {
                // The direction of the long axis is kept modulo half a turn. Where the turn
                // flips it, the offsets start from its other end.
                let base = ellipse()?;
                let long = Vector::<G>::at_angle((self.turn_deg() + turned_deg).to_radians());
                let mut offsets = s.offsets_m().to_vec();
                if long.dot(base.long()) < 0.0 {
                    let half = offsets.len() / 2;
                    offsets.rotate_left(half);
                }
                Shape::Freeform(Spline::new(base, &offsets)?)
            }
        })
    }
}

impl<F: Plane> ClosedCurve<F> for Shape<F> {
    #[inline]
    fn period(&self) -> f64 {
        each!(self, c => c.period())
    }
    #[inline]
    fn at_parameter(&self, t: f64) -> Point<F> {
        each!(self, c => c.at_parameter(t))
    }
    #[inline]
    fn derivative(&self, t: f64) -> Vector<F> {
        each!(self, c => c.derivative(t))
    }
    #[inline]
    fn curvature(&self, t: f64) -> f64 {
        each!(self, c => c.curvature(t))
    }
    #[inline]
    fn at_once(&self, t: f64) -> (Point<F>, Vector<F>, f64) {
        each!(self, c => c.at_once(t))
    }
    #[inline]
    fn arriving(&self, t: f64) -> (Vector<F>, f64) {
        each!(self, c => c.arriving(t))
    }
    #[inline]
    fn corners(&self) -> Vec<f64> {
        each!(self, c => c.corners())
    }
    #[inline]
    fn tangent(&self, t: f64) -> Vector<F> {
        each!(self, c => c.tangent(t))
    }
    #[inline]
    fn normal(&self, t: f64) -> Vector<F> {
        each!(self, c => c.normal(t))
    }
    #[inline]
    fn arc(&self, t: f64) -> f64 {
        each!(self, c => c.arc(t))
    }
    #[inline]
    fn parameter_at_arc(&self, s: f64) -> f64 {
        each!(self, c => c.parameter_at_arc(s))
    }
    #[inline]
    fn perimeter_m(&self) -> f64 {
        each!(self, c => c.perimeter_m())
    }
    #[inline]
    fn area_m2(&self) -> f64 {
        each!(self, c => c.area_m2())
    }
    #[inline]
    fn swept_area(&self, from: f64, to: f64) -> f64 {
        each!(self, c => c.swept_area(from, to))
    }
    #[inline]
    fn foot(&self, p: Point<F>) -> Foot<F> {
        each!(self, c => c.foot(p))
    }
    #[inline]
    fn holds(&self, p: Point<F>) -> bool {
        each!(self, c => c.holds(p))
    }
    #[inline]
    fn nearest_between(&self, p: Point<F>, from: f64, to: f64) -> f64 {
        each!(self, c => c.nearest_between(p, from, to))
    }
    #[inline]
    fn farthest_parameter(&self, u: Vector<F>) -> f64 {
        each!(self, c => c.farthest_parameter(u))
    }
    #[inline]
    fn farthest_between(&self, u: Vector<F>, from: f64, to: f64) -> Point<F> {
        each!(self, c => c.farthest_between(u, from, to))
    }
    #[inline]
    fn extent_m(&self, u: Vector<F>) -> f64 {
        each!(self, c => c.extent_m(u))
    }
    #[inline]
    fn is_convex(&self) -> bool {
        each!(self, c => c.is_convex())
    }
    #[inline]
    fn normal_motion(&self, foot: &Foot<F>) -> Vec<f64> {
        each!(self, c => c.normal_motion(foot))
    }
    #[inline]
    fn parameters(&self) -> Vec<f64> {
        each!(self, c => c.parameters())
    }
    #[inline]
    fn parameter_names(&self) -> Vec<String> {
        each!(self, c => c.parameter_names())
    }
    fn with_parameters(&self, parameters: &[f64]) -> Result<Self, Invalid> {
        Ok(match self {
            Self::Ellipse(c) => Self::Ellipse(c.with_parameters(parameters)?),
            Self::FourArc(c) => Self::FourArc(c.with_parameters(parameters)?),
            Self::CutEllipse(c) => Self::CutEllipse(c.with_parameters(parameters)?),
            Self::Freeform(c) => Self::Freeform(c.with_parameters(parameters)?),
        })
    }
}
