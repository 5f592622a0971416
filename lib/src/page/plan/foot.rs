//! The foot of a page: where north and the sun are, what the marks mean, how large the ground is, who helps.

use super::block::wrapped;
use super::look::{INK, Look, PAINT, SIGHT, SOFT, SUN};
use super::space::Place;
use super::view::{View, off};
use crate::briefing::{Briefing, Drawing};
use crate::page::{Anchor, Area, Colour, Group, Id, MM_PER_PT, Path, Role, Stroke, Text, Weight};
use crate::units::Invalid;
use crate::units::print::{PlusMinus, fixed, measured, plain};
use crate::venue::Venue;

/// What stands in the foot.
#[derive(Debug, Clone)]
pub(super) struct Foot {
    /// Lines, each with its size and weight.
    lines: Vec<(String, f64, Weight, Colour)>,
    look: Look,
    width: f64,
    /// A sun no higher than this is in people's eyes, degrees.
    low_deg: f64,
}

/// Between the dial and the words, mm.
const GAP: f64 = 3.0;
/// From the scale's bar to the words beneath, mm.
const BAR: f64 = 2.2;
/// From one line to the next, as a part of its size.
const LEADING: f64 = 1.16;

impl Foot {
    /// The foot of a page of this width; `listed` are things that are told here for want of room on the plan.
    pub(super) fn new(
        venue: &Venue,
        b: &Briefing,
        look: &Look,
        width: f64,
        unsure: bool,
        listed: &[String],
    ) -> Self {
        let room = width - 2.0 * look.margin - 2.0 * reach(look) - GAP;
        let low_deg = venue.document.practice.glare_high_deg.value;
        let mut foot = Self { lines: Vec::new(), look: *look, width, low_deg };
        if !venue.document.help.is_empty() {
            let text = format!("HELP {}", venue.document.help.join(". "));
            foot.add(&text, room, look.name_pt, Weight::SemiBold, INK);
        }
        foot.add(&legend(venue, b, look, unsure), room, look.small_pt, Weight::Regular, INK);
        if !listed.is_empty() {
            foot.add(
                &format!("also seen: {}", listed.join("; ")),
                room,
                look.small_pt,
                Weight::Regular,
                SIGHT,
            );
        }
        let surveyed = format!("surveyed {}", venue.document.surveyed.month_and_year());
        let size = match (&b.sizes.length, &b.sizes.width) {
            (Some(l), Some(w)) => format!(
                "{} long, {} wide (95 %), {surveyed}.",
                measured(l, "m", PlusMinus::Unicode),
                measured(w, "m", PlusMinus::Unicode)
            ),
            _ => format!("Its size is not known for sure; {surveyed}."),
        };
        let look_first = "As surveyed: look before you back away. Thunder within 30 s of the flash: stop.";
        foot.add(&format!("{size} {look_first}"), room, look.small_pt, Weight::Regular, SOFT);
        foot
    }

    fn add(&mut self, text: &str, room: f64, size: f64, weight: Weight, colour: Colour) {
        self.lines.extend(wrapped(text, room, size, weight).into_iter().map(|l| (l, size, weight, colour)));
    }

    /// How high it is, mm.
    pub(super) fn height(&self) -> f64 {
        let text: f64 = self.lines.iter().map(|(_, size, ..)| LEADING * size * MM_PER_PT).sum();
        let bar = BAR + LEADING * self.look.small_pt * MM_PER_PT;
        (text + bar).max(2.0 * reach(&self.look))
    }

