//! Pages as a PDF that can be read aloud: tagged, with bookmarks, its fonts embedded as far as they are used
//! (PDF/UA-1, ISO 14289-1).

mod bookmarks;
mod draw;
mod imprint;
mod links;
mod refused;
mod tags;

pub use imprint::Imprint;
pub use refused::PdfRefused;

use krilla::Document;
use krilla::SerializeSettings;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::page::PageSettings;
use krilla::tagging::TagTree;

use crate::page::Page;
use draw::{Fonts, pt};
use tags::Shared;

/// Pages as one PDF, in their order. The same pages and imprint are the same bytes.
///
/// A page is read in the order of its items. A group's link leads to the part of that name on its own page, or else
/// to the first in the document; one to what no page holds is left out. Characters that the fonts lack are boxes
/// with their numbers, and are still found, copied and heard as themselves.
///
/// # Errors
/// [`PdfRefused`] for no page, a picture without a description or a heading of nothing, and for what the standard
/// forbids beyond that.
///
/// # Examples
/// ```
/// use ovalpeg::export::{Imprint, pdf};
/// use ovalpeg::page::{Colour, Page, Paper, Text, Weight};
/// let text = Text::new("SILO end", (10.0, 20.0), 11.0, Weight::SemiBold, Colour::BLACK)?;
/// let page = Page::new(Paper::A5.size_mm(), "Card", "Where to stand.", vec![text.into()])?;
/// let bytes = pdf(&[page], &Imprint::new("Card", "", "2026-08-01".parse()?)?)?;
/// assert!(bytes.starts_with(b"%PDF-1.7"));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn pdf(pages: &[Page], imprint: &Imprint) -> Result<Vec<u8>, PdfRefused> {
    if pages.is_empty() {
        return Err(PdfRefused::NoPage);
    }
    let fonts = Fonts::load()?;
    let mut document = Document::new_with(settings()?);
    document.set_metadata(imprint.metadata(pages));
    let targets = links::Targets::of(pages);
    let mut tree = TagTree::new().with_lang(Some(imprint::LANGUAGE.to_owned()));
    let (mut bookmarks, mut level) = (Vec::new(), 0);
    let mut shared = Shared { fonts: &fonts, bookmarks: &mut bookmarks, level: &mut level };
    for (number, page) in pages.iter().enumerate() {
        let size = PageSettings::from_wh(pt(page.width_mm()), pt(page.height_mm()));
        let mut written = document.start_page_with(size.unwrap_or_default());
        let links = links::add(page, number, &targets, &mut written);
        let read = tags::draw(written.surface(), page, number, &links, &mut shared)?;
        written.finish();
        read.into_iter().for_each(|section| tree.push(section));
    }
    document.set_tag_tree(tree);
    document.set_outline(bookmarks::outline(bookmarks));
    document.finish().map_err(|error| refused::refused(&error))
}

