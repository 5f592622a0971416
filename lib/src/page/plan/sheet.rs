//! Head, plan and foot on one page: as large as there is room for, and laid out again where what had no room on the
//! plan makes head or foot longer.

use super::block::{Block, Span};
use super::column::{Column, NoPlace, Placed, Row, height_of, place};
use super::foot::Foot;
use super::grass::{edge_of, extent, fences, ground, head as arrow, line, posts, shows_unsure};
use super::head::head;
use super::look::{ALARM, INK, Look, SIGHT, SOFT};
use super::near::beside;
use super::rim::{Label, MARK_MM, Of, labels, sight};
use super::space::{Place, Space};
use super::view::{View, off};
use super::words::{described, end_name, landmark_name, quarter, side_name};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Drawing};
use crate::frame::Ground as GroundFrame;
use crate::geometry::Point;
use crate::officiate::{StandKind, Start};
use crate::page::{
    Area, Colour, Group, Id, Item, MM_PER_PT, Page, Paper, Path, Role, Stroke, Text, TextBox, Weight,
};
use crate::units::Invalid;
use crate::venue::Venue;

/// Rounds of laying out: each gives head and foot the room that the last one found wanting, and room is never taken
/// back, so that it comes to an end.
const ROUNDS: usize = 12;

/// The whole page.
pub(super) fn sheet(venue: &Venue, b: &Briefing, d: &Drawing, paper: Paper) -> Result<Page, Invalid> {
    let (look, (width, height)) = (Look::of(paper), paper.size_mm());
    let mut top = head(venue, b, d, &look, width, &[])?.1;
    let mut below = height - look.margin - Foot::new(venue, b, &look, width, false, &[]).height();
    for round in 1..=ROUNDS {
        let frame = TextBox {
            left: look.margin,
            top: top + 1.5,
            right: width - look.margin,
            // A page that is all head and foot keeps room for a ground as large as a thumb.
            bottom: (below - 1.5).max(top + 30.0),
        };
        let made = Made::of(venue, b, d, &look, &frame)?;
        let (mut groups, reaches) = head(venue, b, d, &look, width, &made.apart)?;
        let foot = Foot::new(venue, b, &look, width, shows_unsure(d, &made.view), &made.listed);
        let needs = height - look.margin - foot.height();
        if round < ROUNDS && (reaches > top + 1e-9 || needs < below - 1e-9) {
            (top, below) = (top.max(reaches), below.min(needs));
            continue;
        }
        groups.push(made.group);
        groups.extend(foot.draw(b, d, &made.view, needs)?);
        let items = groups.into_iter().map(Item::from).collect();
        let title = format!("{}: plan", venue.document.name);
        return Page::new((width, height), title, described(venue, b), items);
    }
    Err(Invalid::Impossible { what: "a plan that was never laid out" })
}

/// A plan laid out in its frame.
struct Made {
    group: Group,
    view: View,
    /// Numbers of WATCH that have no label.
    apart: Vec<usize>,
    /// Landmarks told in the foot.
    listed: Vec<String>,
}

/// What is being laid out.
struct Laying<'a> {
    venue: &'a Venue,
    b: &'a Briefing,
    d: &'a Drawing,
    look: &'a Look,
    frame: &'a TextBox,
    view: View,
    space: Space,
    edge: Vec<Place>,
    /// Between the two columns, mm.
    inner: [f64; 2],
    /// Is there no smaller size to try?
    at_last: bool,
}

/// Sizes of ground that are tried, the largest first: at the last every label has a column of its own.
const SIZES: u32 = 10;
/// Then smaller ones, each by so much, for the few crowded grounds where the name of an end or a side still has no room.
const SMALLER: u32 = 12;
const SHRINK: f64 = 0.93;