    /// What is drawn, its upper edge here.
    pub(super) fn draw(
        &self,
        b: &Briefing,
        d: &Drawing,
        view: &View,
        top: f64,
    ) -> Result<Vec<Group>, Invalid> {
        let look = &self.look;
        let around = reach(look);
        let dial = dial(b, d, look, self.low_deg, (look.margin + around, top + around))?;
        let left = look.margin + 2.0 * around + GAP;
        let mut words = Group::new(Role::Section).named(Id::new("foot")?);
        let mut y = top + 0.6;
        words.push(bar(view, look, (left, y), self.width - look.margin)?);
        y += BAR + LEADING * look.small_pt * MM_PER_PT;
        for (text, size, weight, colour) in &self.lines {
            let mut line = Group::new(Role::Paragraph);
            line.push(Text::new(text, (left, y + 0.2), *size, *weight, *colour)?);
            words.push(line);
            y += LEADING * size * MM_PER_PT;
        }
        Ok(vec![dial, words])
    }
}

/// From the dial's middle to what stands round it, mm.
fn reach(look: &Look) -> f64 {
    look.dial + 1.2 + 1.0 * look.small_pt * MM_PER_PT
}

fn legend(venue: &Venue, b: &Briefing, look: &Look, unsure: bool) -> String {
    let back = plain(venue.document.practice.back_m.value);
    let mut all = vec![format!("figures: metres WIDE of the line, {back} m back on the SHORT SIDE")];
    if b.start.is_some() {
        all.push("START: both full, or both hollow".to_owned());
    }
    if look.landmarks && venue.document.rules.throw_ins {
        all.push(
            "arrows: what to face, back to play; ½f R: half a fist at arm's length to its right".to_owned(),
        );
    }
    if unsure {
        all.push("grey band: the line is in it (95 %)".to_owned());
    }
    if let Some((first, last)) =
        b.sun.as_ref().filter(|_| look.sun).and_then(|s| s.times.first().zip(s.times.last()))
    {
        all.push(format!(
            "round the compass: the sun at each quarter, {} to {}, yellow where low",
            first.time, last.time
        ));
    }
    all.join(" · ")
}

/// North, magnetic north and the sun: end A is up, as on the plan.
fn dial(b: &Briefing, d: &Drawing, look: &Look, low_deg: f64, middle: Place) -> Result<Group, Invalid> {
    let r = look.dial;
    let mut g = Group::new(Role::Label).named(Id::new("dial")?).titled(said(b));
    g.push(Stroke::new(Path::circle(middle, r), 0.2, PAINT)?);
    let north = View::way(d.north);
    if let Some(magnetic) = d.magnetic {
        let way = View::way(magnetic);
        let (a, z) = (off(middle, way, -0.6 * r), off(middle, way, 0.45 * r));
        g.push(Stroke::new(Path::line(a, z), 0.25, SIGHT)?.dashed(0.8, 0.6)?);
        g.push(super::grass::head(z, way, 1.6, SIGHT)?);
    }
    // The letter within the rim, for the sun stands on it.
    let size = look.small_pt;
    let letter = off(middle, north, r - 1.3 - 0.5 * size * MM_PER_PT);
    let (a, z) = (off(middle, north, -0.75 * r), off(letter, north, -0.65 * size * MM_PER_PT));
    g.push(Stroke::new(Path::line(a, off(z, north, -1.5)), 0.5, INK)?);
    g.push(super::grass::head(z, north, 2.6, INK)?);
    g.push(centred("N", letter, size, Weight::SemiBold, INK)?);
    if look.sun {
        suns(b, d, look, low_deg, middle, &mut g)?;
    }
    Ok(g)
}

fn centred(text: &str, at: Place, size: f64, weight: Weight, colour: Colour) -> Result<Text, Invalid> {
    let down = 0.5 * Weight::CAPITAL_EM * size * MM_PER_PT;
    Ok(Text::new(text, (at.0, at.1 + down), size, weight, colour)?.anchored(Anchor::Middle))
}

