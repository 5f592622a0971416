//! Cards side by side on a larger sheet, to be printed and cut.
//!
//! Four A6 fill an A4 but for a millimetre of its height, so the cuts run on the cards' own edges: one cut down, one
//! cut across, and every piece is a card. The marks lie on the cuts, within the margins that cards leave free.

use super::{Colour, Dash, Ends, Group, Item, Page, Paper, Path, Role, Step, Stroke, Text};
use crate::units::Invalid;

/// Which side of a sheet that is printed on both is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetSide {
    /// The side that is printed first.
    Front,
    /// The other, its columns changed over, so that each card's back lies behind its front where the sheet is turned
    /// about its long edge.
    Back,
}

/// How far a mark runs in from the sheet's edge, mm: beyond the 4 to 5 mm that office printers leave white.
const MARK_MM: f64 = 9.0;
/// Each arm of the cross where the cuts meet, mm.
const CROSS_MM: f64 = 4.0;
const MARK_WIDTH_MM: f64 = 0.15;

/// One to four cards of A6 on an upright A4 with cut marks; of fewer than four the first ones again until it is full.
///
/// A card that stands on the sheet already is drawn again as decoration, so that it is read aloud once. Names and
/// links are left out: cut paper leads nowhere.
///
/// # Errors
/// [`Invalid`] for no card or more than four, one that is not A6 upright, or one whose groups lie so deep that they
/// can't lie one deeper.
///
/// # Examples
/// ```
/// use ovalpeg::page::{Page, Paper, SheetSide, four_up};
/// let card = Page::new(Paper::A6.size_mm(), "Card", "", Vec::new())?;
/// let sheet = four_up(&[card], SheetSide::Front, "Card, four times")?;
/// assert_eq!((sheet.width_mm(), sheet.height_mm()), Paper::A4.size_mm());
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
pub fn four_up(cards: &[Page], side: SheetSide, title: impl Into<String>) -> Result<Page, Invalid> {
    if cards.is_empty() || cards.len() > 4 {
        return Err(Invalid::Impossible { what: "a sheet takes one to four cards, no fewer and no more" });
    }
    let (width, height) = Paper::A6.size_mm();
    if cards.iter().any(|c| (c.width_mm() - width).abs() > 0.01 || (c.height_mm() - height).abs() > 0.01) {
        return Err(Invalid::Impossible { what: "a card that is not A6, upright, can't go four to a sheet" });
    }
    let sheet = Paper::A4.size_mm();
    // What is left of the height goes to the outer edges.
    let spare = 0.5 * (sheet.1 - 2.0 * height);
    let mut items: Vec<Item> = Vec::new();
    for place in 0..4 {
        let (row, column) = (place / 2, place % 2);
        let column = if side == SheetSide::Front { column } else { 1 - column };
        let at = (f64::from(column) * width, spare + f64::from(row) * height);
        let number = place as usize;
        let card = &cards[number % cards.len()];
        let again = number >= cards.len() || cards[..number].contains(card);
        let role = if again { Role::Decoration } else { Role::Section };
        let mut group = Group::new(role).titled(card.title()).described(card.description());
        moved(card.items(), at)?.into_iter().for_each(|item| group.push(item));
        items.push(group.into());
    }
    items.push(marks((width, spare + height), sheet)?.into());
    let names: Vec<&str> = cards.iter().map(Page::title).collect();
    let description = format!("Four cards to be cut out: {}.", names.join("; "));
    Page::new(sheet, title, description, items)
}

/// The marks of a cut down at `x` and a cut across at `y`.
fn marks((x, y): (f64, f64), (width, height): (f64, f64)) -> Result<Group, Invalid> {
    let mut group = Group::new(Role::Decoration);
    for (from, to) in [
        ((x, 0.0), (x, MARK_MM)),
        ((x, height - MARK_MM), (x, height)),
        ((0.0, y), (MARK_MM, y)),
        ((width - MARK_MM, y), (width, y)),
        ((x - CROSS_MM, y), (x + CROSS_MM, y)),
        ((x, y - CROSS_MM), (x, y + CROSS_MM)),
    ] {
        group.push(Stroke::new(Path::line(from, to), MARK_WIDTH_MM, Colour::BLACK)?);
    }
    Ok(group)
}

/// The same items elsewhere, without names and links.
fn moved(items: &[Item], by: (f64, f64)) -> Result<Vec<Item>, Invalid> {
    items.iter().map(|item| moved_item(item, by)).collect()
}

fn moved_item(item: &Item, by: (f64, f64)) -> Result<Item, Invalid> {
    Ok(match item {
        Item::Stroke(stroke) => {
            let mut out = Stroke::new(moved_path(stroke.path(), by), stroke.width_mm(), stroke.colour())?;
            if let Some(Dash { on_mm, off_mm }) = stroke.dash() {
                out = out.dashed(on_mm, off_mm)?;
            }
            if stroke.ends() == Ends::Round { out.round().into() } else { out.into() }
        }
        Item::Area(area) => super::Area::new(moved_path(area.path(), by), area.colour())?.into(),
        Item::Text(text) => {
            let (x, y) = text.at_mm();
            let at = (x + by.0, y + by.1);
            let out = Text::new(&text.said(), at, text.size_pt(), text.weight(), text.colour())?;
            out.anchored(text.anchor()).into()
        }
        Item::Group(group) => {
            let mut out = Group::new(group.role());
            if let Some(title) = group.title() {
                out = out.titled(title);
            }
            if let Some(description) = group.description() {
                out = out.described(description);
            }
            moved(group.items(), by)?.into_iter().for_each(|item| out.push(item));
            out.into()
        }
    })
}

