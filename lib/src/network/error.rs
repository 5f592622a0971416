//! Why a notebook can't be adjusted, with the mark or measure and what to do about it.

use crate::units::print::fixed;

/// Why a notebook can't be adjusted. Names and places are as in the notebook, unescaped.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum NetworkError {
    /// The notebook has no measure between marks.
    Empty,
    /// A mark, tape or measure that can't be used as it is.
    Wrong {
        /// Where in the notebook.
        place: String,
        /// What is wrong, and the remedy.
        what: String,
    },
    /// No measure reaches a mark.
    Unreached {
        /// The mark.
        mark: String,
        /// Where it is named.
        place: String,
        /// Another mark with such a similar name that one of them may be a slip.
        meant: Option<String>,
    },
    /// Only a single measure reaches a mark.
    OneTie {
        /// The mark.
        mark: String,
        /// Where it is named.
        place: String,
        /// Another mark with such a similar name that one of them may be a slip.
        meant: Option<String>,
        /// The measure, in words.
        from: String,
    },
    /// The length of a base line was not measured, so its far end is not determined.
    OpenBase {
        /// Its far end.
        mark: String,
        /// Where that is named.
        place: String,
        /// Its near end.
        from: String,
    },
    /// Several marks that are loose, each by itself: unreached,
    /// on a single tie, or at the far end of a base line.
    Several(Vec<NetworkError>),
    /// Both ties of a mark lie along one line.
    InLine {
        /// The mark.
        mark: String,
        /// The other ends of its ties.
        with: [String; 2],
    },
    /// Marks that no measure joins to the rest.
    Apart {
        /// The smaller part's marks.
        marks: Vec<String>,
        /// Where the first of them is named.
        place: String,
        /// One of them, and another mark with such a similar name that one of the two may be a slip.
        meant: Option<[String; 2]>,
    },
    /// Marks can move without changing any measure.
    Loose {
        /// The mark that moves the most.
        mark: String,
        /// Others that move with it, by at least half as much.
        with: Vec<String>,
    },
    /// A mark is known far worse than the measures to it.
    BadShape {
        /// The mark.
        mark: String,
        /// One standard deviation in its worst direction, m.
        semi_major_m: f64,
        /// That direction, clockwise from +y, degrees.
        bearing_deg: f64,
        /// Median standard deviation of its measures, m.
        sd_m: f64,
        /// The largest ratio accepted.
        limit: f64,
    },
    /// Marks that fit as well on either side of a line.
    TwoPlaces {
        /// The marks.
        marks: Vec<String>,
        /// Whether these are all the marks that are not held. Then no tie between them can tell the sides
        /// apart, only a given side or a third held mark.
        whole: bool,
        /// The line.
        line: [String; 2],
    },
    /// A mark is not on the side that the notebook says.
    OtherSide {
        /// The mark.
        mark: String,
        /// The line from the first to the second.
        line: [String; 2],
        /// Whether the notebook says left.
        left: bool,
        /// How far on the other side it is, m.
        by_m: f64,
    },
    /// The limit on iterations was reached, or the arithmetic failed.
    DidNotConverge {
        /// Iterations.
        after: usize,
        /// Length of the last step, m; NaN where there was none.
        last_step_m: f64,
        /// The reading that looks worst, in words, if one does.
        worst: Option<String>,
    },
}

/// A standard deviation above this has no meaning, m: it comes from
/// derivatives that hold only over some metres.
const HARDLY_M: f64 = 100.0;

/// Several loose marks by name, in groups by the kind of error.
fn several(list: &[NetworkError]) -> String {
    // Enough to start mending; the rest are counted.
    const MOST: usize = 12;
    let (mut unreached, mut one_tie, mut bases) = (Vec::new(), Vec::new(), Vec::new());
    for e in list.iter().take(MOST) {
        let meant =
            |m: &Option<String>| m.as_ref().map_or_else(String::new, |m| format!(", or is it '{m}'?"));
        match e {
            NetworkError::Unreached { mark, place, meant: m } => {
                unreached.push(format!("{mark} ({place}{})", meant(m)))
            }
            NetworkError::OneTie { mark, place, meant: m, .. } => {
                one_tie.push(format!("{mark} ({place}{})", meant(m)))
            }
            NetworkError::OpenBase { mark, place, from } => bases.push(format!("{from} to {mark} ({place})")),
            other => unreached.push(other.to_string()),
        }
    }
    let mut out = format!("{} marks hang loose:", list.len());
    let mut say = |what: &str, those: &[String]| {
        if !those.is_empty() {
            out += &format!(" {what} {};", those.join(", "));
        }
    };
    say("no measure reaches", &unreached);
    say("a single measure reaches", &one_tie);
    say("nothing says how long the base line is from", &bases);
    if list.len() > MOST {
        out += &format!(" and {} more;", list.len() - MOST);
    }
    out.pop();
    if !unreached.is_empty() || !one_tie.is_empty() {
        out += ". Tie each to at least two marks well to the side (three, to have a check), or take it out";
    }
    if !bases.is_empty() {
        out += ". Measure each base line";
    }
    out
}

fn did_you_mean(meant: Option<&str>) -> String {
    meant.map_or_else(String::new, |m| format!("did you mean '{m}'? If not: "))
}

fn names(list: &[String]) -> String {
    // A few names are enough; a part may hold a hundred marks.
    const MOST: usize = 5;
    match list {
        [] => String::new(),
        [one] => one.clone(),
        [some @ .., last] if list.len() <= MOST => format!("{} and {last}", some.join(", ")),
        _ => format!("{} and {} more", list[..MOST].join(", "), list.len() - MOST),
    }
}

