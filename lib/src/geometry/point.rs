//! Points and vectors whose type names the plane that they lie in.

use std::fmt;
use std::marker::PhantomData;
use std::ops::{Add, Mul, Neg, Sub};

/// A marker for the plane that a point lies in; points of two planes don't mix.
pub trait Plane: Copy + fmt::Debug + PartialEq + 'static {}

/// A position in the plane `F`, metres. There is no `Point + Point`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point<F: Plane> {
    /// Metres along the first axis.
    pub x: f64,
    /// Metres along the second axis, a quarter turn counter-clockwise from the first.
    pub y: f64,
    plane: PhantomData<F>,
}

/// A displacement in the plane `F`, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vector<F: Plane> {
    /// Metres along the first axis.
    pub x: f64,
    /// Metres along the second axis.
    pub y: f64,
    plane: PhantomData<F>,
}

impl<F: Plane> Point<F> {
    /// The plane's origin.
    pub const ORIGIN: Self = Self { x: 0.0, y: 0.0, plane: PhantomData };

    /// A point from its coordinates, metres.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y, plane: PhantomData }
    }

    /// Distance to another point, metres.
    #[must_use]
    pub fn distance_to(self, other: Self) -> f64 {
        (other - self).length()
    }

    /// The point midway to another.
    #[must_use]
    pub fn midpoint(self, other: Self) -> Self {
        self + (other - self) * 0.5
    }

    /// Are both coordinates finite?
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl<F: Plane> Vector<F> {
    /// A vector from its components, metres.
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y, plane: PhantomData }
    }

    /// The unit vector `angle_rad` counter-clockwise from +x.
    #[must_use]
    pub(crate) fn at_angle(angle_rad: f64) -> Self {
        let (s, c) = angle_rad.sin_cos();
        Self::new(c, s)
    }

    /// Length, metres.
    #[must_use]
    pub fn length(self) -> f64 {
        // `hypot` guards against overflow at four times the cost, and the numbers of a ground never overflow.
        let square = self.x * self.x + self.y * self.y;
        if (1e-200..1e200).contains(&square) { square.sqrt() } else { self.x.hypot(self.y) }
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// `self × other`: positive where `other` lies counter-clockwise of `self`.
    #[must_use]
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// The same direction with length 1; `None` for a vector without a direction.
    #[must_use]
    pub fn unit(self) -> Option<Self> {
        let n = self.length();
        (n > 0.0 && n.is_finite()).then(|| self * (1.0 / n))
    }

    /// Turned a quarter turn clockwise (to the right of the way it points).
    #[must_use]
    pub fn to_right(self) -> Self {
        Self::new(self.y, -self.x)
    }

    /// Turned a quarter turn counter-clockwise (to the left of the way it points).
    #[must_use]
    pub fn to_left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// This vector turned counter-clockwise by `deg` degrees.
    #[must_use]
    pub fn turned_deg(self, deg: f64) -> Self {
        let (s, c) = deg.to_radians().sin_cos();
        Self::new(self.x * c - self.y * s, self.x * s + self.y * c)
    }

    /// The unsigned angle to another vector, degrees, 0 to 180.
    #[must_use]
    pub fn angle_to_deg(self, other: Self) -> f64 {
        self.cross(other).abs().atan2(self.dot(other)).to_degrees()
    }
}

impl<F: Plane> Sub for Point<F> {
    type Output = Vector<F>;
    fn sub(self, other: Self) -> Vector<F> {
        Vector::new(self.x - other.x, self.y - other.y)
    }
}

impl<F: Plane> Add<Vector<F>> for Point<F> {
    type Output = Self;
    fn add(self, v: Vector<F>) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}

impl<F: Plane> Sub<Vector<F>> for Point<F> {
    type Output = Self;
    fn sub(self, v: Vector<F>) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}

impl<F: Plane> Add for Vector<F> {
    type Output = Self;
    fn add(self, v: Self) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}

impl<F: Plane> Sub for Vector<F> {
    type Output = Self;
    fn sub(self, v: Self) -> Self {
        Self::new(self.x - v.x, self.y - v.y)
    }
}

impl<F: Plane> Neg for Vector<F> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

impl<F: Plane> Mul<f64> for Vector<F> {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Clone, Copy, PartialEq)]
    struct Test;
    impl Plane for Test {}

    #[test]
    fn left_and_right_of_a_step() {
        let v = Vector::<Test>::new(1.0, 0.0);
        assert_eq!(v.to_left(), Vector::new(0.0, 1.0));
        assert_eq!(v.to_right(), Vector::new(0.0, -1.0));
        assert!(v.cross(v.to_left()) > 0.0);
    }

    #[test]
    fn the_null_vector_has_no_direction() {
        assert!(Vector::<Test>::new(0.0, 0.0).unit().is_none());
        assert_eq!(Vector::<Test>::new(3.0, 4.0).unit().unwrap().length(), 1.0);
    }
}