fn moved_path(path: &Path, by: (f64, f64)) -> Path {
    let to = |(x, y): (f64, f64)| (x + by.0, y + by.1);
    let mut out = Path::default();
    for step in path.steps() {
        match *step {
            Step::Move(p) => out.move_to(to(p)),
            Step::Line(p) => out.line_to(to(p)),
            Step::Cubic(a, b, c) => out.cubic_to(to(a), to(b), to(c)),
            Step::Close => out.close(),
        };
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::{Anchor, Area, Id, Weight};

    fn card(name: &str) -> Page {
        let mut label =
            Group::new(Role::Label).named(Id::new("silo").unwrap()).linked(Id::new("help").unwrap());
        let text = Text::new(name, (52.5, 20.0), 10.0, Weight::SemiBold, Colour::BLACK).unwrap();
        label.push(text.anchored(Anchor::Middle));
        let rim = Stroke::new(Path::circle((52.5, 74.0), 40.0), 0.5, Colour::BLACK).unwrap();
        let mark = Area::new(Path::rectangle(1.0, 2.0, 3.0, 4.0), Colour::rgb(0x12_34_56)).unwrap();
        let items = vec![label.into(), rim.dashed(2.0, 1.0).unwrap().round().into(), mark.into()];
        Page::new(Paper::A6.size_mm(), name, "A card.", items).unwrap()
    }

    fn groups(sheet: &Page) -> Vec<&Group> {
        sheet
            .items()
            .iter()
            .map(|item| if let Item::Group(group) = item { group } else { panic!() })
            .collect()
    }

    /// Where the text of each of the four cards stands, and what it is to a reader.
    fn places(sheet: &Page) -> Vec<(String, (f64, f64), Role)> {
        groups(sheet)[..4]
            .iter()
            .map(|card| {
                let Item::Group(label) = &card.items()[0] else { panic!() };
                let Item::Text(text) = &label.items()[0] else { panic!() };
                (text.said(), text.at_mm(), card.role())
            })
            .collect()
    }

    #[test]
    fn four_cards_lie_apart_and_backs_behind_their_fronts() {
        let cards = ["a", "b", "c", "d"].map(card);
        let front = places(&four_up(&cards, SheetSide::Front, "Front").unwrap());
        let back = places(&four_up(&cards, SheetSide::Back, "Back").unwrap());
        let want = [("a", (52.5, 20.5)), ("b", (157.5, 20.5)), ("c", (52.5, 168.5)), ("d", (157.5, 168.5))];
        for (((said, at, role), (name, place)), behind) in front.iter().zip(want).zip(&back) {
            assert_eq!((said.as_str(), *at, *role), (name, place, Role::Section));
            // Turned about its long edge the sheet shows x where 210 − x was.
            assert_eq!((behind.0.as_str(), behind.1), (name, (210.0 - place.0, place.1)));
        }
    }

    #[test]
    fn a_card_that_is_there_already_is_read_once() {
        let sheet = four_up(&[card("a")], SheetSide::Front, "Four").unwrap();
        let roles: Vec<Role> = places(&sheet).into_iter().map(|(.., role)| role).collect();
        assert_eq!(roles, [Role::Section, Role::Decoration, Role::Decoration, Role::Decoration]);
        assert!(sheet.groups().all(|g| g.id().is_none() && g.link().is_none()));
        let three = four_up(&["a", "b", "c"].map(card), SheetSide::Front, "Three").unwrap();
        assert_eq!(places(&three)[3].0, "a");
    }

    #[test]
    fn a_moved_stroke_keeps_its_dashes_and_ends() {
        let sheet = four_up(&[card("a")], SheetSide::Back, "Four").unwrap();
        let Item::Stroke(rim) = &groups(&sheet)[0].items()[1] else { panic!() };
        assert_eq!((rim.dash().unwrap().on_mm, rim.ends(), rim.width_mm()), (2.0, Ends::Round, 0.5));
        let [l, t, ..] = rim.path().bounds_mm().unwrap();
        assert!((l - 117.5).abs() < 1e-4 && (t - 34.5).abs() < 1e-4, "{l} {t}");
    }

    #[test]
    fn cut_marks_reach_the_edges_and_stay_off_the_cards() {
        let sheet = four_up(&[card("a")], SheetSide::Front, "Four").unwrap();
        let marks = groups(&sheet)[4];
        assert_eq!((marks.role(), marks.items().len()), (Role::Decoration, 6));
        for item in marks.items() {
            let Item::Stroke(mark) = item else { panic!() };
            let [l, t, r, b] = mark.path().bounds_mm().unwrap();
            assert!(l >= 0.0 && t >= 0.0 && r <= 210.0 && b <= 297.0);
            // Each lies on a cut.
            assert!((l == 105.0 && r == 105.0) || (t == 148.5 && b == 148.5), "{item:?}");
        }
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        assert!(four_up(&[], SheetSide::Front, "").is_err());
        assert!(four_up(&["a", "b", "c", "d", "e"].map(card), SheetSide::Front, "").is_err());
        let a5 = Page::new(Paper::A5.size_mm(), "", "", Vec::new()).unwrap();
        assert!(four_up(&[a5], SheetSide::Front, "").is_err());
    }
}
