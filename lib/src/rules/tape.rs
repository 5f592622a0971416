//! Tapes and their readings: greatest errors by class, the expansion of steel, and how
//! well a person reads.

use super::{Sourced, Standing};

/// Accuracy class of a tape: the greatest error of a length L in metres. Most of it is one
/// scale error common to all readings of that tape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TapeClass {
    /// ± (0.1 + 0.1 L) mm.
    I,
    /// ± (0.3 + 0.2 L) mm.
    II,
    /// ± (0.6 + 0.4 L) mm: the tapes that shops sell.
    III,
}

/// Where the classes come from.
const CLASSES: &str = "EU Measuring Instruments Directive classes";

impl TapeClass {
    /// The class of this name: `I`, `II`, `III`, or `1`, `2`, `3`.
    #[must_use]
    pub fn find(text: &str) -> Option<Self> {
        match text.to_ascii_uppercase().as_str() {
            "I" | "1" => Some(Self::I),
            "II" | "2" => Some(Self::II),
            "III" | "3" => Some(Self::III),
            _ => None,
        }
    }

    fn millimetres(self) -> (f64, f64) {
        match self {
            Self::I => (0.1, 0.1),
            Self::II => (0.3, 0.2),
            Self::III => (0.6, 0.4),
        }
    }

    /// Greatest error of a length of `length_m`, m.
    #[must_use]
    pub fn greatest_error_m(self, length_m: f64) -> Sourced {
        let (a, b) = self.millimetres();
        Sourced::new((a + b * length_m) / 1000.0, CLASSES, Standing::Sure)
    }

    /// Standard deviation of the scale error, as a ratio: b/√3, for an error distributed
    /// evenly up to the greatest, b times the length.
    #[must_use]
    pub fn scale_sd(self) -> Sourced {
        Sourced::new(self.millimetres().1 / 1000.0 / 3f64.sqrt(), CLASSES, Standing::Sure)
    }

    /// Standard deviation of the part that does not grow with length, m: a/√3.
    #[must_use]
    pub fn zero_sd_m(self) -> Sourced {
        Sourced::new(self.millimetres().0 / 1000.0 / 3f64.sqrt(), CLASSES, Standing::Sure)
    }
}

/// Thermal expansion of steel, as a ratio per degree Celsius.
#[must_use]
pub fn steel_expansion() -> Sourced {
    Sourced::new(11.5e-6, "from memory", Standing::FromMemory)
}

/// Temperature at which a tape has its nominal length, °C.
#[must_use]
pub fn standard_temperature_c() -> Sourced {
    Sourced::new(20.0, "from memory", Standing::FromMemory)
}

/// Error of reading, plumbing and straightness of one taped distance, one standard deviation, m.
#[must_use]
pub fn tape_reading_sd_m() -> Sourced {
    Sourced::practice(0.02)
}

/// Error of one distance by a hand-held laser, one standard deviation, m.
#[must_use]
pub fn laser_reading_sd_m() -> Sourced {
    Sourced::practice(0.01)
}

/// Error of a right angle to a base line laid out by eye, one standard deviation, degrees.
#[must_use]
pub fn square_by_eye_sd_deg() -> Sourced {
    Sourced::practice(1.0)
}

/// Error of placing a mark of a tape network on the line's edge, one standard deviation, m.
#[must_use]
pub fn mark_on_line_sd_m() -> Sourced {
    Sourced::practice(0.02)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_at_fifty_metres() {
        // EU MID classes at 50 m: 5.1, 10.3 and 20.6 mm.
        for (class, mm) in [(TapeClass::I, 5.1), (TapeClass::II, 10.3), (TapeClass::III, 20.6)] {
            // The last printed digit.
            assert!((class.greatest_error_m(50.0).value * 1000.0 - mm).abs() < 1e-9);
        }
        assert_eq!(TapeClass::find("iii"), Some(TapeClass::III));
        assert_eq!(TapeClass::find("IV"), None);
    }
}
