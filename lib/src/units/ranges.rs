//! The one table of limits on numbers, counts and texts. Every input uses it: arguments, venue
//! files, fit files and surveys. So a value that one of them accepts is refused by none.

use super::{Invalid, Problem, print};

/// The range that a number must lie in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    what: &'static str,
    unit: &'static str,
    least: f64,
    most: f64,
    remedy: &'static str,
}

/// The largest count of something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cap {
    what: &'static str,
    most: usize,
    remedy: &'static str,
}

const fn range(what: &'static str, unit: &'static str, least: f64, most: f64, remedy: &'static str) -> Range {
    Range { what, unit, least, most, remedy }
}

const fn cap(what: &'static str, most: usize, remedy: &'static str) -> Cap {
    Cap { what, most, remedy }
}

/// Latitude.
pub const LATITUDE_DEG: Range = range("latitude", "°", -90.0, 90.0, "decimal degrees, negative in the south");
/// Longitude.
pub const LONGITUDE_DEG: Range =
    range("longitude", "°", -180.0, 180.0, "decimal degrees, positive in the east");
/// Height of the ground above the ellipsoid: from below the lowest shore to above the highest town.
pub const HEIGHT_M: Range =
    range("height", "m", -1_000.0, 9_000.0, "the ground's height above the ellipsoid, in metres");
/// Zone of the Map Grid of Australia.
pub const MGA_ZONE: Range = range("MGA zone", "", 46.0, 59.0, "a whole number: 49 to 56 on the mainland");
/// x or y in a survey's own plane. The limit lets in a grid northing that was entered as y.
pub const PLANE_M: Range = range("x or y", "m", -1e7, 1e7, "metres from the survey's origin");
/// One standard deviation of a surveyed point.
pub const SIGMA_M: Range = range(
    "sigma",
    "m",
    1e-6,
    1_000.0,
    "one standard deviation of a point in metres, as in 0.02; left out where it is not known",
);
/// One standard deviation of a reading in a tape notebook.
pub const READING_SD_M: Range =
    range("sd", "m", 1e-5, 5.0, "sd is one standard deviation in metres, with a decimal point: sd 0.02");
/// Width of a painted line.
pub const LINE_WIDTH_M: Range = range("line width", "m", 0.01, 0.5, "metres, as in 0.1");
/// One standard deviation of the position of a survey as a whole.
pub const PLACE_SD_M: Range = range("place sd", "m", 0.0, 1_000.0, "one standard deviation in metres");
/// Length and width of a ground: from a children's ground to twice the largest that exists.
pub const GROUND_M: Range = range(
    "a ground's length or width",
    "m",
    20.0,
    400.0,
    "are the coordinates in metres, and of one ground?",
);
/// A distance from the line to a fence.
pub const FENCE_M: Range = range("distance", "m", 0.0, 500.0, "metres from the line");
/// Length of boundary line that one fence measure holds for.
pub const ALONG_M: Range = range("stretch of the line", "m", 0.0, 1_000.0, "metres along the line");
/// Radius of a hazard.
pub const HAZARD_RADIUS_M: Range = range("radius", "m", 0.0, 50.0, "metres, as in 0.5");
/// Width or height of a landmark.
pub const LANDMARK_SIZE_M: Range = range("size", "m", 0.0, 1_000.0, "metres");
/// Distance of a landmark.
pub const LANDMARK_AWAY_M: Range = range("distance", "m", 0.0, 1e6, "metres");
/// How far inside the surveyed line another configuration's line or rope lies.
pub const INSET_M: Range = range("inset", "m", 0.1, 60.0, "metres inside the surveyed line, all round");
/// How far a centre square is painted from the ground's centre, along or across.
pub const SQUARE_MOVED_M: Range =
    range("offset of the square", "m", -30.0, 30.0, "metres from the ground's centre to the square's");
/// How far a centre square is turned from the goal axis.
pub const SQUARE_TURN_DEG: Range =
    range("turn of the square", "°", -45.0, 45.0, "degrees from the goal axis, clockwise seen from above");
/// Radius of another code's circle or rope.
pub const MARK_RADIUS_M: Range = range("radius", "m", 0.5, 200.0, "metres, as in 27.43");
/// A bearing as a person writes it, 0 to 360 inclusive.
pub const BEARING_DEG: Range = range("bearing", "°", 0.0, 360.0, "degrees clockwise from north");
/// The version of a file's layout.
pub const SCHEMA_VERSION: Range = range("schema", "", 0.0, 1_000.0, "a whole number, as in 2");
/// A year that something was written in.
pub const YEAR: Range = range("year", "", 1_850.0, 2_200.0, "a whole number, as in 2026");
/// A residual or a departure from a fitted line, as a fit file keeps it.
pub const RESIDUAL_M: Range = range("residual", "m", -10_000.0, 10_000.0, "register the survey again");
/// A stretch of line, as a fit file keeps it.
pub const STRETCH_M: Range = range("stretch", "m", 0.0, 10_000.0, "register the survey again");