fn settings() -> Result<SerializeSettings, PdfRefused> {
    let configuration = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let none = |_| PdfRefused::Forbidden {
        what: vec!["a version of PDF that its standard doesn't know".to_owned()],
    };
    Ok(SerializeSettings { configuration: configuration.map_err(none)?, ..SerializeSettings::default() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::{Area, Colour, Group, Id, Item, Path, Role, Stroke, Text, Weight};
    use proptest::prelude::*;

    /// What people and files bring along.
    fn hostile() -> Vec<String> {
        let mut all: Vec<String> = [
            "<script>alert(1)</script>",
            "\"'&<>\\()[]{}%/",
            "\u{0}\u{1}\u{7}\u{1b}[31m\u{7f}\u{85}\r\n\t",
            "\u{202e}live\u{202c} \u{2066}x\u{2069} \u{200f}\u{feff}\u{fffe}\u{ffff}",
            "עומד ליד הסילו",
            "الصومعة",
            "粮仓 サイロ 사일로",
            "🏉👨‍👩‍👧🇦🇺 e\u{301}\u{fe0f}",
            "\u{e000}\u{10ffff}\u{d7ff}",
            "",
            "   ",
        ]
        .map(str::to_owned)
        .into();
        all.push("n".repeat(10_000));
        all
    }

    fn text(said: &str, at: (f64, f64)) -> Text {
        Text::new(said, at, 9.0, Weight::Regular, Colour::BLACK).unwrap()
    }

    fn group(role: Role, items: Vec<Item>) -> Group {
        let mut group = Group::new(role);
        items.into_iter().for_each(|item| group.push(item));
        group
    }

    fn rim() -> Item {
        Stroke::new(Path::circle((70.0, 100.0), 40.0), 0.5, Colour::BLACK).unwrap().into()
    }

    fn page(title: &str, items: Vec<Item>) -> Page {
        Page::new((148.0, 210.0), title, "A card.", items).unwrap()
    }

    fn written(pages: &[Page]) -> Result<Vec<u8>, PdfRefused> {
        pdf(pages, &Imprint::new("Card", "Where to stand.", "2026-08-01".parse().unwrap()).unwrap())
    }

    /// How often a name stands in the file, outside its packed streams.
    fn count(bytes: &[u8], name: &str) -> usize {
        bytes.windows(name.len()).filter(|window| *window == name.as_bytes()).count()
    }

    #[test]
    fn the_same_pages_of_the_same_day_are_the_same_bytes() {
        let pages = [page("Plan", vec![group(Role::Figure, vec![rim()]).described("An oval.").into()])];
        let of = |day: &str| pdf(&pages, &Imprint::new("Card", "", day.parse().unwrap()).unwrap()).unwrap();
        assert_eq!(of("2026-08-01"), of("2026-08-01"));
        assert_ne!(of("2026-08-01"), of("2026-08-02"));
        assert_eq!(count(&of("2026-08-01"), "D:20260801000000"), 2);
    }

    #[test]
    fn nothing_that_a_name_holds_stops_a_page_or_acts_in_it() {
        for name in hostile() {
            let label = group(Role::Label, vec![text(&name, (10.0, 20.0)).into()]).titled(&name);
            let heading =
                group(Role::Heading(2), vec![text(&name, (10.0, 10.0)).into()]).titled(format!("a{name}"));
            let picture = group(Role::Figure, vec![rim(), label.into()]);
            let picture = picture.titled(&name).described(format!("b{name}")).named(Id::new("plan").unwrap());
            let link = group(Role::Paragraph, vec![text("plan", (10.0, 30.0)).into()]);
            let link = link.titled(&name).linked(Id::new("plan").unwrap());
            let items = vec![heading.into(), picture.into(), link.into(), text(&name, (0.0, 0.0)).into()];
            let imprint = Imprint::new(&format!("c{name}"), &name, "2026-08-01".parse().unwrap()).unwrap();
            let bytes = pdf(&[page(&name, items)], &imprint).unwrap_or_else(|why| panic!("{name:?}: {why}"));
            assert!(bytes.starts_with(b"%PDF-1.7"));
            for act in ["\u{202e}", "\u{2066}"] {
                let utf16: Vec<u8> = act.encode_utf16().flat_map(u16::to_be_bytes).collect();
                let hex: String = utf16.iter().map(|byte| format!("{byte:02X}")).collect();
                assert_eq!(count(&bytes, act), 0, "{name:?}");
                assert!(!name.contains(act) || count(&bytes, &format!("FEFF{hex}")) == 0);
            }
        }
    }

    #[test]
    fn what_no_ear_could_follow_is_refused() {
        assert_eq!(written(&[]), Err(PdfRefused::NoPage));
        let mute = group(Role::Figure, vec![rim()]).titled("Plan");
        let refused = written(&[page("a", vec![]), page("b", vec![mute.into()])]).unwrap_err();
        assert_eq!(refused, PdfRefused::NoDescription { page: 2, picture: "Plan".to_owned() });
        assert_eq!(
            refused.to_string(),
            "page 2: 'Plan' has no description, so nothing of it could be read aloud"
        );
        let heading = group(Role::Heading(1), vec![text(" ", (10.0, 10.0)).into()]);
        assert_eq!(written(&[page("a", vec![heading.into()])]), Err(PdfRefused::NoHeading { page: 1 }));
    }

    #[test]
    fn headings_leave_out_no_level_on_the_way_down() {
        let heading = |level| group(Role::Heading(level), vec![text("WATCH", (10.0, 10.0)).into()]).into();
        let bytes =
            written(&[page("a", [2, 5, 1, 200].map(heading).into()), page("b", vec![heading(4)])]).unwrap();
        let found = ["/S/H1", "/S/H2", "/S/H3", "/S/H4"].map(|name| count(&bytes, name));
        assert_eq!(found, [2, 2, 1, 0], "{}", String::from_utf8_lossy(&bytes[..4000]));
    }

    #[test]
    fn a_link_leads_to_its_own_page_first_and_nowhere_if_nothing_has_the_name() {
        let id = |name: &str| Id::new(name).unwrap();
        let plan = |down| group(Role::Label, vec![text("silo", (10.0, down)).into()]).named(id("silo"));
        let to = |name: &str| group(Role::Paragraph, vec![text("see", (10.0, 50.0)).into()]).linked(id(name));
        let pages = [
            page("a", vec![to("silo").into(), to("nowhere").into()]),
            page("b", vec![plan(100.0).into()]),
            page("c", vec![plan(150.0).into(), to("silo").into()]),
        ];
        let targets = links::Targets::of(&pages);
        let found = |name: &str, from| targets.find(&id(name), from).map(|(spot, _)| spot.page);
        assert_eq!([0, 1, 2].map(|from| found("silo", from)), [Some(1), Some(1), Some(2)]);
        assert_eq!(found("nowhere", 0), None);
        let bytes = written(&pages).unwrap();
        assert_eq!((count(&bytes, "/Subtype/Link"), count(&bytes, "/S/Link")), (2, 2));
    }

    #[test]
    fn a_picture_is_one_piece_and_its_labels_are_read_after_it() {
        let label = |said| group(Role::Label, vec![text(said, (10.0, 20.0)).into(), rim()]).into();
        let beside = group(Role::Decoration, vec![text("not read", (10.0, 20.0)).into(), rim()]);
        let hole = Area::new(Path::circle((70.0, 100.0), 9.0), Colour::WHITE).unwrap();
        let items = vec![rim(), label("silo"), beside.into(), label("tap"), hole.into()];
        let bytes =
            written(&[page("a", vec![rim(), group(Role::Figure, items).described("An oval.").into()])])
                .unwrap();
        assert_eq!((count(&bytes, "/S/Figure"), count(&bytes, "/S/P/P ")), (1, 2));
        assert_eq!((count(&bytes, "/Alt(An oval.)"), count(&bytes, "/BBox[")), (1, 1));
    }

    #[test]
    fn a_character_that_the_fonts_lack_is_heard_as_itself_and_one_that_acts_by_its_number() {
        let bytes = written(&[page("a", vec![text("a中\u{202e}b", (10.0, 20.0)).into()])]).unwrap();
        let actual = "/ActualText<FEFF4E2D>";
        assert_eq!((count(&bytes, actual), count(&bytes, "/ActualText([U+202E])")), (1, 1), "{bytes:?}");
        assert_eq!(count(&bytes, "/S/Span/P "), 2);
    }

    #[test]
    fn what_lies_far_off_the_page_is_written_all_the_same() {
        let far = Path::polyline(&[(-1e300, 0.0), (1e300, 5.0)]);
        let items = vec![
            Stroke::new(far, 1.0, Colour::BLACK).unwrap().into(),
            text("far", (1e300, -1e300)).into(),
            Stroke::new(Path::line((5.0, 5.0), (5.0, 5.0)), 1.0, Colour::BLACK).unwrap().round().into(),
            group(Role::Figure, vec![text("only", (3.0, 4.0)).into()]).described("A word.").into(),
            group(Role::Section, vec![]).titled("Empty").into(),
        ];
        assert!(written(&[page("a", items), page("", vec![])]).is_ok());
    }
    /// What a group is made of, before names are given out.
    #[derive(Debug, Clone)]
    enum Made {
        Line,
        Words(String),
        Group(u8, String, Option<u8>, Vec<Made>),
    }

    fn made() -> impl Strategy<Value = Made> {
        let leaf = prop_oneof![Just(Made::Line), any::<String>().prop_map(Made::Words)];
        leaf.prop_recursive(5, 40, 5, |inner| {
            let parts = proptest::collection::vec(inner, 0..5);
            (0..9_u8, any::<String>(), proptest::option::of(0..12_u8), parts)
                .prop_map(|(role, title, link, parts)| Made::Group(role, title, link, parts))
        })
    }

    fn item(made: &Made, names: &mut u32) -> Item {
        let Made::Group(role, title, link, parts) = made else {
            return if let Made::Words(said) = made { text(said, (10.0, 20.0)).into() } else { rim() };
        };
        let role = match role {
            0 => Role::Section,
            1 => Role::Paragraph,
            2 | 3 => Role::Figure,
            4 => Role::Label,
            5 => Role::Decoration,
            level => Role::Heading(*level),
        };
        let id = |number: u32| Id::new(format!("part-{number}")).unwrap();
        let mut made = Group::new(role).titled(title).described("A picture.").named(id(*names));
        *names += 1;
        if let Some(link) = link {
            made = made.linked(id(u32::from(*link)));
        }
        parts.iter().for_each(|part| made.push(item(part, names)));
        made.into()
    }

    proptest! {
        // Each writes a file with its fonts, some milliseconds.
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn pages_of_any_groups_are_written(first in proptest::collection::vec(made(), 0..4), second in made()) {
            let mut names = 0;
            let first = first.iter().map(|made| item(made, &mut names)).collect();
            let pages = [page("a", first), page("b", vec![item(&second, &mut names)])];
            match written(&pages) {
                Ok(bytes) => prop_assert!(bytes.starts_with(b"%PDF-1.7")),
                Err(why) => prop_assert!(matches!(why, PdfRefused::NoHeading { .. }), "{why}"),
            }
        }
    }
}