fn verb(list: &[String], one: &'static str, many: &'static str) -> &'static str {
    if list.len() == 1 { one } else { many }
}

/// The message for marks that fit on either side of a line; with `whole` no tie between marks can tell.
fn two_places(marks: &[String], whole: bool, [from, to]: &[String; 2]) -> String {
    let (all, fit) = (names(marks), verb(marks, "fits", "fit"));
    let mark = marks.first().map_or("it", String::as_str);
    let way_on = if whole {
        "no tie between the marks can tell. Write on which side".to_owned()
    } else {
        format!("add a tie from {mark} to a mark off that line, or write on which side")
    };
    format!(
        "{all} {fit} as well on either side of the line from {from} to {to}: {way_on}: {mark} is left of {from} to {to} (or right of)"
    )
}

impl std::fmt::Display for NetworkError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Empty => f.write_str(
                "the notebook has no measure between marks: add ties (distances from mark to mark), or chainages and offsets",
            ),
            Self::Wrong { place, what } => write!(f, "{place}: {what}"),
            Self::Unreached { mark, place, meant } => write!(
                f,
                "{place}: no measure reaches {mark}: {}tie it to at least two marks (three, to have a check), or take it out",
                did_you_mean(meant.as_deref())
            ),
            Self::OneTie { mark, place, meant, from } => write!(
                f,
                "{place}: {mark} hangs loose: {from} alone reaches it. {}Add a tie from another mark, well to the side, and a third to have a check",
                did_you_mean(meant.as_deref())
            ),
            Self::OpenBase { mark, place, from } => write!(
                f,
                "{place}: {mark} hangs loose: nothing says how far it is from {from}. Measure the base line, and write {from} to {mark}: 160.00"
            ),
            Self::Several(list) => f.write_str(&several(list)),
            Self::InLine { mark, with } => write!(
                f,
                "{mark} hangs loose: its ties to {} and {} lie along one line, and it can slip across. Add a tie from a mark well to the side",
                with[0], with[1]
            ),
            Self::Apart { marks, place, meant } => {
                write!(
                    f,
                    "{place}: {} {} joined to the rest by no measure: ",
                    names(marks),
                    verb(marks, "is", "are")
                )?;
                if let Some([here, there]) = meant {
                    write!(f, "with '{here}', did you mean '{there}'? If not, ")?;
                }
                f.write_str("add ties across, at least three")
            }
            Self::Loose { mark, with } if with.is_empty() => {
                write!(f, "{mark} hangs loose: it can move and no measure shows it. Add a tie to it from a mark well to the side")
            }
            Self::Loose { mark, with } => write!(
                f,
                "{mark} hangs loose, with {}: they can move together and no measure shows it. Add a tie from {mark} to a mark on the far side of the rest",
                names(with)
            ),
            Self::BadShape { mark, semi_major_m, bearing_deg, sd_m, limit } => {
                let known = if semi_major_m.is_nan() || *semi_major_m > HARDLY_M {
                    format!(
                        "hardly known at all along {}°, by measures good to {} m",
                        fixed(*bearing_deg, 0),
                        fixed(*sd_m, 3)
                    )
                } else {
                    format!(
                        "known to {} m (one standard deviation, along {}°) by measures good to {} m, and at most {} times is accepted",
                        fixed(*semi_major_m, 2),
                        fixed(*bearing_deg, 0),
                        fixed(*sd_m, 3),
                        fixed(*limit, 0)
                    )
                };
                write!(f, "{mark} is badly fixed: {known}. Its lines cross too sharply: add a tie from a mark in that direction")
            }
            Self::TwoPlaces { marks, whole, line } => f.write_str(&two_places(marks, *whole, line)),
            Self::OtherSide { mark, line, left, by_m } => {
                let (said, found) = if *left { ("left", "right") } else { ("right", "left") };
                write!(
                    f,
                    "{mark} is said to be on the {said} from {} to {}, but the measures put it {} m to the {found}: is the side wrong, or a name?",
                    line[0],
                    line[1],
                    fixed(*by_m, 2)
                )
            }
            Self::DidNotConverge { after, last_step_m, worst } => {
                write!(f, "no best place of the marks was found in {after} steps")?;
                // There is no last step where the arithmetic failed before it.
                if last_step_m.is_finite() {
                    write!(f, " (the last moved one by {last_step_m:.2e} m)")?;
                }
                match worst {
                    Some(w) => write!(f, ": {w}?"),
                    None => f.write_str(": the measures hardly fix them, or contradict each other grossly"),
                }
            }
        }
    }
}

impl std::error::Error for NetworkError {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_stay_short_and_verbs_agree() {
        let apart = |marks: &[String]| NetworkError::Apart {
            marks: marks.to_vec(),
            place: "line 1".into(),
            meant: None,
        };
        let many: Vec<String> = (0..9).map(|i| format!("p{i}")).collect();
        let e = apart(&many);
        assert!(e.to_string().starts_with("line 1: p0, p1, p2, p3, p4 and 4 more are joined"), "{e}");
        let e = apart(&many[..2]);
        assert!(e.to_string().starts_with("line 1: p0 and p1 are joined"), "{e}");
        let e = apart(&many[..1]);
        assert!(e.to_string().starts_with("line 1: p0 is joined"), "{e}");
    }

    #[test]
    fn no_number_where_there_is_none() {
        for semi_major_m in [28_065.63, f64::INFINITY, f64::NAN] {
            let e = NetworkError::BadShape {
                mark: "p".into(),
                semi_major_m,
                bearing_deg: 30.0,
                sd_m: 0.02,
                limit: 30.0,
            };
            assert!(e.to_string().starts_with("p is badly fixed: hardly known at all along 30°"), "{e}");
        }
    }
}