impl Made {
    fn of(venue: &Venue, b: &Briefing, d: &Drawing, look: &Look, frame: &TextBox) -> Result<Self, Invalid> {
        let fits = Fits::of(venue, b, d, look, frame)?;
        for size in 0..SIZES + SMALLER {
            let part = f64::from(size.min(SIZES - 1)) / f64::from(SIZES - 1);
            let shrunk = SHRINK.powf(f64::from(size.saturating_sub(SIZES - 1)));
            let (view, inner) = fits.at(part, shrunk, frame);
            let l = Laying {
                venue,
                b,
                d,
                look,
                frame,
                view,
                space: Space::default(),
                edge: edge_of(d, &view),
                inner,
                at_last: size + 1 >= SIZES,
            };
            if let Some(made) = l.made()? {
                return Ok(made);
            }
        }
        Err(Invalid::Impossible { what: "a plan that fits no page" })
    }
}

/// How large the ground can be in its frame.
struct Fits {
    /// What of the ground is in the frame's middle, and its size from there either way, m.
    middle: Point<GroundFrame>,
    half: (f64, f64),
    /// Millimetres a metre where no label is counted, and where every label has its column beside the ground.
    most: f64,
    least: f64,
    /// As wide as the widest label on the left and on the right, mm.
    wide: [f64; 2],
    /// Beyond the line: sight lines and a gap, mm.
    beside: f64,
}

impl Fits {
    fn of(venue: &Venue, b: &Briefing, d: &Drawing, look: &Look, frame: &TextBox) -> Result<Self, Invalid> {
        let ([left, top, right, bottom], middle) = extent(d);
        let trial = View::new(middle, (0.0, 0.0), 1.0);
        let all = labels(venue, b, d, &trial, look)?;
        let wide = [-1.0, 1.0].map(|way| {
            let mine = all.iter().filter(|l| l.way == way);
            mine.map(|l| l.block.size().0).fold(8.0, f64::max)
        });
        let beside = if look.landmarks { 8.0 } else { 4.5 };
        let above = look.far_pt * MM_PER_PT + beside;
        let (w, h) = (frame.right - frame.left - 2.0 * beside, frame.bottom - frame.top - 2.0 * above);
        let high = (h / (top - bottom)).max(0.05);
        let most = high.min((w - 16.0) / (left - right)).max(0.05);
        // Somewhat smaller at the last than the height has room for, so that the ends' names have theirs.
        let least = (0.8 * high).min((w - wide[0] - wide[1]) / (left - right)).max(0.05);
        Ok(Self { middle, half: (0.5 * (left - right), 0.5 * (top - bottom)), most, least, wide, beside })
    }

    /// The view at a part of the way from the largest to the smallest size, smaller by a factor, and where the
    /// columns begin.
    fn at(&self, part: f64, shrunk: f64, frame: &TextBox) -> (View, [f64; 2]) {
        let scale = shrunk * (self.most + part * (self.least - self.most));
        let half = self.half.0 * scale + self.beside;
        // In the middle of what the wider labels of one side leave.
        let lean = 0.5 * part * (self.wide[0] - self.wide[1]);
        let x = 0.5 * (frame.left + frame.right) + lean;
        let y = 0.5 * (frame.top + frame.bottom);
        (View::new(self.middle, (x, y), scale), [x - half, x + half])
    }
}

