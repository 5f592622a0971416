//! Bearings, clockwise from a north that is part of their type.
//!
//! True, grid and magnetic bearings differ by up to a dozen degrees on one
//! ground, so the compiler keeps them apart. Turning one into another takes the
//! angle between the norths: the grid convergence or the declination.

use std::fmt;
use std::marker::PhantomData;

use super::{Day, Invalid, Measured, finite};

/// A north that bearings can be counted from.
pub trait North: Copy + fmt::Debug + PartialEq + 'static {
    /// The letter printed after a bearing, as in `047° M`.
    const LETTER: char;
}

/// True (geographic) north.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct True;
/// The northing axis of a map grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid;
/// Where a compass needle points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Magnetic;

impl North for True {
    const LETTER: char = 'T';
}
impl North for Grid {
    const LETTER: char = 'G';
}
impl North for Magnetic {
    const LETTER: char = 'M';
}

/// A direction on the ground, degrees clockwise from its north, in `[0, 360)`.
///
/// # Examples
/// ```
/// use ovalpeg::units::TrueBearing;
/// let b = TrueBearing::from_degrees(-10.0)?;
/// assert_eq!(b.degrees(), 350.0);
/// assert_eq!(b.reversed().to_string(), "170° T");
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing<N: North> {
    deg: f64,
    north: PhantomData<N>,
}

/// A bearing from true north.
pub type TrueBearing = Bearing<True>;
/// A bearing from grid north.
pub type GridBearing = Bearing<Grid>;
/// A bearing from magnetic north.
pub type MagneticBearing = Bearing<Magnetic>;

/// Wraps degrees into `[0, 360)`.
fn wrap(deg: f64) -> f64 {
    let wrapped = deg.rem_euclid(360.0);
    // `(-1e-17).rem_euclid(360.0)` rounds up to 360.0 itself.
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

impl<N: North> Bearing<N> {
    /// A bearing from degrees clockwise; any number of turns is accepted and wrapped.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] if `deg` is NaN or infinite.
    pub fn from_degrees(deg: f64) -> Result<Self, Invalid> {
        Ok(Self { deg: wrap(finite("bearing", deg)?), north: PhantomData })
    }

    /// The bearing of a step of `east` and `north`, both along the axes of this bearing's north.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] if either is not finite.
    pub fn of_step(east: f64, north: f64) -> Result<Self, Invalid> {
        finite("east step", east)?;
        finite("north step", north)?;
        Self::from_degrees(east.atan2(north).to_degrees())
    }

    /// Degrees clockwise from north, in `[0, 360)`.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.deg
    }

    /// The opposite direction (back bearing).
    #[must_use]
    pub fn reversed(self) -> Self {
        Self { deg: wrap(self.deg + 180.0), north: PhantomData }
    }

    /// This bearing turned clockwise by `deg` degrees.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] if `deg` is NaN or infinite.
    pub fn turned(self, deg: f64) -> Result<Self, Invalid> {
        Self::from_degrees(self.deg + finite("turn", deg)?)
    }

    /// How far to turn from here to `other`: degrees in `(-180, 180]`, positive to the right.
    #[must_use]
    pub fn turn_to(self, other: Self) -> f64 {
        let d = wrap(other.deg - self.deg);
        if d > 180.0 { d - 360.0 } else { d }
    }

    /// A step of length 1 along this bearing, as (east, north).
    #[must_use]
    pub fn step(self) -> (f64, f64) {
        let (s, c) = self.deg.to_radians().sin_cos();
        (s, c)
    }
}

impl<N: North> fmt::Display for Bearing<N> {
    /// Whole degrees and the letter of the north. It rounds before it wraps, so
    /// that 359.7 prints `000° T`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:03.0}° {}", self.deg.round() % 360.0, N::LETTER)
    }
}

/// Magnetic declination at a place on a day: magnetic north lies `east_deg`
/// east of true north.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Declination {
    east_deg: f64,
    sd_deg: f64,
    day: Day,
}

impl Declination {
    /// A declination, its standard deviation, and the day that they hold for.
    ///
    /// # Errors
    /// [`Invalid`] when the declination is not within ±180°, or its standard
    /// deviation is not within 0° to 180°.
    pub fn new(east_deg: f64, sd_deg: f64, day: Day) -> Result<Self, Invalid> {
        super::within("declination", east_deg, -180.0, 180.0)?;
        super::within("standard deviation of declination", sd_deg, 0.0, 180.0)?;
        Ok(Self { east_deg, sd_deg, day })
    }

    /// Degrees, positive east.
    #[must_use]
    pub fn east_deg(&self) -> f64 {
        self.east_deg
    }

    /// One standard deviation, degrees.
    #[must_use]
    pub fn sd_deg(&self) -> f64 {
        self.sd_deg
    }

    /// Degrees, positive east, with their 95 % interval: the model's error is taken as normal.
    #[must_use]
    pub fn measured_deg(&self) -> Measured {
        Measured::normal_of_checked(self.east_deg, self.sd_deg)
    }

    /// The day it holds for.
    #[must_use]
    pub fn day(&self) -> Day {
        self.day
    }

    /// The compass reading of a true bearing: magnetic = true − declination.
    #[must_use]
    pub fn magnetic(&self, bearing: TrueBearing) -> MagneticBearing {
        Bearing { deg: wrap(bearing.deg - self.east_deg), north: PhantomData }
    }

    /// The true bearing of a compass reading: true = magnetic + declination.
    #[must_use]
    pub fn true_of(&self, bearing: MagneticBearing) -> TrueBearing {
        Bearing { deg: wrap(bearing.deg + self.east_deg), north: PhantomData }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn t(deg: f64) -> TrueBearing {
        TrueBearing::from_degrees(deg).unwrap()
    }

    #[test]
    fn the_four_cardinal_points() {
        // By hand: a step north bears 0°, east 90°, south 180°, west 270°.
        for (e, n, want) in [(0.0, 1.0, 0.0), (1.0, 0.0, 90.0), (0.0, -1.0, 180.0), (-1.0, 0.0, 270.0)] {
            let b = TrueBearing::of_step(e, n).unwrap();
            assert!((b.degrees() - want).abs() < 1e-12);
            let (se, sn) = b.step();
            assert!((se - e).abs() < 1e-12 && (sn - n).abs() < 1e-12);
        }
    }

    #[test]
    fn wraps_without_reaching_360() {
        assert_eq!(t(-1e-17).degrees(), 0.0);
        assert_eq!(t(-400.0).degrees(), 320.0);
        assert_eq!(t(720.0).degrees(), 0.0);
        assert!(TrueBearing::from_degrees(f64::NAN).is_err());
    }

    #[test]
    fn prints_rounded_then_wrapped_with_its_north() {
        assert_eq!(t(359.7).to_string(), "000° T");
        assert_eq!(MagneticBearing::from_degrees(47.2).unwrap().to_string(), "047° M");
    }

    #[test]
    fn turns_the_short_way() {
        assert_eq!(t(350.0).turn_to(t(10.0)), 20.0);
        assert_eq!(t(10.0).turn_to(t(350.0)), -20.0);
        assert_eq!(t(0.0).turn_to(t(180.0)), 180.0);
    }

    #[test]
    fn a_compass_reads_less_where_declination_is_east() {
        // Melbourne, about 11.5° E: true north reads 348.5° on the compass.
        let d = Declination::new(11.5, 0.4, Day::new(2026, 3, 14).unwrap()).unwrap();
        assert_eq!(d.magnetic(t(0.0)).degrees(), 348.5);
        assert_eq!(d.true_of(d.magnetic(t(123.0))).degrees(), 123.0);
    }
}
