//! An outline: a boundary curve with its goals, in the local plane.

use super::{Boundary, BoundaryError};
use crate::frame::{Ground, Local, Plan};
use crate::geometry::{ClosedCurve, Ellipse, Point, Shape};
use crate::units::{Bearing, Invalid, within};

/// A boundary's shape with its goals, in the local plane.
///
/// Its parameters are those of the shape, then four of the goals: the midpoint of the
/// two goal-line centres (x and y), the bearing from there to end A, and half the
/// length. An ellipse's parameters are its centre, its semi-axes and the bearing of its
/// long axis. A freeform's are the offsets from its base, which is fixed.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    shape: Shape<Local>,
    plan: Plan,
    half_length: f64,
}

/// Names of the goals' parameters.
const GOALS: [&str; 4] = ["goals_x_m", "goals_y_m", "axis_deg", "half_length_m"];

/// Radians counter-clockwise from east, as in `geometry`, to degrees of bearing in [0, `turn`).
fn bearing_deg(radians: f64, turn: f64) -> f64 {
    let b = (90.0 - radians.to_degrees()).rem_euclid(turn);
    if b >= turn { 0.0 } else { b }
}

impl Outline {
    /// An outline from the shape, the plan of the ground and half its length.
    ///
    /// # Errors
    /// [`Invalid`] when the half-length is not within 0 to 100 km.
    pub fn new(shape: Shape<Local>, plan: Plan, half_length_m: f64) -> Result<Self, Invalid> {
        Ok(Self { shape, plan, half_length: within("half-length", half_length_m, 0.0, 1e5)? })
    }

    /// An ellipse with its goals, from nine parameters: centre x and y, two semi-axes, the
    /// bearing of the first, then the goals' x and y, bearing to end A and half-length.
    ///
    /// # Errors
    /// [`Invalid`] when one is out of range.
    pub fn from_parameters(p: &[f64; 9]) -> Result<Self, Invalid> {
        let [x, y, a, b, bearing, gx, gy, axis, half] = *p;
        Self::new(
            Shape::Ellipse(Ellipse::new(Point::new(x, y), [a, b], 90.0 - bearing)?),
            Plan::new(Point::new(gx, gy), Bearing::from_degrees(axis)?)?,
            half,
        )
    }

    /// An outline of the same model with other parameters, in the order of
    /// [`Outline::parameter_names`].
    ///
    /// # Errors
    /// [`Invalid`] when their number is wrong or one is out of range.
    pub fn with_parameters(&self, p: &[f64]) -> Result<Self, Invalid> {
        let Some((shape, &[gx, gy, axis, half])) = p.split_last_chunk::<4>() else {
            let want = self.parameters().len();
            return Err(Invalid::WrongCount { what: "an outline", got: p.len(), want });
        };
        let mut shape = shape.to_vec();
        for &i in self.shape.directions() {
            // Where there are too few, `with_parameters` below reports it.
            if let Some(direction) = shape.get_mut(i) {
                *direction = (90.0 - *direction).to_radians();
            }
        }
        Self::new(
            self.shape.with_parameters(&shape)?,
            Plan::new(Point::new(gx, gy), Bearing::from_degrees(axis)?)?,
            half,
        )
    }

    /// The parameters, in the order of [`Outline::parameter_names`].
    #[must_use]
    pub fn parameters(&self) -> Vec<f64> {
        let mut all = self.shape.parameters();
        for &i in self.shape.directions() {
            // Parameter 4 is the direction of an axis, modulo half a turn;
            // a cut's outward normal has a full turn.
            all[i] = bearing_deg(all[i], if i == 4 { 180.0 } else { 360.0 });
        }
        let g = self.plan.centre();
        all.extend([g.x, g.y, self.plan.axis().degrees(), self.half_length]);
        all
    }

