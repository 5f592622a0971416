//! Turns words into tokens: names of this venue's ends and sides, named spots, distances, and the words that
//! describe places.

use super::lexeme::{Lexeme, lexemes};
use super::not_read::NotRead;
use crate::boundary::{End, Side};
use crate::ground::NamedSpot;
use crate::units::print::for_terminal;
use crate::venue::Names;

/// A word that describes a place, besides names and numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Along,
    Arc,
    Axis,
    Behind,
    Centre,
    Circle,
    Corner,
    From,
    Goal,
    GoalSide,
    GoalSquare,
    Inside,
    KickOff,
    Level,
    Line,
    Middle,
    Off,
    Out,
    Outside,
    Own,
    Past,
    Square,
    Start,
    Step,
    To,
    Top,
    Zone,
}

/// A token of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Token {
    End(End),
    Side(Side),
    Spot(NamedSpot),
    /// A number of metres; `true` where the unit was given.
    Metres(f64, bool),
    /// From one number of metres to another.
    Stretch(f64, f64),
    Word(Word),
}

/// Words that are ignored.
const EMPTY: [&str; 27] = [
    "the", "of", "on", "at", "in", "is", "it", "its", "and", "then", "by", "an", "straight", "away", "with",
    "end", "side", "carried", "spot", "ground", "place", "painted", "just", "there", "no", "room", "your",
];

const METRES: [&str; 5] = ["m", "metre", "metres", "meter", "meters"];

fn word(text: &str) -> Option<Word> {
    Some(match text {
        "along" => Word::Along,
        "arc" => Word::Arc,
        "axis" => Word::Axis,
        "behind" => Word::Behind,
        "centre" | "center" => Word::Centre,
        "circle" => Word::Circle,
        "corner" => Word::Corner,
        "from" | "front" => Word::From,
        "goal" | "goals" => Word::Goal,
        "inside" => Word::Inside,
        "level" => Word::Level,
        "line" | "sideline" => Word::Line,
        "middle" | "midpoint" => Word::Middle,
        "off" => Word::Off,
        "out" => Word::Out,
        "outside" | "wide" => Word::Outside,
        "own" => Word::Own,
        "past" | "beyond" => Word::Past,
        "square" => Word::Square,
        "start" => Word::Start,
        "to" | "toward" | "towards" => Word::To,
        "top" => Word::Top,
        "zone" => Word::Zone,
        _ => return None,
    })
}

/// The token of two words that belong together; the inner `None` where they are ignored.
fn pair(first: &str, second: &str) -> Option<Option<Token>> {
    Some(Some(match (first, second) {
        // Here `a` is the article and not end A.
        ("a", "place") => return Some(None),
        ("a", "step") => Token::Word(Word::Step),
        ("arc", "end") => Token::Spot(NamedSpot::ArcEnd),
        ("behind", "post") => Token::Spot(NamedSpot::Post),
        ("goal", "line") => Token::Word(Word::Goal),
        ("goal", "square") => Token::Word(Word::GoalSquare),
        ("goal", "axis") => Token::Word(Word::Axis),
        ("goal", "side") => Token::Word(Word::GoalSide),
        ("centre" | "center", "square") => Token::Word(Word::Square),
        ("centre" | "center", "circle") => Token::Word(Word::Circle),
        ("kick", "off") => Token::Word(Word::KickOff),
        _ => return None,
    }))
}

/// A name of an end or a side, cut into words.
struct Name {
    token: Token,
    words: Vec<Lexeme>,
}

/// Every known name: as it is written, as a terminal shows it, and `A`, `B`, `left` and `right`.
fn all_names(names: &Names) -> Vec<Name> {
    let ends = End::BOTH.map(|e| (Token::End(e), names.end(e), e.to_string()));
    let sides = Side::BOTH.map(|s| (Token::Side(s), names.side(s), s.to_string()));
    let mut out = Vec::new();
    for (token, printed, own) in ends.into_iter().chain(sides) {
        for text in [printed.to_owned(), for_terminal(printed), own] {
            let words = lexemes(&text);
            if !words.is_empty() {
                out.push(Name { token, words });
            }
        }
    }
    out
}