impl Laying<'_> {
    /// The plan at this size; `None` where it is too large.
    fn made(mut self) -> Result<Option<Made>, Invalid> {
        let (venue, b, d) = (self.venue, self.b, self.d);
        let mut plan = Group::new(Role::Figure)
            .named(Id::new("plan")?)
            .titled(format!("Plan of {}", venue.document.name))
            .described(described(venue, b));
        plan.push(ground(d, &self.view)?);
        let mut on_line = Group::new(Role::Decoration).named(Id::new("line")?);
        on_line.push(line(d, &self.view)?);
        plan.push(on_line);
        plan.push(posts(d, &self.view)?);
        self.space.take_line(&self.edge);
        for fence in fences(d, &self.view) {
            self.space.take_fence(&fence);
        }
        // What is painted lies beneath words, but they are better beside it.
        for mark in &d.marks {
            let places: Vec<Place> = mark.points.iter().map(|p| self.view.at(*p)).collect();
            self.space.take_fence(&places);
        }
        let labels = labels(venue, b, d, &self.view, self.look)?;
        plan.push(self.marks(&labels)?);
        for at in self.start_places() {
            self.space.take_round(at, 1.6);
        }
        let mut outside = Vec::new();
        for side in Side::BOTH {
            match self.side_name(side)? {
                Some(name) => plan.push(name),
                None => outside.push(side),
            }
        }
        let Some(left_over) = self.columns(labels, &mut plan)? else { return Ok(None) };
        for end in End::BOTH {
            let Some(name) = self.end_name(end)? else { return Ok(None) };
            plan.push(name);
        }
        for side in outside {
            let Some(name) = self.side_name_outside(side)? else { return Ok(None) };
            plan.push(name);
        }
        for group in self.starts()? {
            plan.push(group);
        }
        let apart = self.numbers(left_over, &mut plan)?;
        let listed = self.landmarks(&mut plan)?;
        Ok(Some(Made { group: plan, view: self.view, apart, listed }))
    }

    /// Spots, ways back, sight lines, hazards and landmarks: everything that labels keep clear of.
    fn marks(&mut self, labels: &[Label]) -> Result<Group, Invalid> {
        let mut g = Group::new(Role::Decoration);
        for (.., row) in &self.b.spots {
            let from = self.view.at(row.spot.point);
            if !row.stand.kind.is_at_post() && row.stand.kind != StandKind::NoPlace {
                let stand = row.stand_long.as_ref().unwrap_or(&row.stand);
                let to = self.view.at(stand.point);
                g.push(Stroke::new(Path::line(from, to), 0.3, INK)?);
                g.push(Area::new(Path::circle(to, 0.6), INK)?);
                self.space.take_line(&[from, to]);
                self.space.take_round(to, 0.6);
            }
            if let Some((a, z)) = sight(self.venue, row, &self.view, self.look) {
                let way = View::way(row.throw.face);
                g.push(Stroke::new(Path::line(a, off(z, way, -1.2)), 0.35, SIGHT)?);
                g.push(arrow(z, way, 1.8, SIGHT)?);
            }
            g.push(Area::new(Path::circle(from, 0.95), Colour::WHITE)?);
            g.push(Area::new(Path::circle(from, 0.75), INK)?);
            self.space.take_round(from, 0.9);
        }
        for h in &self.d.hazards {
            let at = self.view.at(h.at);
            if !self.shows(at) {
                continue;
            }
            let radius = h.radius_m * self.view.mm_per_m();
            if radius > 1.6 {
                g.push(Stroke::new(Path::circle(at, radius), 0.3, ALARM)?);
            }
            g.push(triangle(at, 1.75, Colour::WHITE)?);
            g.push(triangle(at, 1.45, ALARM)?);
            self.space.take_round(at, 1.3);
        }
        for label in labels {
            self.space.take_line(&label.stem);
        }
        Ok(g)
    }

    fn shows(&self, (x, y): Place) -> bool {
        let f = self.frame.grown(-1.8);
        x > f.left && x < f.right && y > f.top && y < f.bottom
    }

    /// The name of an end, beyond its goal; `None` where it has no room.
    fn end_name(&mut self, end: End) -> Result<Option<Group>, Invalid> {
        let goal = self.view.at(self.venue.ground.oval().goal(end));
        let said = format!("{} end", end_name(self.venue, end));
        let most = self.frame.right - self.frame.left;
        let said = Text::cut(&said, most, self.look.far_pt, Weight::SemiBold);
        let block = Block::line(vec![Span::new(said, self.look.far_pt, Weight::SemiBold, INK)]);
        let (w, h) = block.size();
        let up = if end == End::A { -1.0 } else { 1.0 };
        // As near above the goal as there is room, else to one side of that.
        let tries = (0..12).flat_map(|side| (0..60).map(move |away| (side, away)));
        let places = tries.map(|(side, away)| {
            let aside = f64::from((side + 1) / 2) * if side % 2 == 0 { 4.0 } else { -4.0 };
            let middle = (goal.0 + aside, goal.1 + up * (0.5 * h + 1.6 + 0.5 * f64::from(away)));
            TextBox {
                left: middle.0 - 0.5 * w,
                top: middle.1 - 0.5 * h,
                right: middle.0 + 0.5 * w,
                bottom: middle.1 + 0.5 * h,
            }
        });
        let (frame, space) = (self.frame, &self.space);
        let mut good = places.filter(|p| within(p, frame) && space.is_free(&p.grown(0.5)));
        let Some(place) = good.next().or_else(|| self.anywhere((w, h), goal)) else { return Ok(None) };
        self.space.take_box(place);
        let mut g = Group::new(Role::Label).named(Id::new(if end == End::A { "end-a" } else { "end-b" })?);
        for item in block.texts(&place, 0.0)? {
            g.push(item);
        }
        Ok(Some(g))
    }

    /// The name of a side, inside its wing.
    fn side_name(&mut self, side: Side) -> Result<Option<Group>, Invalid> {
        let oval = self.venue.ground.oval();
        let name = side_name(self.venue, side);
        let inward = if side == Side::Left { 1.0 } else { -1.0 };
        let far = self.look.far_pt;
        let least = self.look.name_pt;
        let mid = 0.5 * (far + least);
        let whole = vec![name.clone()];
        let words: Vec<String> = name.split_whitespace().map(str::to_owned).collect();
        // Its lines, their size, so many levels, and whether it keeps off what is painted.
        let tries = [
            (&whole, far, 16, true),
            (&whole, mid, 16, true),
            (&words, far, 30, true),
            (&whole, far, 30, false),
            (&words, least, 80, true),
            (&whole, least, 80, false),
            (&words, least, 80, false),
        ];
        for (said, size, levels, off_paint) in tries {
            let mut lines: Vec<Vec<Span>> =
                said.iter().map(|line| vec![Span::new(line, size, Weight::SemiBold, INK)]).collect();
            lines.push(vec![Span::new("side", self.look.name_pt, Weight::Regular, INK)]);
            let block = Block { lines };
            let (w, h) = block.size();
            for k in 0..levels {
                // Metres toward one end and the other by turns, no farther than half way to it.
                let off_m = f64::from((k + 1) / 2) / 80.0 * oval.half_length_m();
                let level = oval.boundary().level_with(side, if k % 2 == 0 { off_m } else { -off_m });
                let (x, y) = self.view.at(level);
                let from = x + inward * 2.6;
                let left = from.min(from + inward * w);
                let place = TextBox { left, top: y - 0.5 * h, right: left + w, bottom: y + 0.5 * h };
                let grown = place.grown(0.4);
                let free = if off_paint { Space::is_free } else { Space::is_free_but_for_fences };
                if !free(&self.space, &grown) {
                    continue;
                }
                self.space.take_box(place);
                let mut g = Group::new(Role::Label).named(Id::new(side_id(side))?);
                for item in block.texts(&place, inward)? {
                    g.push(item);
                }
                return Ok(Some(g));
            }
        }
        Ok(None)
    }

    /// At last: the free place for a label of this size that is nearest to what it names.
    fn anywhere(&self, (w, h): (f64, f64), near: Place) -> Option<TextBox> {
        if !self.at_last {
            return None;
        }
        let f = self.frame;
        // Millimetres of a sheet of paper, so the casts are exact.
        let (across, down) = ((f.right - f.left - w).max(0.0) as u32, (f.bottom - f.top - h).max(0.0) as u32);
        let places = (0..=down).flat_map(|j| (0..=across).map(move |i| (f64::from(i), f64::from(j))));
        let boxes = places.map(|(x, y)| TextBox {
            left: f.left + x,
            top: f.top + y,
            right: f.left + x + w,
            bottom: f.top + y + h,
        });
        let away = |p: &TextBox| (0.5 * (p.left + p.right) - near.0).hypot(0.5 * (p.top + p.bottom) - near.1);
        boxes
            .filter(|p| within(p, f) && self.space.is_free(&p.grown(0.4)))
            .min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    /// The name of a side beyond its line, where there is no room inside: as near to the wing as there is any.
    fn side_name_outside(&mut self, side: Side) -> Result<Option<Group>, Invalid> {
        let said = format!("{} side", side_name(self.venue, side));
        let block = Block::line(vec![Span::new(said, self.look.name_pt, Weight::SemiBold, INK)]);
        let (w, h) = block.size();
        let wing = self.view.at(self.venue.ground.oval().boundary().level_with(side, 0.0));
        let out = if side == Side::Left { -1.0 } else { 1.0 };
        let places = (0..120).flat_map(|k| {
            let y = wing.1 + f64::from((k + 1) / 2) * if k % 2 == 0 { 1.2 } else { -1.2 };
            (0..60).map(move |j| (wing.0 + out * (3.0 + f64::from(j)), y))
        });
        let boxes = places.map(|(x, y)| {
            let left = x.min(x + out * w);
            TextBox { left, top: y - 0.5 * h, right: left + w, bottom: y + 0.5 * h }
        });
        let (frame, space) = (self.frame, &self.space);
        let mut good = boxes.filter(|p| within(p, frame) && space.is_free(&p.grown(0.4)));
        let Some(place) = good.next().or_else(|| self.anywhere((w, h), wing)) else { return Ok(None) };
        self.space.take_box(place);
        let mut g = Group::new(Role::Label).named(Id::new(side_id(side))?);
        for item in block.texts(&place, 0.0)? {
            g.push(item);
        }
        Ok(Some(g))
    }

    /// Labels beside the ground. What had no room there is left for `numbers`.
    /// `None` where the ground is too large.
    fn columns(&mut self, mut labels: Vec<Label>, plan: &mut Group) -> Result<Option<Vec<Label>>, Invalid> {
        let mut degraded = Vec::new();
        for (way, inner, outer) in
            [(-1.0, self.inner[0], self.frame.left), (1.0, self.inner[1], self.frame.right)]
        {
            let (mut mine, rest): (Vec<Label>, Vec<Label>) = labels.drain(..).partition(|l| l.way == way);
            labels = rest;
            // What is off the plan is told in words.
            let (shown, off): (Vec<Label>, Vec<Label>) =
                mine.drain(..).partition(|l| l.of == Of::Spot || self.shows(l.stem[0]));
            degraded.extend(off);
            let mut mine = shown;
            let column = Column { inner, outer, way, top: self.frame.top, bottom: self.frame.bottom };
            let room = column.bottom - column.top;
            // The least important gives way: what is on no row of WATCH, then its rows from the last on.
            while height_of(&rows(&mine)) > room {
                let Some(last) = (0..mine.len()).max_by_key(|&i| rank(&mine[i])) else { break };
                if mine[last].of == Of::Spot {
                    // Spots alone are too many: without what to face, which the table has.
                    for l in &mut mine {
                        l.block = l.bare.clone();
                    }
                    break;
                }
                degraded.push(mine.remove(last));
            }
            let placed = loop {
                match place(column, &rows(&mine), &self.edge, &mut self.space, self.at_last) {
                    Ok(placed) => break placed,
                    Err(NoPlace::TooLarge) => return Ok(None),
                    // Each time there is one row less.
                    Err(NoPlace::Crosses(row)) => degraded.push(mine.remove(row)),
                }
            };
            for (label, at) in mine.iter().zip(&placed) {
                plan.push(drawn(label, &label.block, at, way)?);
            }
        }
        Ok(Some(degraded))
    }

    fn start_places(&self) -> Vec<Place> {
        let Some(start) = &self.b.start else { return Vec::new() };
        start.diagonals().concat().into_iter().map(|(s, e)| self.view.at(start.station(s, e))).collect()
    }

    /// The start stations: one pair full, the other hollow.
    fn starts(&mut self) -> Result<Vec<Group>, Invalid> {
        let Some(start) = &self.b.start else { return Ok(Vec::new()) };
        let [first, second] = start.diagonals();
        let mut out = Vec::new();
        for (pair, full) in [(first, true), (second, false)] {
            for (side, end) in pair {
                out.push(self.start(start, side, end, full)?);
            }
        }
        Ok(out)
    }

    fn start(&mut self, start: &Start, side: Side, end: End, full: bool) -> Result<Group, Invalid> {
        let at = self.view.at(start.station(side, end));
        let id = format!(
            "start-{}-{}",
            if side == Side::Left { "left" } else { "right" },
            if end == End::A { "a" } else { "b" }
        );
        let mut g = Group::new(Role::Label).named(Id::new(id)?).titled(format!(
            "Start, {} pair: {}",
            if full { "one" } else { "the other" },
            quarter(self.venue, end, side)
        ));
        g.push(Area::new(Path::circle(at, 1.5), INK)?);
        if !full {
            g.push(Area::new(Path::circle(at, 1.0), Colour::WHITE)?);
        }
        let said = if full { "START" } else { "or START" };
        let (weight, size) = (if full { Weight::SemiBold } else { Weight::Regular }, self.look.name_pt);
        let block = Block::line(vec![Span::new(said, size, weight, INK)]);
        if let Some((place, leader)) = beside(at, 1.6, block.size(), self.frame, &mut self.space) {
            push(&mut g, &block, &place, leader, 1.0)?;
        }
        Ok(g)
    }

    /// Numbers beside their marks for what had no room in a column; those that have none here either.
    fn numbers(&mut self, labels: Vec<Label>, plan: &mut Group) -> Result<Vec<usize>, Invalid> {
        let mut apart = Vec::new();
        for label in labels {
            let (Of::Watch(number) | Of::Other(number)) = label.of else { continue };
            let mark = label.stem[0];
            let found = self
                .shows(mark)
                .then(|| {
                    [&label.block, &label.bare].into_iter().find_map(|block| {
                        let (place, leader) =
                            beside(mark, MARK_MM, block.size(), self.frame, &mut self.space)?;
                        Some((block.clone(), place, leader))
                    })
                })
                .flatten();
            match found {
                Some((block, place, leader)) => {
                    let mut g = Group::new(Role::Label).named(label.id).titled(label.title);
                    push(&mut g, &block, &place, leader, 1.0)?;
                    plan.push(g);
                }
                None => apart.push(number),
            }
        }
        Ok(apart)
    }

    /// Landmarks where they stand, if that is on the plan; what the foot tells of the rest.
    fn landmarks(&mut self, plan: &mut Group) -> Result<Vec<String>, Invalid> {
        let mut listed = Vec::new();
        if !self.look.landmarks {
            return Ok(listed);
        }
        let faced: Vec<usize> =
            self.b.spots.iter().filter_map(|(.., r)| r.backsight.map(|b| b.landmark)).collect();
        let mut letters = ('a'..='z').chain('A'..='Z');
        for l in &self.d.landmarks {
            let name = landmark_name(self.venue, l.index);
            let named = faced.contains(&l.index);
            let at = l.at.map(|p| self.view.at(p)).filter(|at| self.shows(*at));
            let mark =
                at.map(|(x, y)| TextBox { left: x - 0.9, top: y - 0.9, right: x + 0.9, bottom: y + 0.9 });
            let Some((at, mark)) = at.zip(mark).filter(|(_, m)| self.space.is_free(m)) else {
                if !named {
                    let end = if l.toward.x >= 0.0 { End::A } else { End::B };
                    let side = if l.toward.y >= 0.0 { Side::Left } else { Side::Right };
                    listed.push(format!("{name} ({})", quarter(self.venue, end, side)));
                }
                continue;
            };
            self.space.take_box(mark);
            let mut g =
                Group::new(Role::Label).named(Id::new(format!("landmark-{}", l.index + 1))?).titled(&name);
            g.push(Area::new(Path::rectangle(mark.left, mark.top, 1.8, 1.8), SIGHT)?);
            g.push(Area::new(Path::rectangle(mark.left + 0.45, mark.top + 0.45, 0.9, 0.9), Colour::WHITE)?);
            let size = self.look.small_pt;
            let said = Text::cut(&name, self.look.widest, size, Weight::Regular);
            let block = Block::line(vec![Span::new(said, size, Weight::Regular, SIGHT)]);
            if let Some((place, leader)) = beside(at, 1.2, block.size(), self.frame, &mut self.space) {
                push(&mut g, &block, &place, leader, 1.0)?;
            } else if !named {
                // By a letter, for numbers are WATCH's; else by its place.
                let letter = letters.next().map(String::from);
                let found = letter.and_then(|letter| {
                    let block = Block::line(vec![Span::new(&letter, size, Weight::SemiBold, SIGHT)]);
                    let (place, leader) = beside(at, 1.2, block.size(), self.frame, &mut self.space)?;
                    Some((letter, block, place, leader))
                });
                match found {
                    Some((letter, block, place, leader)) => {
                        push(&mut g, &block, &place, leader, 1.0)?;
                        listed.push(format!("{letter}: {name}"));
                    }
                    None => {
                        let end = if l.toward.x >= 0.0 { End::A } else { End::B };
                        let side = if l.toward.y >= 0.0 { Side::Left } else { Side::Right };
                        listed.push(format!("{name} ({})", quarter(self.venue, end, side)));
                    }
                }
            }
            plan.push(g);
        }
        Ok(listed)
    }
}