/// Landmarks of a venue: an official faces about eleven, chosen from a few dozen.
pub const LANDMARKS: Cap = cap("landmarks", 1_000, "keep those that officials face");
/// Hazards of a venue.
pub const HAZARDS: Cap = cap("hazards", 1_000, "keep those within reach of the line");
/// Places where the fence was measured.
pub const FENCE_MEASURES: Cap = cap("fence measures", 200, "give the fence's own line as corners instead");
/// Corners of a fence's line.
pub const FENCE_CORNERS: Cap = cap("fence corners", 1_000, "a corner each half metre of a fence is plenty");
/// Configurations of one ground.
pub const CONFIGURATIONS: Cap = cap("configurations", 20, "keep those that are played on");
/// Other codes' lines and areas on a ground.
pub const OTHER_MARKS: Cap = cap("other marks", 50, "keep those that officials see");
/// Corners of one such line or area.
pub const MARK_CORNERS: Cap = cap("corners", 500, "a corner each metre of a line is plenty");
/// Reports of what someone found wrong.
pub const REPORTS: Cap = cap("reports", 200, "take out those that were settled long ago");
/// Survey files that are adjusted as one.
pub const SURVEYS: Cap = cap("survey files", 20, "put surveys of one kind into one file");
/// Survey files beside the first, where several are adjusted as one.
pub const SURVEYS_WITH: Cap = cap("further survey files", SURVEYS.most - 1, SURVEYS.remedy);
/// Lines of help, and of notes.
pub const LINES: Cap = cap("lines", 20, "a card has room for a few");
/// Changes of a league to a rule set.
pub const CHANGES: Cap = cap("changes", 200, "put those of one reason into one");
/// Principal axes of a fit's uncertainty.
pub const AXES: Cap = cap("axes of the spread", 2_000, "register the survey again");
/// Problems that one refusal lists; the others are counted.
pub const LISTED: Cap = cap("problems", 20, "mend these first");
/// Characters of a text in a venue file.
pub const TEXT_CHARS: Cap = cap("characters", 200, "shorten it");
/// Characters of the printed name of an end or a side.
pub const NAME_CHARS: Cap = cap("characters", 20, "a card has room for a short name");
/// Characters of a venue's short name.
pub const ID_CHARS: Cap = cap("characters", 64, "shorten it");
/// Bytes of one file of a venue.
pub const FILE_BYTES: Cap = cap("bytes", 20_000_000, "leave out what is not this ground's");

impl Range {
    /// The smallest value.
    #[must_use]
    pub const fn least(&self) -> f64 {
        self.least
    }

    /// The largest value.
    #[must_use]
    pub const fn most(&self) -> f64 {
        self.most
    }

    /// What to do about a value outside.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        self.remedy
    }

    /// Is the value inside the range? NaN is not.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }

    /// Returns the value if it is in the range, with an error that suits a constructor.
    ///
    /// # Errors
    /// [`Invalid::NotFinite`] or [`Invalid::OutOfRange`].
    pub fn within(&self, value: f64) -> Result<f64, Invalid> {
        super::within(self.what, value, self.least, self.most)
    }

    /// Returns the value if it is in the range, with an error that suits a person.
    ///
    /// # Errors
    /// A [`Problem`] with the value, the range and the remedy; NaN is outside every range.
    pub fn check(&self, value: f64) -> Result<f64, Problem> {
        self.check_as(self.what, value)
    }

    /// As [`Range::check`], with `name` for the number in the error.
    ///
    /// # Errors
    /// A [`Problem`] with the value, the range and the remedy.
    pub fn check_as(&self, name: &str, value: f64) -> Result<f64, Problem> {
        if self.contains(value) {
            return Ok(value);
        }
        let p = Problem::new(format!("{name} is {}, outside {self}", print::as_given(value)));
        Err(p.hint(self.remedy))
    }

    /// Reads a number from text and checks it.
    ///
    /// # Errors
    /// A [`Problem`] with the range and the remedy, and with the value where the text is a number.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::units::ranges::SIGMA_M;
    /// assert_eq!(SIGMA_M.parse("0.02"), Ok(0.02));
    /// let e = SIGMA_M.parse("1e-7").unwrap_err().to_string();
    /// assert!(e.starts_with("sigma is 0.0000001, outside 0.000001 to 1000 m (hint: one standard"), "{e}");
    /// ```
    pub fn parse(&self, text: &str) -> Result<f64, Problem> {
        match text.trim().parse::<f64>() {
            Ok(v) if v.is_finite() => self.check(v),
            _ => Err(Problem::new(format!("{} is not a number, {self}", self.what)).hint(self.remedy)),
        }
    }
}