/// The longest names that the text here begins with, and how many words they take. There may be several of
/// equal length.
fn name_at(all: &[Name], here: &[Lexeme]) -> (usize, Vec<Token>) {
    let matches = |n: &Name| n.words.len() <= here.len() && n.words.iter().zip(here).all(|(a, b)| a.same(b));
    let longest = all.iter().filter(|n| matches(n)).map(|n| n.words.len()).max().unwrap_or(0);
    let found = all.iter().filter(|n| n.words.len() == longest && matches(n)).map(|n| n.token);
    (longest, distinct(found))
}

/// The fewest letters to which a name may be shortened.
const LETTERS: usize = 3;

/// As [`name_at`], for names that are shortened.
fn cut_name_at(all: &[Name], here: &[Lexeme]) -> (usize, Vec<Token>) {
    let begins = |n: &Name, count: usize| {
        let (last, before) = match here[..count].split_last() {
            Some((Lexeme::Word(w, _), before)) if w.chars().count() >= LETTERS || count > 1 => (w, before),
            _ => return false,
        };
        n.words.len() >= count
            && n.words.iter().zip(before).all(|(a, b)| a.same(b))
            && matches!(&n.words[count - 1], Lexeme::Word(w, _) if w.starts_with(last.as_str()))
    };
    // A name has few words.
    let most = all.iter().map(|n| n.words.len()).max().unwrap_or(0).min(here.len());
    for count in (1..=most).rev() {
        let found = distinct(all.iter().filter(|n| begins(n, count)).map(|n| n.token));
        if !found.is_empty() {
            return (count, found);
        }
    }
    (0, Vec::new())
}

fn distinct(tokens: impl Iterator<Item = Token>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    for t in tokens {
        if !out.contains(&t) {
            out.push(t);
        }
    }
    out
}

/// What a word means first where it is both a name and a common word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum First {
    /// The name of an end or a side of this ground.
    Names,
    /// The word that every ground has.
    Words,
}

fn text(lexeme: Option<&Lexeme>) -> &str {
    match lexeme {
        Some(Lexeme::Word(w, _)) => w,
        _ => "",
    }
}

/// A number of metres, or a stretch, and how many lexemes it takes.
fn metres_at(here: &[Lexeme]) -> Option<(usize, Token)> {
    let Some(Lexeme::Number(value, _)) = here.first() else { return None };
    let unit = usize::from(METRES.contains(&text(here.get(1))));
    let joins = matches!(here.get(1 + unit), Some(Lexeme::Dash)) || text(here.get(1 + unit)) == "to";
    if let (true, Some(Lexeme::Number(to, _))) = (joins, here.get(2 + unit)) {
        let unit_after = usize::from(METRES.contains(&text(here.get(3 + unit))));
        return Some((3 + unit + unit_after, Token::Stretch(*value, *to)));
    }
    Some((1 + unit, Token::Metres(*value, unit > 0)))
}

/// A word that every ground has, and how many lexemes it takes; the inner `None` where it is ignored.
fn word_at(here: &[Lexeme]) -> Option<(usize, Option<Token>)> {
    let (first, second) = (text(here.first()), text(here.get(1)));
    if let Some(token) = pair(first, second) {
        return Some((2, token));
    }
    if EMPTY.contains(&first) {
        return Some((1, None));
    }
    if let Some(w) = word(first) {
        return Some((1, Some(Token::Word(w))));
    }
    let spot = if first.is_empty() { None } else { NamedSpot::find(first) };
    spot.map(|s| (1, Some(Token::Spot(s))))
}