/// The sun's way through the match round the rim, full where it is low, a tick where each quarter begins
/// and the numbers of the first and the last.
fn suns(
    b: &Briefing,
    d: &Drawing,
    look: &Look,
    low_deg: f64,
    middle: Place,
    g: &mut Group,
) -> Result<(), Invalid> {
    let Some(sun) = &b.sun else { return Ok(()) };
    // Turned from true north by its bearing, clockwise seen from above; on the page by degrees from the right.
    let way = |bearing_deg: f64| View::way(d.north.turned_deg(-bearing_deg));
    let deg = |bearing_deg: f64| {
        let (x, y) = way(bearing_deg);
        y.atan2(x).to_degrees()
    };
    for pair in sun.times.windows(2) {
        if pair[0].sun.high_deg <= 0.0 || pair[1].sun.high_deg <= 0.0 {
            continue;
        }
        let (from, to) = (pair[0].sun.bearing.degrees(), pair[1].sun.bearing.degrees());
        let turn = (to - from + 540.0).rem_euclid(360.0) - 180.0;
        let mut path = Path::default();
        path.arc(middle, look.dial, deg(from), turn);
        g.push(Stroke::new(path.clone(), 1.7, INK)?);
        let low = pair[0].sun.high_deg.min(pair[1].sun.high_deg) <= low_deg;
        g.push(Stroke::new(path, 1.2, if low { SUN } else { Colour::WHITE })?);
    }
    for t in sun.times.iter().filter(|t| t.at_start && t.sun.high_deg > 0.0) {
        let bearing = way(t.sun.bearing.degrees());
        let tick = Path::line(off(middle, bearing, look.dial - 1.0), off(middle, bearing, look.dial + 1.0));
        g.push(Stroke::new(tick, 0.3, INK)?);
        // Between the first and the last there is no room for numbers: a quarter is a few degrees of sun.
        if !matches!(t.quarter, 1 | 4) {
            continue;
        }
        let at = off(middle, bearing, look.dial + 1.2 + 0.5 * look.small_pt * MM_PER_PT);
        g.push(centred(&t.quarter.to_string(), at, look.small_pt, Weight::SemiBold, INK)?);
    }
    Ok(())
}

fn said(b: &Briefing) -> String {
    let mut said = "North".to_owned();
    if let Some(d) = &b.declination {
        let way = if d.east_deg() >= 0.0 { "east" } else { "west" };
        said.push_str(&format!("; a compass points {}° {way} of it", fixed(d.east_deg().abs(), 1)));
    }
    if let Some(sun) = &b.sun {
        for t in sun.times.iter().filter(|t| t.at_start && t.sun.high_deg > 0.0) {
            said.push_str(&format!(
                "; quarter {} from {}: sun in the {}, {}° high",
                t.quarter,
                t.time,
                crate::units::print::compass_point(t.sun.bearing.degrees()),
                fixed(t.sun.high_deg, 0)
            ));
        }
    }
    said
}

/// A bar of whole metres with the scale, and when the quarters are.
fn bar(view: &View, look: &Look, (left, top): Place, right: f64) -> Result<Group, Invalid> {
    let mut g = Group::new(Role::Label).named(Id::new("scale")?);
    let metres =
        [10.0, 20.0, 25.0, 50.0, 100.0].into_iter().find(|m| m * view.mm_per_m() >= 13.0).unwrap_or(100.0);
    let length = (metres * view.mm_per_m()).min(right - left);
    let y = top + 0.5 * look.small_pt * MM_PER_PT;
    for (from, to, colour) in [(0.0, 0.5, INK), (0.5, 1.0, Colour::WHITE)] {
        let path = Path::rectangle(left + from * length, y - 0.6, (to - from) * length, 1.2);
        g.push(Area::new(path.clone(), colour)?);
        g.push(Stroke::new(path, 0.2, INK)?);
    }
    let one_in = 1000.0 / view.mm_per_m();
    let said =
        [format!("{} m", fixed(metres, 0)), format!("1 : {}", fixed((one_in / 10.0).round() * 10.0, 0))];
    let mut x = left + length + 1.5;
    for text in said {
        let at = (x, y + 0.5 * Weight::CAPITAL_EM * look.small_pt * MM_PER_PT);
        let text = Text::new(&text, at, look.small_pt, Weight::Regular, INK)?;
        x += text.width_mm() + 4.0;
        g.push(text);
    }
    Ok(g)
}