/// `0.01 to 0.5 m`.
impl std::fmt::Display for Range {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} to {}", print::as_given(self.least), print::as_given(self.most))?;
        match self.unit {
            "" => Ok(()),
            "°" => f.write_str("°"),
            unit => write!(f, " {unit}"),
        }
    }
}

impl Cap {
    /// The largest count.
    #[must_use]
    pub const fn most(&self) -> usize {
        self.most
    }

    /// What to do about more.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        self.remedy
    }

    /// Returns the count, or refuses one above the largest.
    ///
    /// # Errors
    /// How many there are, how many there may be, and the remedy.
    pub fn check(&self, count: usize) -> Result<usize, Problem> {
        if count <= self.most {
            return Ok(count);
        }
        let p = Problem::new(format!("there are {count} {}, and at most {} are read", self.what, self.most));
        Err(p.hint(self.remedy))
    }
}

/// What is wrong with a one-line text for people, if anything: it is empty, longer than `most`
/// characters, or holds control characters.
#[must_use]
pub fn text_trouble(text: &str, most: Cap) -> Option<Problem> {
    let chars = text.chars().count();
    if text.trim().is_empty() {
        return Some(Problem::new("is empty").hint(format!("1 to {} characters", most.most)));
    }
    if chars > most.most {
        let p = Problem::new(format!("has {chars} characters, and at most {} are taken", most.most));
        return Some(p.hint(most.remedy));
    }
    text.chars().any(char::is_control).then(|| {
        Problem::new("holds control characters").hint("one line of letters, digits, blanks and signs")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: &[Range] = &[
        LATITUDE_DEG,
        LONGITUDE_DEG,
        HEIGHT_M,
        MGA_ZONE,
        PLANE_M,
        SIGMA_M,
        READING_SD_M,
        LINE_WIDTH_M,
        PLACE_SD_M,
        GROUND_M,
        FENCE_M,
        ALONG_M,
        HAZARD_RADIUS_M,
        LANDMARK_SIZE_M,
        LANDMARK_AWAY_M,
        INSET_M,
        SQUARE_MOVED_M,
        SQUARE_TURN_DEG,
        MARK_RADIUS_M,
        BEARING_DEG,
        SCHEMA_VERSION,
        YEAR,
        RESIDUAL_M,
        STRETCH_M,
    ];

    #[test]
    fn ends_are_in_and_beyond_them_is_out_with_value_range_and_remedy() {
        for r in ALL {
            assert!(r.least < r.most, "{r:?}");
            for v in [r.least, r.most] {
                assert_eq!(r.check(v), Ok(v), "{r:?}");
                assert_eq!(r.within(v), Ok(v), "{r:?}");
            }
            for v in [r.least - 1.0, r.most + 1.0, f64::NAN, f64::INFINITY] {
                let e = r.check(v).unwrap_err();
                assert!(e.message().contains(&r.to_string()), "{e}");
                assert!(e.remedy().is_some_and(|h| !h.is_empty()), "{e}");
                assert!(r.within(v).is_err(), "{r:?}");
            }
            assert!(r.check(r.most + 1.0).unwrap_err().message().contains(&print::as_given(r.most + 1.0)));
        }
    }

    #[test]
    fn what_is_no_number_is_said_so() {
        for text in ["", "x", "NaN", "inf", "1,5"] {
            let e = SIGMA_M.parse(text).unwrap_err().to_string();
            assert!(e.contains("not a number") && !e.contains("NaN") && !e.contains("inf"), "{e}");
        }
    }

    #[test]
    fn counts_and_texts() {
        assert!(LANDMARKS.check(1_000).is_ok());
        assert!(LANDMARKS.check(20_000).unwrap_err().to_string().contains("20000 landmarks"));
        assert_eq!(text_trouble("Marrow Plains", TEXT_CHARS), None);
        for bad in ["", "  ", "a\nb", "\u{1b}[31m", &"x".repeat(201)] {
            assert!(text_trouble(bad, TEXT_CHARS).is_some(), "{bad:?}");
        }
    }
}
