//! Reads the rows of a notebook, each of which makes one statement.

use super::instrument::{Extras, Instrument};
use super::loose::{is_remark, reading_and_remark, side};
use super::words::{MAX_M, is_name, number, positive, sd_of, split_word};
use super::{Bears, Hand, Mark, Measure, Notebook, Quantity, Reader};
use crate::frame::Local;
use crate::geometry::Point;
use crate::rules::square_by_eye_sd_deg;
use crate::survey::Role;
use crate::units::ranges::PLANE_M;
use crate::units::{Problem, print};

impl Reader<'_> {
    pub(super) fn line(&mut self, line: &str, place: &str) -> Result<(), Problem> {
        let (head, rest) = line.split_once(':').map_or((line, None), |(h, r)| (h.trim(), Some(r.trim())));
        let (first, after) = head.split_once(char::is_whitespace).unwrap_or((head, ""));
        let tie = split_word(head, "to");
        match (first.to_lowercase().as_str(), rest) {
            ("tape" | "laser", Some(rest)) if tie.is_none() => {
                self.instrument(first.eq_ignore_ascii_case("tape"), after.trim(), rest, place)
            }
            ("with", None) if !after.is_empty() => {
                self.with = Some(self.find_instrument(after.trim())?);
                Ok(())
            }
            ("base", None) => {
                let (a, b) = split_word(after, "to").ok_or_else(|| {
                    Problem::new("a base line needs two marks").hint("write: base NW post to SW post")
                })?;
                self.base = Some([self.mark(a, place)?, self.mark(b, place)?]);
                if self.base.is_some_and(|[a, b]| a == b) {
                    return Err(Problem::new("a base line needs two different marks"));
                }
                Ok(())
            }
            ("at", _) => self.offset(after, rest, place),
            (_, Some(rest)) => match tie {
                Some((a, b)) => self.tie(a, b, rest, place),
                None => Err(not_understood(line)),
            },
            (_, None) => match split_word(line, "is") {
                _ if split_word(line, "bears").is_some() => self.bears(line, place),
                Some((name, what)) => self.is(name, what, place),
                None if tie.is_some() => Err(Problem::new("the measure is missing")
                    .hint("write it after a colon: NE goal post to peg 7: 62.40")),
                None => Err(not_understood(line)),
            },
        }
    }

    fn mark(&mut self, name: &str, place: &str) -> Result<usize, Problem> {
        let name = name.trim();
        if !is_name(name) || name.contains([',', ':']) {
            return Err(Problem::new(format!("{} is no name for a mark", print::quoted(name)))
                .hint("1 to 60 letters, digits and blanks, without commas and colons"));
        }
        let key = Notebook::key(name);
        if let Some(&i) = self.keys.get(&key) {
            return Ok(i);
        }
        self.keys.insert(key, self.book.marks.len());
        self.book.marks.push(Mark {
            name: name.to_owned(),
            role: Role::Unused,
            at: None,
            at_sd_m: None,
            place: place.to_owned(),
        });
        self.laid_out.push(false);
        self.said.push(None);
        Ok(self.book.marks.len() - 1)
    }

    fn tie(&mut self, a: &str, b: &str, rest: &str, place: &str) -> Result<(), Problem> {
        let mut parts = rest.split(',');
        let read_m = positive(self.reading(parts.next().unwrap_or(""), place), "the distance")?;
        let extras = self.extras(parts, place)?;
        let (value_m, sd_m, tape) = self.corrected(read_m, &extras)?;
        let quantity = match (a.to_lowercase().as_str(), b.to_lowercase().as_str()) {
            ("goal", "goal") => Quantity::GoalToGoal,
            ("wing", "wing") => Quantity::WingToWing,
            _ => Quantity::Distance { from: self.mark(a, place)?, to: self.mark(b, place)? },
        };
        if let Quantity::Distance { from, to } = quantity
            && from == to
        {
            return Err(Problem::new(format!("a tie from {} to itself", print::quoted(a))));
        }
        self.push(quantity, read_m, value_m, sd_m, tape, place);
        Ok(())
    }

    /// The number of a reading; a remark after it is noted. Any other text stays, and is refused later.
    fn reading<'t>(&mut self, text: &'t str, place: &str) -> &'t str {
        let (number, remark) = reading_and_remark(text);
        if remark.is_empty() {
            return number;
        }
        if self.notes(remark, place) { number } else { text }
    }

    /// Notes a text if it is a remark, which must not name a tape; returns whether it is one.
    pub(super) fn notes(&mut self, text: &str, place: &str) -> bool {
        let words = Notebook::key(text);
        let names = |i: &Instrument| words.split(' ').any(|w| w == Notebook::key(i.name()));
        let remark = is_remark(text) && !self.instruments.iter().any(names);
        if remark {
            self.remarks.push((place.to_owned(), text.trim().to_owned()));
        }
        remark
    }

    fn push(
        &mut self,
        quantity: Quantity,
        read_m: f64,
        value_m: f64,
        sd_m: f64,
        tape: Option<usize>,
        place: &str,
    ) {
        self.book.measures.push(Measure { quantity, read_m, value_m, sd_m, tape, place: place.to_owned() });
    }

    fn offset(&mut self, head: &str, rest: Option<&str>, place: &str) -> Result<(), Problem> {
        const HOW: &str = "write: at 20.00 left 31.40, or at 20.00 left 31.40: gate corner";
        let base = self.base.ok_or_else(|| {
            Problem::new("there is no base line yet").hint("write before it: base NW post to SW post")
        })?;
        // Without a name, the options are in the head.
        let mut head_parts = head.split(',');
        let measured = head_parts.next().unwrap_or("");
        let words: Vec<&str> = measured.split_whitespace().filter(|w| *w != "m").collect();
        let (along, word, off) = match words.as_slice() {
            [along, side, off, remark @ ..] if remark.is_empty() || self.notes(&remark.join(" "), place) => {
                (number(along, "the chainage")?, *side, number(off, "the offset")?)
            }
            _ => return Err(Problem::new("an offset needs chainage, side and offset").hint(HOW)),
        };
        let off = match side(word) {
            Some(true) => off,
            Some(false) => -off,
            None => {
                return Err(
                    Problem::new(format!("{} is neither left nor right", print::quoted(word))).hint(HOW)
                );
            }
        };
        if along.abs() > MAX_M || off.abs() > MAX_M {
            return Err(Problem::new(format!("chainage and offset reach {MAX_M} m at most")));
        }
        let mut parts = rest.unwrap_or("").split(',');
        let name = parts.next().unwrap_or("").trim().to_owned();
        let extras = self.extras(head_parts.chain(parts), place)?;
        self.offsets += 1;
        let name = if name.is_empty() { format!("boundary offset {}", self.offsets) } else { name };
        let mark = self.mark(&name, place)?;
        if base.contains(&mark) {
            return Err(Problem::new(format!("{} is an end of the base line itself", print::quoted(&name))));
        }
        self.laid_out[mark] = true;
        // A rise belongs to the tape along the base line, so it does not correct the offset.
        let (along_m, sd_m, tape) = self.corrected(along, &extras)?;
        let (off_m, _, _) = self.corrected(off, &Extras { rise_m: None, ..extras })?;
        // The chainage of an offset also has the error of the right angle, which was laid out by eye.
        let foot_sd = if extras.sd_m.is_some() {
            sd_m
        } else {
            sd_m.hypot(off.abs() * square_by_eye_sd_deg().value.to_radians().tan())
        };
        self.push(Quantity::Chainage { base, mark }, along, along_m, foot_sd, tape, place);
        self.push(Quantity::Offset { base, mark }, off, off_m, sd_m, tape, place);
        Ok(())
    }

    fn bears(&mut self, line: &str, place: &str) -> Result<(), Problem> {
        const HOW: &str = "write: peg 7 to peg 8 bears 347, degrees from true north";
        let (marks, deg) = split_word(line, "bears").unwrap_or((line, ""));
        let (a, b) =
            split_word(marks, "to").ok_or_else(|| Problem::new("a bearing needs two marks").hint(HOW))?;
        let bare = deg.trim().trim_end_matches(['T', 't']).trim_end_matches(['°', ' ']);
        let true_deg = match bare.parse::<f64>() {
            Ok(v) if (0.0..=360.0).contains(&v) => v,
            _ => {
                return Err(
                    Problem::new(format!("{} is no bearing from 0 to 360", print::quoted(deg))).hint(HOW)
                );
            }
        };
        let (from, to) = (self.mark(a, place)?, self.mark(b, place)?);
        if from == to {
            return Err(Problem::new("a bearing needs two different marks").hint(HOW));
        }
        if self.book.bears.is_some() {
            return Err(Problem::new("a second bearing").hint("one tells where north is: keep the better"));
        }
        self.book.bears = Some(Bears { from, to, true_deg, place: place.to_owned() });
        Ok(())
    }

    fn is(&mut self, name: &str, what: &str, place: &str) -> Result<(), Problem> {
        let mark = self.mark(name, place)?;
        let (word, after) = what.split_once(char::is_whitespace).unwrap_or((what, ""));
        let lower = what.to_lowercase();
        match word.to_lowercase().as_str() {
            "at" | "near" => {
                let at = word.eq_ignore_ascii_case("at");
                // With a semicolon between the numbers, each may have a decimal comma.
                let pointed = after.contains(';').then(|| after.replace(',', ".").replace(';', ","));
                let parts: Vec<&str> =
                    pointed.as_deref().unwrap_or(after).split(',').map(str::trim).collect();
                if pointed.is_none() && is_unsure(after) {
                    self.unsure.push(place.to_owned());
                }
                let (x, y, sd) = match parts.as_slice() {
                    [x, y] => (number(x, "x")?, number(y, "y")?, 0.0),
                    [x, y, sd] if at && sd.to_lowercase().starts_with("sd ") => {
                        (number(x, "x")?, number(y, "y")?, sd_of(&sd[3..])?)
                    }
                    _ => {
                        return Err(Problem::new("its place is not understood")
                            .hint("write: peg 7 is at 10.00, 20.00 or: peg 7 is at 10.00, 20.00, sd 0.05"));
                    }
                };
                let (x, y) = (PLANE_M.check_as("x", x)?, PLANE_M.check_as("y", y)?);
                let m = &mut self.book.marks[mark];
                if m.at.is_some() {
                    return Err(Problem::new(format!("{} has two places", print::quoted(&m.name))));
                }
                m.at = Some(Point::<Local>::new(x, y));
                m.at_sd_m = at.then_some(sd);
                Ok(())
            }
            "left" | "right" => {
                let of = after
                    .strip_prefix("of")
                    .map(str::trim)
                    .and_then(|t| split_word(t, "to"))
                    .ok_or_else(|| {
                        Problem::new("left or right of what?").hint("write: peg 9 is left of peg 7 to peg 8")
                    })?;
                let of = [self.mark(of.0, place)?, self.mark(of.1, place)?];
                if of[0] == of[1] || of.contains(&mark) {
                    return Err(Problem::new("it takes three different marks to tell a side"));
                }
                self.book.hands.push(Hand { mark, of, left: word.eq_ignore_ascii_case("left") });
                Ok(())
            }
            _ => {
                let bare = ["a ", "an ", "the "].iter().find_map(|p| lower.strip_prefix(p)).unwrap_or(&lower);
                self.said[mark] = Some(match bare {
                    "boundary" | "boundary point" | "line" => Role::Line,
                    "goal post" => Role::GoalPost,
                    "behind post" => Role::BehindPost,
                    "mark" | "peg" => Role::Unused,
                    _ => {
                        return Err(Problem::new(format!("{} is not understood", print::quoted(&format!("is {what}"))))
                            .hint("a mark is boundary, goal post, behind post or mark; is at x, y; is near x, y; is left of A to B"));
                    }
                });
                Ok(())
            }
        }
    }
}

/// Is there a comma directly between two digits, as in a decimal comma?
fn is_unsure(text: &str) -> bool {
    let digit = |b: Option<&u8>| b.is_some_and(u8::is_ascii_digit);
    let bytes = text.as_bytes();
    (1..bytes.len()).any(|i| bytes[i] == b',' && digit(bytes.get(i - 1)) && digit(bytes.get(i + 1)))
}

fn not_understood(line: &str) -> Problem {
    Problem::new(format!("{} is not understood", print::quoted(line))).hint(
        "ties are written: NE goal post to peg 7: 62.40; offsets: base A to B, then at 20.00 left 31.40",
    )
}
