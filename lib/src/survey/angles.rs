//! Latitudes and longitudes as people write them: decimal degrees, degrees and decimal minutes, or
//! degrees, minutes and seconds, with a sign or the letter of a hemisphere.
//!
//! `-37.803417`, `37.803417° S`, `37° 48.205' S`, `37°48'12.3"S`, `37 48 12.3 S`, `S37 48 12.3`,
//! `-37:48:12.3`, `37d48m12.3s S`. Only the last number may have decimals. They may follow a comma
//! if there is something beside the number. A minus sign with a letter is refused, because it may
//! mean the same twice or the opposite.

use crate::units::{Problem, print};

/// Latitude or longitude.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    Latitude,
    Longitude,
}

impl Axis {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Latitude => "latitude",
            Self::Longitude => "longitude",
        }
    }
}

/// An angle as read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Angle {
    pub(super) deg: f64,
    /// The rounding step of its last printed digit, degrees, unless it is in decimal degrees.
    pub(super) step_deg: Option<f64>,
}

/// A piece of an angle's text.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Piece {
    /// A number: its value and its number of decimals.
    Number(f64, u32),
    /// A unit: 0 for degrees, 1 for minutes, 2 for seconds.
    Unit(usize),
    /// A lower-case `s`, which is seconds or south.
    S,
    /// A hemisphere: is it negative (south or west), and is it of latitude?
    Hemisphere(bool, bool),
}

/// Most numbers: degrees, minutes and seconds.
const PARTS: usize = 3;
/// Longest text that may be an angle, bytes.
const LONGEST: usize = 60;

/// Reads an angle.
pub(super) fn read(text: &str, axis: Axis) -> Result<Angle, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Problem::new(format!("{} is missing", axis.name())));
    }
    if let Ok(deg) = text.parse::<f64>()
        && deg.is_finite()
    {
        return Ok(Angle { deg, step_deg: None });
    }
    parts(text, axis)?.ok_or_else(|| {
        let p = Problem::new(format!("{} {} is not a number", axis.name(), print::quoted(text)));
        let digit = text.contains(|c: char| c.is_ascii_digit());
        match (axis, digit && text.contains(',')) {
            (_, true) => p.hint("write decimals with a point, and no separators of thousands"),
            (Axis::Latitude, _) if digit => p.hint("write it as -36.512345 or as 36 30 44.4 S"),
            (Axis::Longitude, _) if digit => p.hint("write it as 144.512345 or as 144 30 44.4 E"),
            _ => p,
        }
    })
}