fn side_id(side: Side) -> &'static str {
    if side == Side::Left { "side-left" } else { "side-right" }
}

fn within(place: &TextBox, frame: &TextBox) -> bool {
    place.left >= frame.left
        && place.right <= frame.right
        && place.top >= frame.top
        && place.bottom <= frame.bottom
}

/// Which of two labels gives way: a spot never does.
fn rank(label: &Label) -> usize {
    match label.of {
        Of::Spot => 0,
        Of::Watch(n) => n,
        Of::Other(n) => 10_000 + n,
    }
}

fn rows(labels: &[Label]) -> Vec<Row> {
    labels.iter().map(|l| Row { stem: l.stem.clone(), size: l.block.size(), rank: rank(l) }).collect()
}

/// A triangle about a place, its point up.
fn triangle(at: Place, radius: f64, colour: Colour) -> Result<Area, Invalid> {
    let corner = |deg: f64| {
        let (s, c) = deg.to_radians().sin_cos();
        (at.0 + radius * c, at.1 + radius * s)
    };
    Area::new(Path::polygon(&[corner(-90.0), corner(30.0), corner(150.0)]), colour)
}

fn push(
    g: &mut Group,
    block: &Block,
    place: &TextBox,
    leader: Option<(Place, Place)>,
    way: f64,
) -> Result<(), Invalid> {
    if let Some((a, z)) = leader {
        g.push(Stroke::new(Path::line(a, z), 0.18, SOFT)?);
    }
    for item in block.texts(place, way)? {
        g.push(item);
    }
    Ok(())
}

fn drawn(label: &Label, block: &Block, at: &Placed, way: f64) -> Result<Group, Invalid> {
    let mut g = Group::new(Role::Label).named(label.id.clone()).titled(&label.title);
    if let Some(said) = &label.said {
        g = g.described(said);
    }
    match label.drawn_from {
        None => push(&mut g, block, &at.place, at.leader, way)?,
        Some(from) => {
            let mut places = vec![from];
            places.extend(label.stem.last().copied());
            places.extend(at.leader.map(|(_, z)| z));
            g.push(Stroke::new(Path::polyline(&places), 0.18, SOFT)?);
            push(&mut g, block, &at.place, None, way)?;
        }
    }
    Ok(g)
}
