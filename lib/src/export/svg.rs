//! A page as SVG: real text, each measured, with the names, titles and descriptions of its groups.
//!
//! A browser that lacks the font takes another, a tenth to a fifth wider: `textLength` holds each text to the width
//! that it was laid out with. Nothing in it is a script, a style or a reference to another file.

use crate::page::{
    Anchor, Area, Colour, Ends, Group, Item, Page, Path, Role, Run, Step, Stroke, Text, Weight,
};
use crate::units::print::{fixed, is_obeyed};

/// Families that are narrow where the one that the page was measured with is not to be had.
const FAMILIES: &str = "'IBM Plex Sans Condensed','Roboto Condensed','Arial Narrow','Liberation Sans Narrow',\
     'DejaVu Sans Condensed',sans-serif";

/// A page as an SVG document. Ids are those of the page's groups.
///
/// # Examples
/// ```
/// use ovalpeg::page::{Colour, Item, Page, Text, Weight};
/// let text = Text::new("a < b", (10.0, 20.0), 9.0, Weight::Regular, Colour::BLACK)?;
/// let page = Page::new((105.0, 148.0), "Title", "What is seen.", vec![Item::from(text)])?;
/// let svg = ovalpeg::export::page_svg(&page);
/// assert!(svg.contains(r#"viewBox="0 0 105 148""#) && svg.contains("a &lt; b"));
/// # Ok::<(), ovalpeg::units::Invalid>(())
/// ```
#[must_use]
pub fn page_svg(page: &Page) -> String {
    let mut out = String::with_capacity(64 * 1024);
    let (w, h) = (number(page.width_mm()), number(page.height_mm()));
    let role = if page.groups().any(|g| g.link().is_some()) { "group" } else { "img" };
    out.push_str(&format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" \
         lang=\"en\" role=\"{role}\" aria-labelledby=\"page-title\" aria-describedby=\"page-description\" \
         font-family=\"{FAMILIES}\" stroke-linejoin=\"round\">\n"
    ));
    out.push_str(&format!("<title id=\"page-title\">{}</title>\n", escaped(page.title())));
    out.push_str(&format!("<desc id=\"page-description\">{}</desc>\n", escaped(page.description())));
    out.push_str(&format!("<rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n"));
    items(&mut out, page.items());
    out.push_str("</svg>\n");
    out
}

/// Text and attributes alike: what would end or open something is written as its number, and what acts without
/// being seen, or is not allowed in XML at all, by its name in brackets.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if is_obeyed(c) || matches!(c, '\u{fffe}' | '\u{ffff}') => {
                out.push_str(&format!("[U+{:04X}]", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out
}

/// To a hundredth of a millimetre, a whole number without noughts.
fn number(mm: f64) -> String {
    let text = fixed(mm, 2);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn items(out: &mut String, all: &[Item]) {
    for item in all {
        match item {
            Item::Stroke(s) => stroke(out, s),
            Item::Area(a) => area(out, a),
            Item::Text(t) => text(out, t),
            Item::Group(g) => group(out, g),
        }
    }
}

fn group(out: &mut String, g: &Group) {
    if let Some(to) = g.link() {
        out.push_str(&format!("<a href=\"#{}\">\n", escaped(to.name())));
    }
    out.push_str("<g");
    if let Some(id) = g.id() {
        out.push_str(&format!(" id=\"{}\"", escaped(id.name())));
    }
    if g.role() == Role::Decoration {
        out.push_str(" aria-hidden=\"true\"");
    }
    out.push_str(">\n");
    if let Some(title) = g.title() {
        out.push_str(&format!("<title>{}</title>\n", escaped(title)));
    }
    if let Some(said) = g.description() {
        out.push_str(&format!("<desc>{}</desc>\n", escaped(said)));
    }
    items(out, g.items());
    out.push_str("</g>\n");
    if g.link().is_some() {
        out.push_str("</a>\n");
    }
}

fn path_data(path: &Path) -> String {
    let mut out = String::new();
    let place = |(x, y): (f64, f64)| format!("{} {}", number(x), number(y));
    for step in path.steps() {
        match *step {
            Step::Move(p) => out.push_str(&format!("M{}", place(p))),
            Step::Line(p) => out.push_str(&format!("L{}", place(p))),
            Step::Cubic(a, b, c) => out.push_str(&format!("C{} {} {}", place(a), place(b), place(c))),
            Step::Close => out.push('Z'),
        }
    }
    out
}

fn stroke(out: &mut String, s: &Stroke) {
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"",
        path_data(s.path()),
        s.colour().hex(),
        number(s.width_mm())
    ));
    if let Some(dash) = s.dash() {
        out.push_str(&format!(" stroke-dasharray=\"{} {}\"", number(dash.on_mm), number(dash.off_mm)));
    }
    if s.ends() == Ends::Round {
        out.push_str(" stroke-linecap=\"round\"");
    }
    out.push_str("/>\n");
}

fn area(out: &mut String, a: &Area) {
    out.push_str(&format!(
        "<path d=\"{}\" fill=\"{}\" fill-rule=\"evenodd\"/>\n",
        path_data(a.path()),
        a.colour().hex()
    ));
}

