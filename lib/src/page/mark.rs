//! Strokes and areas.

use super::{Colour, Path};
use crate::units::{Invalid, within};

/// A line's dashes, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dash {
    /// Drawn so far.
    pub on_mm: f64,
    /// Then left out so far.
    pub off_mm: f64,
}

/// How the ends of a stroke look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// Cut off at its end.
    Butt,
    /// With half a circle more.
    Round,
}

/// A drawn line. Its corners are always round.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    path: Path,
    width_mm: f64,
    colour: Colour,
    dash: Option<Dash>,
    ends: Ends,
}

impl Stroke {
    /// A solid line with cut ends.
    ///
    /// # Errors
    /// [`Invalid`] for a path that starts nowhere or has places that are no numbers, or a width that is not within
    /// 0.01 to 50 mm.
    pub fn new(path: Path, width_mm: f64, colour: Colour) -> Result<Self, Invalid> {
        path.check()?;
        let width_mm = within("a stroke's width in mm", width_mm, 0.01, 50.0)?;
        Ok(Self { path, width_mm, colour, dash: None, ends: Ends::Butt })
    }

    /// The same line, dashed.
    ///
    /// # Errors
    /// [`Invalid`] for dashes that are not within 0.01 to 100 mm.
    pub fn dashed(mut self, on_mm: f64, off_mm: f64) -> Result<Self, Invalid> {
        let on_mm = within("a dash in mm", on_mm, 0.01, 100.0)?;
        let off_mm = within("a gap between dashes in mm", off_mm, 0.01, 100.0)?;
        self.dash = Some(Dash { on_mm, off_mm });
        Ok(self)
    }

    /// The same line with round ends.
    #[must_use]
    pub fn round(mut self) -> Self {
        self.ends = Ends::Round;
        self
    }

    /// Where it runs.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// How wide it is, mm.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.width_mm
    }

    /// Its colour.
    #[must_use]
    pub fn colour(&self) -> Colour {
        self.colour
    }

    /// Its dashes; `None` where it is solid.
    #[must_use]
    pub fn dash(&self) -> Option<Dash> {
        self.dash
    }

    /// How its ends look.
    #[must_use]
    pub fn ends(&self) -> Ends {
        self.ends
    }
}

/// A filled area; where its parts overlap or lie in each other it is filled by the even-odd rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    path: Path,
    colour: Colour,
}

impl Area {
    /// An area.
    ///
    /// # Errors
    /// [`Invalid`] for a path that starts nowhere or has places that are no numbers.
    pub fn new(path: Path, colour: Colour) -> Result<Self, Invalid> {
        path.check()?;
        Ok(Self { path, colour })
    }

    /// Its rim.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Its colour.
    #[must_use]
    pub fn colour(&self) -> Colour {
        self.colour
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_not_be_drawn_is_refused() {
        let line = || Path::line((0.0, 0.0), (1.0, 1.0));
        assert!(Stroke::new(line(), 0.0, Colour::BLACK).is_err());
        assert!(Stroke::new(Path::default(), 1.0, Colour::BLACK).is_err());
        assert!(Area::new(Path::default(), Colour::BLACK).is_err());
        let s = Stroke::new(line(), 0.5, Colour::BLACK).unwrap();
        assert!(s.clone().dashed(1.0, f64::NAN).is_err());
        let s = s.dashed(1.0, 0.5).unwrap().round();
        assert_eq!((s.dash().unwrap().off_mm, s.ends(), s.width_mm()), (0.5, Ends::Round, 0.5));
    }
}