/// A text's tokens.
///
/// # Errors
/// [`NotRead::Unknown`] for a word without a meaning; [`NotRead::Ambiguous`] for one that may be several
/// names.
pub(super) fn tokens(names: &Names, said: &str, first: First) -> Result<Vec<Token>, NotRead> {
    let (all, lexemes) = (all_names(names), lexemes(said));
    let mut out = Vec::new();
    let mut i = 0;
    // Each pass takes at least one lexeme.
    while let Some(lexeme) = lexemes.get(i) {
        let here = &lexemes[i..];
        let word = word_at(here);
        let (mut taken, mut found) = name_at(&all, here);
        // `A` alone is an end, but in `a step` it is the article.
        let article = taken == 1 && text(here.first()) == "a" && word.is_some();
        if found.is_empty() || article || (first == First::Words && word.is_some()) {
            if let Some((n, token)) = word {
                out.extend(token);
                i += n;
                continue;
            }
            if let Some((n, token)) = metres_at(here) {
                out.push(token);
                i += n;
                continue;
            }
            (taken, found) = cut_name_at(&all, here);
        }
        match found[..] {
            [token] => out.push(token),
            [] => {
                return Err(NotRead::Unknown { word: lexeme.written().to_owned(), names: names.clone() });
            }
            _ => {
                let could = found.iter().map(|t| match t {
                    Token::End(e) => format!("the {} end", names.end(*e)),
                    Token::Side(s) => format!("the {} side", names.side(*s)),
                    _ => String::new(),
                });
                return Err(NotRead::Ambiguous { could: could.collect() });
            }
        }
        i += taken;
    }
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(all: [&str; 4]) -> Names {
        let [a, b, l, r] = all.map(str::to_owned);
        Names { ends: [a, b], sides: [l, r] }
    }

    fn read(all: [&str; 4], said: &str) -> Result<Vec<Token>, NotRead> {
        tokens(&names(all), said, First::Names)
    }

    const SHED: [&str; 4] = ["Lookout", "Packing Shed", "Orchard", "School"];

    #[test]
    fn names_are_found_in_every_dress_and_cut_short() {
        let shed = [Token::End(End::B), Token::Side(Side::Right)];
        for said in [
            "PACKING SHED/SCHOOL",
            "packing-shed, school",
            "Packing She/School",
            "the Packing Shed end, School side",
        ] {
            assert_eq!(read(SHED, said).unwrap(), shed, "{said}");
        }
        assert_eq!(read(SHED, "B right").unwrap(), shed);
        // The longest name that matches is meant; a shortened name that fits two is refused.
        let schools = ["School", "Silo", "Old School", "Old Road"];
        assert_eq!(read(schools, "Old School").unwrap(), [Token::Side(Side::Left)]);
        assert_eq!(read(schools, "School").unwrap(), [Token::End(End::A)]);
        let e = read(schools, "Old").unwrap_err().to_string();
        assert!(e.contains("Old School side") && e.contains("Old Road side"), "{e}");
    }

    #[test]
    fn what_is_no_word_is_named_as_it_was_written() {
        let e = read(SHED, "Orchard, Tower, 9").unwrap_err().to_string();
        assert!(e.contains("'Tower'") && e.contains("Packing Shed"), "{e}");
        // Two letters of a name are too few.
        assert!(read(SHED, "Or, 9").is_err());
    }

    #[test]
    fn a_name_that_is_a_word_too_is_read_either_way() {
        let odd = ["Centre", "Silo", "Hall", "Road"];
        let read = |first| tokens(&names(odd), "centre", first).unwrap();
        assert_eq!(read(First::Names), [Token::End(End::A)]);
        assert_eq!(read(First::Words), [Token::Word(Word::Centre)]);
    }

    #[test]
    fn stretches_and_units() {
        let of = |said| read(SHED, said).unwrap();
        assert_eq!(of("20-34 m"), [Token::Stretch(20.0, 34.0)]);
        assert_eq!(of("69 to 77 m"), [Token::Stretch(69.0, 77.0)]);
        assert_eq!(of("25m"), [Token::Metres(25.0, true)]);
        assert_eq!(of("25"), [Token::Metres(25.0, false)]);
        assert_eq!(of("arc-end"), [Token::Spot(NamedSpot::ArcEnd)]);
    }
}
