//! Made-up pages that use every part of a page, for the checks of what is written of pages and for their speed.

use ovalpeg::page::{Anchor, Area, Colour, Group, Id, Item, Page, Paper, Path, Role, Stroke, Text, Weight};
use ovalpeg::units::Invalid;

const INK: Colour = Colour::rgb(0x1b_1b_1b);
const GRASS: Colour = Colour::rgb(0xe7_f0_e2);
const TIGHT: Colour = Colour::rgb(0xb3_40_1e);

/// Names as clubs never send them, and others do.
pub const HOSTILE: [&str; 8] = [
    "<script>alert('x')</script> & \"quotes\"",
    "turned \u{202e}round\u{202c} and \u{2066}apart\u{2069}",
    "bells \u{7} and \u{1b}[31mcolours",
    "line\nends\tand tabs",
    "עומד ליד הסילו",
    "الصومعة",
    "粮仓 サイロ",
    "🏉 👨‍👩‍👧 e\u{301}",
];

fn text(said: &str, at: (f64, f64), size_pt: f64, weight: Weight) -> Result<Text, Invalid> {
    Text::new(said, at, size_pt, weight, INK)
}

fn group(role: Role, items: Vec<Item>) -> Group {
    let mut group = Group::new(role);
    items.into_iter().for_each(|item| group.push(item));
    group
}

/// Both sides of a card of A5: words, and a plan of some 400 items.
///
/// # Errors
/// None; the sizes are all within their ranges.
pub fn card(name: &str) -> Result<[Page; 2], Invalid> {
    Ok([words(name)?, plan(name)?])
}

/// A card of A6, for a sheet of four.
///
/// # Errors
/// None; the sizes are all within their ranges.
pub fn small_card(name: &str) -> Result<Page, Invalid> {
    let heading = group(Role::Heading(1), vec![text(name, (8.0, 14.0), 14.0, Weight::SemiBold)?.into()]);
    let rim = Stroke::new(Path::circle((52.5, 80.0), 40.0), 0.5, INK)?;
    let label = group(Role::Label, vec![text("silo", (52.5, 60.0), 7.0, Weight::Regular)?.into()]);
    let plan =
        group(Role::Figure, vec![rim.into(), label.into()]).titled("Plan").described("A round ground.");
    Page::new(Paper::A6.size_mm(), name, "A small card.", vec![heading.into(), plan.into()])
}

fn words(name: &str) -> Result<Page, Invalid> {
    let title = group(Role::Heading(1), vec![text(name, (10.0, 16.0), 16.0, Weight::SemiBold)?.into()]);
    let rule = Stroke::new(Path::line((10.0, 19.0), (138.0, 19.0)), 0.4, INK)?.round();
    let mut items: Vec<Item> = vec![title.into(), group(Role::Decoration, vec![rule.into()]).into()];
    for (part, heading) in ["WATCH", "FACE", "START"].into_iter().enumerate() {
        let y = 28.0 + 40.0 * part as f64;
        let head = text(heading, (10.0, y), 11.0, Weight::SemiBold)?;
        let mut section = group(Role::Section, vec![group(Role::Heading(2), vec![head.into()]).into()]);
        let mut lines = Vec::new();
        for (at, line) in
            ["fence 2.4 m from the", "line at the silo pocket,", "throw on 170°"].into_iter().enumerate()
        {
            lines.push(text(line, (10.0, y + 6.0 + 5.0 * at as f64), 11.0, Weight::Regular)?.into());
        }
        section.push(group(Role::Paragraph, lines));
        let see = text("see the silo → on the plan", (10.0, y + 22.0), 9.0, Weight::Regular)?;
        section.push(group(Role::Paragraph, vec![see.into()]).titled("The silo").linked(Id::new("spot-3")?));
        items.push(section.titled(heading).into());
    }
    for (at, hostile) in HOSTILE.into_iter().enumerate() {
        let kept = Text::cut(hostile, 128.0, 8.0, Weight::Regular);
        let line = text(&kept, (10.0, 150.0 + 6.0 * at as f64), 8.0, Weight::Regular)?;
        items.push(group(Role::Paragraph, vec![line.into()]).into());
    }
    Page::new(Paper::A5.size_mm(), format!("{name}: the card"), "Where to stand, and what to face.", items)
}

fn plan(name: &str) -> Result<Page, Invalid> {
    let centre = (74.0, 110.0);
    let at = |deg: f64, reach: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        (centre.0 + 0.65 * reach * cos, centre.1 + reach * sin)
    };
    let mut ring: Vec<(f64, f64)> = (0..180).map(|i| at(2.0 * f64::from(i), 78.0)).collect();
    let grass = Area::new(Path::polygon(&ring), GRASS)?;
    ring.push(ring[0]);
    let mut figure = vec![
        grass.into(),
        Stroke::new(Path::polyline(&ring), 0.8, INK)?.into(),
        Stroke::new(Path::circle(centre, 10.0), 0.3, INK)?.dashed(1.5, 1.0)?.into(),
        Stroke::new(Path::rounded(54.0, 90.0, 40.0, 40.0, 2.0), 0.3, INK)?.into(),
    ];
    let mut hollow = Path::circle((128.0, 24.0), 5.0);
    hollow.append(&Path::circle((128.0, 24.0), 3.0));
    figure.push(group(Role::Decoration, vec![Area::new(hollow, TIGHT)?.into()]).into());
    for i in 0..130 {
        let deg = 360.0 / 130.0 * f64::from(i);
        let tick = Path::line(at(deg, 76.0), at(deg, 80.0));
        let tick = Stroke::new(tick, 0.25, if i % 9 == 0 { TIGHT } else { INK })?;
        let dot = Area::new(Path::circle(at(deg, 82.0), 0.4), INK)?;
        let mut label: Vec<Item> = vec![tick.round().into(), dot.into()];
        if i % 5 == 0 {
            let (x, y) = at(deg, 86.0);
            let anchor = if deg.to_radians().cos() < 0.0 { Anchor::End } else { Anchor::Start };
            let named = text(&format!("spot {i}"), (x, y + 0.8), 7.0, Weight::Regular)?.anchored(anchor);
            label.push(named.into());
            let wide = text(&format!("{i}.5 m"), at(deg, 68.0), 7.0, Weight::SemiBold)?;
            label.push(wide.anchored(Anchor::Middle).into());
            let named = group(Role::Label, label).named(Id::new(format!("spot-{}", i / 5))?);
            figure.push(named.titled(format!("spot {i}")).into());
        } else {
            figure.append(&mut label);
        }
    }
    let end = text("SILO end", (74.0, 14.0), 11.0, Weight::SemiBold)?.anchored(Anchor::Middle);
    figure.push(group(Role::Label, vec![end.into()]).into());
    let plan = group(Role::Figure, figure).named(Id::new("plan")?).titled("Plan");
    let plan = plan.described("The ground from above, the silo end up the page, a label for each spot.");
    Page::new(Paper::A5.size_mm(), format!("{name}: the plan"), "The ground from above.", vec![plan.into()])
}
