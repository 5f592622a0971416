//! Rounding and printing: the only place where a number becomes text.
//!
//! A length is printed as precisely as it is known and no more. A ± is always
//! rounded up, so that rounding never makes a value look better known than it is.

use super::Measured;

/// Decimals of metres in JSON: a micrometre, far below the error of any survey and far
/// above the last bits, in which two machines may differ.
pub const JSON_M_DECIMALS: i32 = 6;
/// Decimals of degrees (bearings, angles) in JSON: 3 mm at 200 km.
pub const JSON_DEG_DECIMALS: i32 = 6;
/// Decimals of latitude and longitude in JSON: a tenth of a millimetre.
pub const JSON_LATLON_DECIMALS: i32 = 9;

/// Rounds to a number of decimals; it never returns −0.
///
/// # Examples
/// ```
/// assert_eq!(ovalpeg::units::print::round_to(-0.0004, 3), 0.0);
/// ```
#[must_use]
pub fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    let scaled = value * scale;
    // Beyond 2^52 every double is whole already.
    let rounded = if scaled.abs() < 4.5e15 { scaled.round() / scale } else { value };
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Rounds to a number of significant digits, for covariances that differ by a dozen powers of ten.
#[must_use]
pub fn round_significant(value: f64, digits: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { 0.0 } else { value };
    }
    // Goes through text: that rounds the smallest numbers exactly too.
    let precision = usize::try_from(digits - 1).unwrap_or(0);
    format!("{value:.precision$e}").parse().unwrap_or(value)
}

/// A number with fixed decimals, rounded half away from zero; `-0.0` prints `0.0`.
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let places = i32::try_from(decimals).unwrap_or(0);
    format!("{:.decimals$}", round_to(value, places))
}