fn text(out: &mut String, t: &Text) {
    let (left, y) = t.left_mm();
    for run in t.runs() {
        match run {
            Run::Glyphs { text, from_mm, width_mm, .. } => {
                // Blanks at the ends of a run are room, and no browser keeps them.
                let lead = text.len() - text.trim_start_matches(' ').len();
                let shown = text.trim_matches(' ');
                if shown.is_empty() {
                    continue;
                }
                let size = t.size_pt();
                let room = |s: &str| Text::measure_mm(s, size, t.weight());
                let x = left + from_mm + room(&text[..lead]);
                let width = if shown.len() == text.len() { *width_mm } else { room(shown) };
                glyphs(out, t, shown, x, y, width);
            }
            Run::Boxed { .. } => items(out, &t.box_of(run)),
        }
    }
}

fn glyphs(out: &mut String, t: &Text, shown: &str, x: f64, y: f64, width: f64) {
    // Anchored as it was laid out, so that whatever a browser does to its width it stays where it belongs.
    let alone = t.runs().len() == 1;
    let (x, anchor) = match t.anchor() {
        Anchor::Middle if alone => (x + 0.5 * width, " text-anchor=\"middle\""),
        Anchor::End if alone => (x + width, " text-anchor=\"end\""),
        _ => (x, ""),
    };
    let weight = if t.weight() == Weight::SemiBold { " font-weight=\"600\"" } else { "" };
    let fill =
        if t.colour() == Colour::BLACK { String::new() } else { format!(" fill=\"{}\"", t.colour().hex()) };
    // Blanks side by side would be one.
    let fill = if shown.contains("  ") { format!("{fill} xml:space=\"preserve\"") } else { fill };
    out.push_str(&format!(
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{weight}{fill}{anchor} textLength=\"{}\" \
         lengthAdjust=\"spacingAndGlyphs\">{}</text>\n",
        number(x),
        number(y),
        number(t.size_mm()),
        number(width),
        escaped(shown)
    ));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::Id;

    fn svg(items: Vec<Item>) -> String {
        page_svg(&Page::new((105.0, 148.0), "T", "D", items).unwrap())
    }

    fn of(said: &str) -> String {
        svg(vec![Text::new(said, (10.0, 20.0), 9.0, Weight::SemiBold, Colour::rgb(0x102030)).unwrap().into()])
    }

    #[test]
    fn hostile_names_are_text_and_never_anything_else() {
        let name = "</text><script>alert(1)</script>\u{202e}\u{1}\"'&中";
        let mut g = Group::new(Role::Label).named(Id::new("a").unwrap()).titled(name).described(name);
        g.push(Text::new(name, (10.0, 20.0), 9.0, Weight::Regular, Colour::BLACK).unwrap());
        let page = Page::new((105.0, 148.0), name, name, vec![g.into()]).unwrap();
        let out = page_svg(&page);
        assert!(!out.contains("<script") && !out.contains('\u{202e}') && !out.contains('\u{1}'), "{out}");
        assert!(out.contains("&lt;/text&gt;&lt;script&gt;alert(1)&lt;/script&gt;"), "{out}");
        // In titles and descriptions by their names, in the text as boxes.
        assert_eq!(out.matches("[U+202E][U+0001]").count(), 4, "{out}");
        assert!(out.contains(">U+202E</text>") && out.contains(">U+4E2D</text>"), "{out}");
        let read = roxmltree::Document::parse(&out).unwrap();
        assert_eq!(read.descendants().filter(|n| n.has_tag_name("script")).count(), 0);
    }

    #[test]
    fn every_text_has_the_width_that_it_was_laid_out_with() {
        let out = of("fence 2.4 m");
        let width = Text::measure_mm("fence 2.4 m", 9.0, Weight::SemiBold);
        assert!(out.contains(&format!("textLength=\"{}\"", number(width))), "{out}");
        assert!(out.contains("lengthAdjust=\"spacingAndGlyphs\"") && out.contains("fill=\"#102030\""));
        // What is left of a text between boxes stands where it was measured.
        let out = of("a 中 b");
        let read = roxmltree::Document::parse(&out).unwrap();
        let xs: Vec<f64> = read
            .descendants()
            .filter(|n| n.has_tag_name("text"))
            .map(|n| n.attribute("x").unwrap().parse().unwrap())
            .collect();
        assert!(xs.len() == 3 && xs[0] < xs[1] && xs[1] < xs[2], "{xs:?}");
    }

    #[test]
    fn strokes_areas_and_links_are_what_they_say() {
        let mut g = Group::new(Role::Label).linked(Id::new("answer").unwrap());
        g.push(
            Stroke::new(Path::line((1.0, 2.0), (3.0, 4.5)), 0.3, Colour::BLACK)
                .unwrap()
                .dashed(1.0, 0.5)
                .unwrap(),
        );
        g.push(Area::new(Path::rectangle(0.0, 0.0, 2.0, 1.0), Colour::WHITE).unwrap());
        let out = svg(vec![g.into()]);
        for want in [
            "d=\"M1 2L3 4.5\"",
            "stroke-dasharray=\"1 0.5\"",
            "<a href=\"#answer\">",
            "role=\"group\"",
            "Z\"",
        ] {
            assert!(out.contains(want), "{want}\n{out}");
        }
        assert!(of("a").contains("role=\"img\""));
    }
}