    /// Names of the parameters with their units, as in fit files.
    #[must_use]
    pub fn parameter_names(&self) -> Vec<String> {
        let mut all = self.shape.parameter_names();
        for name in &mut all {
            *name = match name.as_str() {
                "turn_rad" => "bearing_deg".into(),
                "cut_normal_rad" => "cut_bearing_deg".into(),
                _ => continue,
            };
        }
        all.extend(GOALS.map(String::from));
        all
    }

    /// Name of the shape, as in files.
    #[must_use]
    pub fn model(&self) -> &'static str {
        self.shape.model()
    }

    /// The shape, in the local plane.
    #[must_use]
    pub fn shape(&self) -> &Shape<Local> {
        &self.shape
    }

    /// The ellipse, in the local plane, if the shape is an ellipse.
    #[must_use]
    pub fn ellipse(&self) -> Option<&Ellipse<Local>> {
        self.shape.ellipse()
    }

    /// The position and direction of the ground frame in the local plane.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Half the distance between the goal-line midpoints, m.
    #[must_use]
    pub fn half_length_m(&self) -> f64 {
        self.half_length
    }

    /// Bearing of the shape's longer axis (for a freeform that of its base), degrees in [0, 180).
    #[must_use]
    pub fn long_axis_bearing_deg(&self) -> f64 {
        let b = (90.0 - self.shape.turn_deg()).rem_euclid(180.0);
        if b >= 180.0 { 0.0 } else { b }
    }

    /// The same outline with its ends exchanged.
    ///
    /// # Errors
    /// Never for an outline that was built.
    pub fn end_for_end(&self) -> Result<Self, Invalid> {
        let plan = Plan::new(self.plan.centre(), self.plan.axis().reversed())?;
        Self::new(self.shape.clone(), plan, self.half_length)
    }

    /// The shape in the ground frame.
    ///
    /// # Errors
    /// [`Invalid`] only for numbers that overflow.
    pub fn ground_shape(&self) -> Result<Shape<Ground>, Invalid> {
        // +x has the bearing `axis`, so an angle from local east is 90° − `axis` more than one from +x.
        let turned = -(90.0 - self.plan.axis().degrees());
        self.shape.placed(self.plan.to_ground(self.shape.centre()), turned)
    }

    /// The boundary in the ground frame, with scoring ends of this width.
    ///
    /// # Errors
    /// [`BoundaryError`] when the curve and the posts do not make a boundary.
    pub fn boundary(&self, end_width_m: f64) -> Result<Boundary, BoundaryError> {
        Boundary::on_curve(self.ground_shape()?, self.half_length, end_width_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline() -> Outline {
        Outline::from_parameters(&[3.0, -2.0, 83.0, 67.0, 15.0, 3.1, -2.2, 15.4, 82.0]).unwrap()
    }

    #[test]
    fn parameters_round_trip() {
        let p = outline().parameters();
        let back = outline().with_parameters(&p).unwrap().parameters();
        for (a, b) in p.iter().zip(&back) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn the_ellipse_turns_with_the_plan() {
        // Long axis and goal axis both bear 30°, so in the ground frame the long axis lies along x.
        let o = Outline::from_parameters(&[5.0, 6.0, 80.0, 60.0, 30.0, 5.0, 6.0, 30.0, 79.0]).unwrap();
        let e = *o.ground_shape().unwrap().ellipse().unwrap();
        assert!(e.turn_deg() < 1e-9 || e.turn_deg() > 180.0 - 1e-9);
        assert!(e.centre().distance_to(Point::ORIGIN) < 1e-12);
        // A wide ground, whose goal axis is across the long axis.
        let o = Outline::from_parameters(&[0.0, 0.0, 77.0, 67.0, 100.0, 0.0, 0.0, 10.0, 66.0]).unwrap();
        assert!((o.ground_shape().unwrap().turn_deg() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn end_for_end_keeps_the_curve() {
        let (o, turned) = (outline(), outline().end_for_end().unwrap());
        assert_eq!(o.ellipse(), turned.ellipse());
        let p = turned.plan().to_ground(o.plan().to_local(Point::new(10.0, 4.0)));
        assert!(p.distance_to(Point::new(-10.0, -4.0)) < 1e-9);
    }
}