/// A number as a person would write it: up to four decimals, and no trailing zeros.
///
/// # Examples
/// ```
/// assert_eq!(ovalpeg::units::print::plain(15.0), "15");
/// assert_eq!(ovalpeg::units::print::plain(6.4), "6.4");
/// ```
#[must_use]
pub fn plain(value: f64) -> String {
    let text = fixed(value, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A number with every digit that was given. Very large and very small numbers get an exponent,
/// so that none prints as a long row of zeros.
#[must_use]
pub fn as_given(value: f64) -> String {
    let size = value.abs();
    if value == 0.0 || (1e-9..1e15).contains(&size) || !value.is_finite() {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// How many decimals to print of a value with this 95 % half-width: enough to show two
/// digits of the half-width where it starts with 1, and otherwise one; 0 to 3 decimals.
#[must_use]
pub fn decimals_for(half_width: f64) -> usize {
    if half_width <= 0.0 || !half_width.is_finite() {
        return 2;
    }
    let exponent = half_width.log10().floor();
    let lead = half_width / 10f64.powf(exponent);
    let wanted = if lead < 1.95 { 1.0 - exponent } else { -exponent };
    // 0 to 3 by the clamp, so the cast is exact.
    wanted.clamp(0.0, 3.0) as usize
}

/// To half a metre: `½`, `1½`, `2`.
#[must_use]
pub fn halves(m: f64) -> String {
    let halves = (m * 2.0).round();
    let (whole, half) = ((halves / 2.0).trunc(), halves.rem_euclid(2.0) != 0.0);
    match (whole == 0.0, half) {
        (true, true) => "½".to_owned(),
        (_, true) => format!("{}½", fixed(whole, 0)),
        _ => fixed(whole, 0),
    }
}

/// `162.4 m ± 0.3`; the ± is the 95 % half-width, rounded up.
///
/// # Examples
/// ```
/// use ovalpeg::units::{Measured, print};
/// let taped = Measured::new(162.412, 0.13, 0.27)?;
/// assert_eq!(print::measured(&taped, "m", print::PlusMinus::Unicode), "162.4 m ± 0.3");
/// let walked = Measured::new(161.9, 1.3, 2.6)?;
/// assert_eq!(print::measured(&walked, "m", print::PlusMinus::Unicode), "162 m ± 3");
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
#[must_use]
pub fn measured(m: &Measured, unit: &str, sign: PlusMinus) -> String {
    let decimals = decimals_for(m.half_width());
    let gap = if unit.is_empty() || unit == "°" { "" } else { " " };
    format!(
        "{}{gap}{unit} {} {}",
        fixed(m.value(), decimals),
        sign.text(),
        half_width(m.half_width(), decimals)
    )
}

/// As [`measured`], with at most `most_decimals` decimals: nobody needs millimetres of a
/// distance that is paced on grass.
#[must_use]
pub fn measured_roughly(m: &Measured, unit: &str, most_decimals: usize) -> String {
    let decimals = decimals_for(m.half_width()).min(most_decimals);
    let gap = if unit == "°" { "" } else { " " };
    format!("{}{gap}{unit} ± {}", fixed(m.value(), decimals), half_width(m.half_width(), decimals))
}

/// A 95 % half-width with this many decimals, rounded up and never zero.
#[must_use]
pub fn half_width(value: f64, decimals: usize) -> String {
    let scale = 10f64.powi(i32::try_from(decimals).unwrap_or(0));
    // A tiny amount is taken off first, so that 0.30000000000000004 prints as 0.3.
    let up = (value * scale - 1e-9).ceil().max(1.0) / scale;
    format!("{up:.decimals$}")
}

/// How ± is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlusMinus {
    /// `±`
    Unicode,
    /// `+/-`
    Ascii,
}

impl PlusMinus {
    /// The sign itself.
    #[must_use]
    pub fn text(self) -> &'static str {
        match self {
            Self::Unicode => "±",
            Self::Ascii => "+/-",
        }
    }
}

/// How many characters of a text from a file or an argument a message quotes at most.
pub const QUOTED_CHARS: usize = 60;

/// How many characters of a parser's message are kept at most: it may quote the file at length.
pub const CAUSE_CHARS: usize = 200;

/// Text from a file or an argument as a message quotes it: in quotation marks,
/// safe for a terminal, and cut where it is long.
///
/// # Examples
/// ```
/// use ovalpeg::units::print::quoted;
/// assert_eq!(quoted("12,5"), "'12,5'");
/// assert_eq!(quoted(&"9".repeat(5_000)), format!("'{}…'", "9".repeat(60)));
/// assert_eq!(quoted(&"\0".repeat(5_000)), format!("'{}…'", "\\u{0}".repeat(12)));
/// ```
#[must_use]
pub fn quoted(text: &str) -> String {
    format!("'{}'", cut(text, QUOTED_CHARS))
}

/// The first `most_chars` characters, safe for a terminal, with an ellipsis where there are more.
#[must_use]
pub fn cut(text: &str, most_chars: usize) -> String {
    let mut out = String::new();
    let mut room = most_chars;
    for c in text.chars() {
        let shown = for_terminal(c.encode_utf8(&mut [0; 4]));
        match room.checked_sub(shown.chars().count()) {
            Some(left) => room = left,
            None => return out + "…",
        }
        out.push_str(&shown);
    }
    out
}

/// A count with its noun: `1 point`, `12 points`.
#[must_use]
pub fn count(n: usize, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// The nearest of the eight compass points to a bearing in degrees, such as `NE`.
#[must_use]
pub fn compass_point(bearing_deg: f64) -> &'static str {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    // In 0..8 by the remainder, so the cast is exact.
    POINTS[((bearing_deg.rem_euclid(360.0) / 45.0).round() as usize) % 8]
}

/// Text from a file made safe for a terminal: control and bidirectional
/// formatting characters are shown as `\u{…}` instead of obeyed.
#[must_use]
pub fn for_terminal(text: &str) -> String {
    text.chars().map(|c| if is_obeyed(c) { c.escape_unicode().to_string() } else { c.to_string() }).collect()
}

/// Would a terminal obey this character instead of showing it? True for control characters
/// (a new line too), and for those that change the direction of writing or end a line.
#[must_use]
pub fn is_obeyed(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pm(value: f64, half: f64) -> String {
        measured(&Measured::new(value, half / 2.0, half).unwrap(), "m", PlusMinus::Ascii)
    }

    #[test]
    fn prints_no_more_than_is_known() {
        assert_eq!(pm(165.0123, 0.021), "165.01 m +/- 0.03");
        assert_eq!(pm(165.0123, 0.0142), "165.012 m +/- 0.015");
        assert_eq!(pm(165.0123, 1.2), "165.0 m +/- 1.2");
        assert_eq!(pm(165.0123, 12.0), "165 m +/- 12");
    }

    #[test]
    fn rounds_the_half_width_up() {
        assert_eq!(half_width(0.31, 1), "0.4");
        assert_eq!(half_width(0.1 + 0.2, 1), "0.3");
        assert_eq!(half_width(0.0, 2), "0.01");
    }

    #[test]
    fn never_prints_minus_nought() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(round_to(-1e-12, 6).to_string(), "0");
        assert_eq!(round_significant(-0.0, 5).to_string(), "0");
    }

    #[test]
    fn rounds_by_significant_digits_at_any_size() {
        assert_eq!(round_significant(1.234_567_89e-13, 4), 1.235e-13);
        assert_eq!(round_significant(-98_765.4, 3), -98_800.0);
    }

    #[test]
    fn names_the_eight_points() {
        for (deg, want) in [(0.0, "N"), (22.4, "N"), (22.6, "NE"), (180.0, "S"), (337.6, "N"), (-45.0, "NW")]
        {
            assert_eq!(compass_point(deg), want, "{deg}");
        }
    }

    #[test]
    fn shows_control_characters_instead_of_obeying_them() {
        assert_eq!(for_terminal("a\u{1b}[31mb\u{202e}c"), "a\\u{1b}[31mb\\u{202e}c");
        // A second pass changes nothing.
        assert_eq!(for_terminal(&for_terminal("\u{9b}2J\n\u{2028}")), "\\u{9b}2J\\u{a}\\u{2028}");
    }

    #[test]
    fn no_number_takes_a_line_of_noughts() {
        for (v, want) in
            [(0.0, "0"), (1e-6, "0.000001"), (-1e5, "-100000"), (1e300, "1e300"), (3e-12, "3e-12")]
        {
            assert_eq!(as_given(v), want);
        }
    }
}