/// The angle in degrees, minutes and seconds; `None` where the text is not an angle,
/// and an error where it is one but can't be right.
fn parts(text: &str, axis: Axis) -> Result<Option<Angle>, Problem> {
    let (negative, rest) = match text.strip_prefix(['-', '−', '–']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let Some(pieces) = pieces(rest) else { return Ok(None) };
    let mut numbers: Vec<(f64, u32)> = Vec::new();
    let mut hemisphere = None;
    let mut lettered = false;
    for (i, piece) in pieces.iter().enumerate() {
        match *piece {
            Piece::Number(v, decimals) => numbers.push((v, decimals)),
            Piece::Unit(unit) => {
                // A unit stands after its number.
                if numbers.len() != unit + 1
                    || !matches!(pieces.get(i.wrapping_sub(1)), Some(Piece::Number(..)))
                {
                    return Ok(None);
                }
                lettered = true;
            }
            // It means seconds if a letter for the hemisphere follows, or a sign came before.
            Piece::S
                if numbers.len() == PARTS
                    && lettered
                    && matches!(pieces.get(i.wrapping_sub(1)), Some(Piece::Number(..)))
                    && (negative || i + 1 < pieces.len()) => {}
            Piece::S | Piece::Hemisphere(..) => {
                let found =
                    if let Piece::Hemisphere(minus, ns) = *piece { (minus, ns) } else { (true, true) };
                if hemisphere.replace(found).is_some() || (i > 0 && i + 1 < pieces.len()) {
                    return Ok(None);
                }
            }
        }
    }
    let marked = lettered || hemisphere.is_some();
    if numbers.is_empty() || numbers.len() > PARTS || !(marked || numbers.len() > 1) {
        return Ok(None);
    }
    let whole = |n: &(f64, u32)| n.1 == 0;
    // A program that rounds only the last number may write 60.0, which is the next minute.
    let too_many = |i: usize, v: f64| if i + 2 == numbers.len() { v > 60.0 } else { v >= 60.0 };
    if !numbers.iter().rev().skip(1).all(whole)
        || numbers.iter().skip(1).enumerate().any(|(i, n)| too_many(i, n.0))
    {
        return Ok(None);
    }
    if let Some((_, north_south)) = hemisphere
        && north_south != (axis == Axis::Latitude)
    {
        return Err(Problem::new(format!("{} {} names the other axis", axis.name(), print::quoted(text)))
            .hint("are latitude and longitude swapped?"));
    }
    if negative && hemisphere.is_some() {
        return Err(Problem::new(format!(
            "{} {} has a minus sign and a letter: it may say south or west twice, or the opposite",
            axis.name(),
            print::quoted(text)
        ))
        .hint("keep the sign or the letter"));
    }
    let unit = [1.0, 60.0, 3600.0];
    let size: f64 = numbers.iter().zip(unit).map(|(n, per)| n.0 / per).sum();
    let south_or_west = negative || hemisphere.is_some_and(|h| h.0);
    let step_deg = match numbers.as_slice() {
        [.., (_, decimals)] if numbers.len() > 1 => {
            Some(10f64.powi(-(*decimals as i32)) / unit[numbers.len() - 1])
        }
        _ => None,
    };
    Ok(Some(Angle { deg: if south_or_west { -size } else { size }, step_deg }))
}

/// The text as numbers, units and letters; `None` if it has anything else.
fn pieces(text: &str) -> Option<Vec<Piece>> {
    if text.len() > LONGEST {
        return None;
    }
    let mut out = Vec::new();
    let mut rest = text;
    // Each round consumes at least one character.
    while let Some(c) = rest.chars().next() {
        let take = |holds: fn(char) -> bool| rest.find(|c| !holds(c)).unwrap_or(rest.len());
        let len = if c.is_ascii_digit() {
            let len = take(|c| c.is_ascii_digit() || c == '.' || c == ',');
            let number = rest[..len].replace(',', ".");
            let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
            out.push(Piece::Number(number.parse().ok()?, u32::try_from(decimals).ok()?));
            len
        } else if c.is_alphabetic() && c != 'º' {
            let len = take(|c| c.is_alphabetic() && c != 'º');
            out.push(word(&rest[..len])?);
            len
        } else if matches!(c, '°' | 'º' | '˚') {
            out.push(Piece::Unit(0));
            c.len_utf8()
        } else if is_prime(c) {
            let len = take(is_prime);
            // One prime is minutes, two are seconds.
            let primes = rest[..len].chars().count();
            out.push(if primes <= 2 { Piece::Unit(primes) } else { return None });
            len
        } else if matches!(c, '"' | '″' | '”' | '“') {
            out.push(Piece::Unit(2));
            c.len_utf8()
        } else if c == ':' || c.is_whitespace() {
            c.len_utf8()
        } else if c == '-' {
            // Between two digits it is a separator, as in 37-48-12.
            let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
            let before = text.get(..text.len() - rest.len())?.chars().next_back();
            if !(digit(before) && digit(rest.chars().nth(1))) {
                return None;
            }
            1
        } else {
            return None;
        };
        rest = rest.get(len..)?;
    }
    Some(out)
}

fn is_prime(c: char) -> bool {
    matches!(c, '\'' | '′' | '’' | '‘' | '´' | '`')
}

fn word(word: &str) -> Option<Piece> {
    if word == "s" {
        return Some(Piece::S);
    }
    Some(match word.to_lowercase().as_str() {
        "d" | "deg" | "degs" | "degree" | "degrees" => Piece::Unit(0),
        "m" | "min" | "mins" | "minute" | "minutes" => Piece::Unit(1),
        "sec" | "secs" | "second" | "seconds" => Piece::Unit(2),
        "n" | "north" => Piece::Hemisphere(false, true),
        "s" | "south" => Piece::Hemisphere(true, true),
        "e" | "east" => Piece::Hemisphere(false, false),
        "w" | "west" => Piece::Hemisphere(true, false),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn latitude(text: &str) -> Result<Angle, String> {
        read(text, Axis::Latitude).map_err(|p| p.to_string())
    }

    #[test]
    fn every_usual_writing_is_the_same_angle() {
        // 37 + 48/60 + 12.3/3600, by hand; and 48.205' is 48' 12.3".
        let want = -37.803_416_666_666_67;
        for text in [
            "37°48'12.3\"S",
            "37 48 12.3 S",
            "S37 48 12.3",
            "s 37 48 12.3",
            "-37:48:12.3",
            "−37:48:12.3",
            "-37 48 12.3",
            "37° 48.205' S",
            "37 48.205 S",
            "37° 48′ 12.3″ S",
            "37º48’12.3”S",
            "37° 48' 12.3'' S",
            "37°48'12,3\"S",
            "37d48m12.3s S",
            "-37d48m12.3s",
            "37 deg 48 min 12.3 sec south",
            "37-48-12.3 S",
            "37.80341666666667 S",
            "37.80341666666667°S",
            "S37,80341666666667",
        ] {
            let got = latitude(text).unwrap();
            // 1e-10 of a degree is a hundredth of a millimetre.
            assert!((got.deg - want).abs() < 1e-10, "{text}: {}", got.deg);
        }
        let east = read("144°57'36\"E", Axis::Longitude).unwrap();
        assert!((east.deg - 144.96).abs() < 1e-12);
        // Programs may round only the last number.
        assert!((latitude("36°41'60.0\"S").unwrap().deg + 36.7).abs() < 1e-12);
        assert!(latitude("36°41'60.1\"S").is_err());
        assert_eq!(latitude("0 30 0 S").unwrap().deg, -0.5);
        assert_eq!(latitude("-0:30").unwrap().deg, -0.5);
        assert_eq!(latitude("-37.5").unwrap(), Angle { deg: -37.5, step_deg: None });
    }

    #[test]
    fn the_printed_step_is_that_of_its_last_place() {
        for (text, want) in [
            ("37 48 12 S", Some(1.0 / 3600.0)),
            ("37 48 12.30 S", Some(0.01 / 3600.0)),
            ("37 48.205 S", Some(0.001 / 60.0)),
            ("37.8034 S", None),
        ] {
            let got = latitude(text).unwrap().step_deg;
            assert!(
                got.is_some() == want.is_some() && (got.unwrap_or(0.0) - want.unwrap_or(0.0)).abs() < 1e-15,
                "{text}: {got:?}"
            );
        }
    }

    #[test]
    fn what_may_be_two_things_is_refused() {
        for (text, want) in [
            ("-37 48 12 S", "a minus sign and a letter"),
            ("144 57 36 E", "names the other axis"),
            ("37 60 12 S", "is not a number"),
            ("37.5 48 12 S", "is not a number"),
            ("37°48\"S", "is not a number"),
            ("N 37 48 S", "is not a number"),
            ("37 48 12 5 S", "is not a number"),
            ("37,803", "with a point"),
            ("37,80,5 S", "is not a number"),
            ("37 48 --12", "is not a number"),
            ("°", "is not a number"),
            ("S", "is not a number"),
            ("inf", "is not a number"),
            ("37 apples", "36 30 44.4 S"),
            ("", "latitude is missing"),
        ] {
            let e = latitude(text).unwrap_err();
            assert!(e.contains(want), "{text}: {e}");
        }
    }
}
