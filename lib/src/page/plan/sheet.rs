//! Head, plan and foot on one page: as large as there is room for, and laid out again where what had no room on the
//! plan makes head or foot longer.

use super::block::{Block, Span};
use super::column::{Column, Placed, Row, height_of, place};
use super::foot::Foot;
use super::grass::{edge_of, extent, ground, head as arrow, line, posts, shows_unsure};
use super::head::head;
use super::look::{ALARM, INK, Look, SIGHT, SOFT};
use super::near::beside;
use super::rim::{Label, MARK_MM, Of, labels, sight};
use super::space::{Place, Space};
use super::view::{View, off};
use super::words::{described, end_name, landmark_name, quarter, side_name};
use crate::boundary::{End, Side};
use crate::briefing::{Briefing, Drawing};
use crate::officiate::{StandKind, Start};
use crate::page::{
    Area, Colour, Group, Id, Item, MM_PER_PT, Page, Paper, Path, Role, Stroke, Text, TextBox, Weight,
};
use crate::units::Invalid;
use crate::venue::Venue;

/// Rounds of laying out: each gives head and foot the room that the last one found wanting.
const ROUNDS: usize = 6;

/// The whole page.
pub(super) fn sheet(venue: &Venue, b: &Briefing, d: &Drawing, paper: Paper) -> Result<Page, Invalid> {
    let (look, (width, height)) = (Look::of(paper), paper.size_mm());
    let (mut apart, mut listed): (Vec<usize>, Vec<String>) = (Vec::new(), Vec::new());
    let mut unsure = false;
    for round in 1.. {
        let (mut groups, top) = head(venue, b, d, &look, width, &apart)?;
        let foot = Foot::new(venue, b, &look, width, unsure, &listed);
        let below = height - look.margin - foot.height();
        let frame = TextBox {
            left: look.margin,
            top: top + 1.5,
            right: width - look.margin,
            // A page that is all head and foot keeps room for a ground as large as a thumb.
            bottom: (below - 1.5).max(top + 30.0),
        };
        let made = Made::of(venue, b, d, &look, &frame)?;
        let shows = shows_unsure(d, &made.view);
        let more = made.apart.iter().any(|n| !apart.contains(n))
            || made.listed.iter().any(|l| !listed.contains(l))
            || shows && !unsure;
        if more && round < ROUNDS {
            apart.extend(made.apart.iter().filter(|n| !apart.contains(n)).copied().collect::<Vec<_>>());
            listed = made.listed;
            unsure |= shows;
            continue;
        }
        groups.push(made.group);
        groups.extend(foot.draw(b, d, &made.view, below)?);
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
}

impl Made {
    fn of(venue: &Venue, b: &Briefing, d: &Drawing, look: &Look, frame: &TextBox) -> Result<Self, Invalid> {
        let (view, inner) = fit(venue, b, d, look, frame)?;
        let mut l = Laying {
            venue,
            b,
            d,
            look,
            frame,
            view,
            space: Space::default(),
            edge: edge_of(d, &view),
            inner,
        };
        let mut plan = Group::new(Role::Figure)
            .named(Id::new("plan")?)
            .titled(format!("Plan of {}", venue.document.name))
            .described(described(venue, b));
        plan.push(ground(d, &view)?);
        let mut on_line = Group::new(Role::Decoration).named(Id::new("line")?);
        on_line.push(line(d, &view)?);
        plan.push(on_line);
        plan.push(posts(d, &view)?);
        let edge = l.edge.clone();
        l.space.take_line(&edge);
        let mut labels = labels(venue, b, d, &view, look)?;
        plan.push(l.marks(&labels)?);
        for group in l.names()? {
            plan.push(group);
        }
        let degraded = l.columns(&mut labels, &mut plan)?;
        for group in l.starts()? {
            plan.push(group);
        }
        let apart = l.numbers(degraded, &mut plan)?;
        let listed = l.landmarks(&mut plan)?;
        Ok(Self { group: plan, view, apart, listed })
    }
}

/// How large the ground can be in its frame, and where the columns begin.
fn fit(
    venue: &Venue,
    b: &Briefing,
    d: &Drawing,
    look: &Look,
    frame: &TextBox,
) -> Result<(View, [f64; 2]), Invalid> {
    let ([left, top, right, bottom], middle) = extent(d);
    let trial = View::new(middle, (0.0, 0.0), 1.0);
    let all = labels(venue, b, d, &trial, look)?;
    // As wide as the widest label on either side.
    let wide = |way: f64| {
        let mine = all.iter().filter(|l| l.way == way);
        mine.map(|l| l.block.size().0).fold(8.0, f64::max)
    };
    let (l, r) = (wide(-1.0), wide(1.0));
    // Beyond the line: the sight lines, and a gap.
    let beside = if look.landmarks { 8.0 } else { 4.5 };
    let above = look.far_pt * MM_PER_PT + beside;
    let room = (frame.right - frame.left - l - r - 2.0 * beside, frame.bottom - frame.top - 2.0 * above);
    let scale = (room.0 / (left - right)).min(room.1 / (top - bottom)).max(0.05);
    let half = 0.5 * (left - right) * scale;
    let x = 0.5 * (frame.left + l + frame.right - r);
    let y = 0.5 * (frame.top + frame.bottom);
    Ok((View::new(middle, (x, y), scale), [x - half - beside, x + half + beside]))
}

impl Laying<'_> {
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

    /// Names of ends above and below, of sides inside the wings.
    fn names(&mut self) -> Result<Vec<Group>, Invalid> {
        let mut out = Vec::new();
        let size = self.look.far_pt * MM_PER_PT;
        for end in End::BOTH {
            let goal = self.view.at(self.venue.ground.oval().goal(end));
            let most = (self.inner[1] - self.inner[0]) - 6.0;
            let said = format!("{} end", end_name(self.venue, end));
            let said = Text::cut(&said, most, self.look.far_pt, Weight::SemiBold);
            let up = if end == End::A { -1.0 } else { 1.0 };
            let block = Block::line(vec![Span::new(said, self.look.far_pt, Weight::SemiBold, INK)]);
            let (w, h) = block.size();
            // As near to the goal as sight lines allow, and no farther than the frame.
            let mut place = TextBox { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0 };
            for k in 0..24 {
                let middle = goal.1 + up * (0.5 * h + 1.6 + 0.5 * f64::from(k));
                let middle = middle.clamp(self.frame.top + 0.5 * h, self.frame.bottom - 0.5 * h);
                place = TextBox {
                    left: goal.0 - 0.5 * w,
                    top: middle - 0.5 * h,
                    right: goal.0 + 0.5 * w,
                    bottom: middle + 0.5 * h,
                };
                if self.space.is_free(&place) {
                    break;
                }
            }
            self.space.take_box(place);
            let mut g =
                Group::new(Role::Label).named(Id::new(if end == End::A { "end-a" } else { "end-b" })?);
            for item in block.texts(&place, 0.0)? {
                g.push(item);
            }
            out.push(g);
        }
        for side in Side::BOTH {
            out.extend(self.side_name(side, size)?);
        }
        Ok(out)
    }

    fn side_name(&mut self, side: Side, size: f64) -> Result<Option<Group>, Invalid> {
        let oval = self.venue.ground.oval();
        let half = oval.boundary().half_width_m(side);
        let inner = oval.square_half_m().filter(|_| self.venue.document.surroundings.painted.square);
        let inner = inner.unwrap_or_else(|| oval.centre_circle_m());
        let room = (half - inner) * self.view.mm_per_m() - 4.0;
        let name = side_name(self.venue, side);
        let name = Text::cut(&name, room.max(10.0), self.look.far_pt, Weight::SemiBold);
        let block = Block {
            lines: vec![
                vec![Span::new(name, self.look.far_pt, Weight::SemiBold, INK)],
                vec![Span::new("side", self.look.name_pt, Weight::Regular, INK)],
            ],
        };
        let (w, h) = block.size();
        let x = self.view.at(oval.boundary().level_with(side, 0.0)).0;
        let y = self.view.at(oval.goal(End::A).midpoint(oval.goal(End::B))).1;
        let left = if side == Side::Left { x + 2.6 } else { x - 2.6 - w };
        for k in 0..30 {
            let down = f64::from((k + 1) / 2) * if k % 2 == 0 { 0.4 } else { -0.4 } * size;
            let place =
                TextBox { left, top: y + down - 0.5 * h, right: left + w, bottom: y + down + 0.5 * h };
            if self.space.is_free(&place.grown(0.3)) {
                self.space.take_box(place);
                let id = Id::new(if side == Side::Left { "side-left" } else { "side-right" })?;
                let mut g = Group::new(Role::Label).named(id);
                for item in block.texts(&place, if side == Side::Left { 1.0 } else { -1.0 })? {
                    g.push(item);
                }
                return Ok(Some(g));
            }
        }
        Ok(None)
    }

    /// Labels beside the ground. What had no room there is left for `numbers`.
    fn columns(&mut self, labels: &mut Vec<Label>, plan: &mut Group) -> Result<Vec<Label>, Invalid> {
        let mut degraded = Vec::new();
        for (way, inner) in [(-1.0, self.inner[0]), (1.0, self.inner[1])] {
            let (mut mine, rest): (Vec<Label>, Vec<Label>) = labels.drain(..).partition(|l| l.way == way);
            *labels = rest;
            // What is off the plan is told in words.
            let (shown, off): (Vec<Label>, Vec<Label>) =
                mine.drain(..).partition(|l| l.of == Of::Spot || self.shows(l.stem[0]));
            degraded.extend(off);
            let mut mine = shown;
            let column = Column { inner, way, top: self.frame.top, bottom: self.frame.bottom };
            let room = column.bottom - column.top;
            let rows = |all: &[Label]| -> Vec<Row> {
                all.iter().map(|l| Row { stem: l.stem.clone(), size: l.block.size() }).collect()
            };
            // The least important first: what is on no row of WATCH, then its rows from the last on.
            while height_of(&rows(&mine)) > room {
                let rank = |l: &Label| match l.of {
                    Of::Spot => 0,
                    Of::Watch(n) => n,
                    Of::Other(n) => 10_000 + n,
                };
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
            let placed = place(column, &rows(&mine), &self.edge, &mut self.space);
            for (label, at) in mine.iter().zip(&placed) {
                plan.push(drawn(label, &label.block, at, way)?);
            }
        }
        Ok(degraded)
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
        self.space.take_round(at, 1.6);
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
    push(&mut g, block, &at.place, at.leader, way)?;
    Ok(g)
}
