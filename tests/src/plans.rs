//! Random grounds laid out on paper: of any shape, size and orientation, with landmarks and hazards about them, and
//! their plans read back.

use ovalpeg::boundary::{AxisFrom, End, Outline, Side, Spread};
use ovalpeg::briefing::{Briefing, briefing};
use ovalpeg::frame::{Local, LocalPlane, Plan};
use ovalpeg::geometry::{CutEllipse, Ellipse, FourArc, Point, Shape, Vector};
use ovalpeg::ground::{NamedSpot, Oval};
use ovalpeg::page::{Group, Item, Page, Paper, Role, Step, TextBox, plan};
use ovalpeg::rules::{Edge, RuleSet};
use ovalpeg::units::{Day, TrueBearing};
use ovalpeg::venue::{
    FitFile, Names, Registration, Said, SurveyBytes, Venue, above_end_mark, open, register,
};

use crate::Failure;
use crate::random::Random;

/// A ground with what stands about it, and its briefing.
#[derive(Debug)]
pub struct Drawn {
    /// The venue.
    pub venue: Venue,
    /// What its cards say.
    pub briefing: Briefing,
}

/// What was laid out.
#[derive(Debug, Clone, Default)]
pub struct Told {
    /// Plans.
    pub plans: usize,
    /// Labels on them.
    pub labels: usize,
    /// Hazards that are told in words alone.
    pub apart: usize,
    /// Pairs of labels whose leaders cross.
    pub crossings: usize,
    /// Plans with something wrong: the ground, the paper, and what.
    pub wrong: Vec<String>,
}

/// The outline of one random ground, 90 to 185 m by 60 to 155 m; `None` where the draw makes none.
fn outline(random: &mut Random) -> Option<Outline> {
    let (length, width) = (random.between(90.0, 185.0), random.between(60.0, 155.0));
    let (axis, b) = (random.between(0.0, 360.0), 0.5 * width);
    let a = 0.5 * length / (1.0 - (9.6 / b).powi(2)).sqrt();
    let plan = Plan::new(Point::ORIGIN, TrueBearing::from_degrees(axis).ok()?).ok()?;
    let (turn, centre) = (90.0 - axis, Point::new(random.between(-0.4, 0.4), random.between(-0.4, 0.4)));
    let round = || Ellipse::new(centre, [a, b], turn).ok();
    let shape: Shape<Local> = match random.below(4) {
        0 => Shape::FourArc(FourArc::new(centre, [a, b], random.between(0.45, 0.95) * a.min(b), turn).ok()?),
        1 => {
            let normal = turn + if random.below(2) == 0 { 90.0 } else { -90.0 } + random.between(-12.0, 12.0);
            Shape::CutEllipse(CutEllipse::new(round()?, normal, random.between(0.8, 0.97) * b).ok()?)
        }
        _ => Shape::Ellipse(round()?),
    };
    let outline = Outline::new(shape, plan, 0.5 * length).ok()?;
    Oval::new(&outline, RuleSet::laws()).ok()?;
    Some(outline)
}

/// A place so far out from a random place of the line.
fn beside(oval: &Oval, random: &mut Random, out_m: f64) -> Point<Local> {
    let b = oval.boundary();
    let at = b.at(random.uniform() * b.perimeter_m());
    let aside = Vector::new(random.between(-2.0, 2.0), random.between(-2.0, 2.0));
    oval.plan().to_local(at.point + at.normal * out_m + aside)
}

const HAZARDS: [&str; 6] = ["tap", "bench", "pit cover", "power pole stay", "sprinkler head", "drain"];
const LANDMARKS: [&str; 6] =
    ["silo", "red gum", "canteen door", "light tower", "water tank", "scoreboard mid"];

fn around(oval: &Oval, random: &mut Random) -> String {
    let mut more = String::new();
    if random.below(5) > 0 {
        more += &format!("\n[fence]\ndistance_m = {:.1}\n", random.between(2.0, 12.0));
        for _ in 0..random.below(4) {
            let at = beside(oval, random, 0.0);
            let (near, along) = (random.between(0.4, 4.0), random.between(4.0, 60.0));
            more += &format!(
                "\n[[fence.tight]]\nx_m = {:.3}\ny_m = {:.3}\ndistance_m = {near:.1}\nalong_m = {along:.0}\n",
                at.x, at.y
            );
        }
    }
    // Forty together.
    let hazards = random.below(21);
    for i in 0..hazards {
        let out = random.between(-6.0, 14.0);
        let (at, radius) = (beside(oval, random, out), random.between(0.1, 2.0));
        let name = HAZARDS[random.below(HAZARDS.len())];
        more += &format!(
            "\n[[hazard]]\nname = \"{name} h{i}\"\nx_m = {:.3}\ny_m = {:.3}\nradius_m = {radius:.2}\n",
            at.x, at.y
        );
    }
    for i in 0..random.below(41 - hazards) {
        let far = if random.below(2) == 0 { 40.0 } else { 400.0 };
        let out = random.between(8.0, far);
        let (at, name) = (beside(oval, random, out), LANDMARKS[random.below(LANDMARKS.len())]);
        more += &format!(
            "\n[[landmark]]\nname = \"{name} l{i}\"\nx_m = {:.3}\ny_m = {:.3}\nwidth_m = {:.1}\n",
            at.x,
            at.y,
            random.between(0.4, 20.0)
        );
    }
    more
}

/// One random ground of a stream.
///
/// # Errors
/// When no ground is drawn in a hundred tries, or the venue does not open: its problems.
pub fn drawn(random: &mut Random) -> Result<Drawn, Failure> {
    let outline = (0..100).find_map(|_| outline(random)).ok_or("no ground in a hundred draws")?;
    let oval = Oval::new(&outline, RuleSet::laws())?;
    let n = outline.parameters().len();
    let sd = if random.below(3) == 0 { random.between(0.2, 1.0) } else { 0.02 };
    let mut spread = Spread::none();
    for i in 0..n {
        spread.add_axis((0..n).map(|j| if i == j { sd } else { 0.0 }).collect::<Vec<_>>());
    }
    let fit = FitFile {
        outline,
        spread,
        axis_from: AxisFrom::Posts,
        end_width_m: 19.2,
        points_used: 90,
        points_set_aside: 0,
        rms_m: 0.02,
        largest_m: 0.05,
        largest_bearing_deg: 190.0,
        post_miss_m: 0.01,
        departures: Vec::new(),
        error_lasts_m: None,
        conflicts: Vec::new(),
        also_possible: Vec::new(),
        unsurveyed: Vec::new(),
    };
    let names = Names {
        ends: [["Silo", "Wheat Bin", "Recreation Reserve"][random.below(3)].into(), "School".into()],
        sides: ["Pavilion".into(), ["Road", "Netball Clubrooms"][random.below(2)].into()],
    };
    let rules = RuleSet::laws();
    let survey = SurveyBytes {
        bytes: b"x,y\n",
        ending: "csv",
        method: None,
        edge: Edge::Outer,
        line_width_m: None,
        said: Said::default(),
    };
    let made = register(&Registration {
        keep: &[],
        trim: None,
        accepted: &[],
        shape: None,
        id: "random-oval",
        name: "Random Oval",
        names: &names,
        plane: LocalPlane::own(),
        surveys: &[survey],
        surveyed: Day::new(2026, 3, 14)?,
        place_sd_m: 0.05,
        point_sd_m: None,
        fit: &fit,
        rules: &rules,
    })
    .map_err(|all| format!("{all:?}"))?;
    let get = |name: &str| {
        made.files.iter().find(|(n, _)| n == name).map(|(_, b)| b.clone()).ok_or("no such file".to_owned())
    };
    let text = String::from_utf8(get("venue.toml")?)?;
    let text = above_end_mark(&text, &around(&oval, random));
    let venue = open(&text, get).map_err(|e| format!("{e:?}"))?;
    let briefing = briefing(&venue, Day::new(2026, 8, 1)?);
    Ok(Drawn { venue, briefing })
}

/// A label read back from a page.
#[derive(Debug, Clone)]
struct Label {
    id: String,
    role: Role,
    texts: Vec<String>,
    boxes: Vec<TextBox>,
    leader: Vec<[(f64, f64); 2]>,
}

fn labels(page: &Page) -> Vec<Label> {
    let wanted = [Role::Label, Role::Paragraph, Role::Heading(1), Role::Heading(2)];
    page.groups()
        .filter(|g| wanted.contains(&g.role()))
        .map(|g| {
            let mut label = Label {
                id: g.id().map_or_else(String::new, |id| id.name().to_owned()),
                role: g.role(),
                texts: Vec::new(),
                boxes: Vec::new(),
                leader: Vec::new(),
            };
            for item in g.items() {
                match item {
                    Item::Text(t) => {
                        label.texts.push(t.said());
                        label.boxes.push(t.filled());
                    }
                    Item::Stroke(s) if label.id != "dial" && label.id != "scale" => {
                        label.leader = s.path().steps().windows(2).filter_map(segment).collect();
                    }
                    _ => {}
                }
            }
            label
        })
        .collect()
}

fn segment(steps: &[Step]) -> Option<[(f64, f64); 2]> {
    let place = |step: &Step| match step {
        Step::Move(p) | Step::Line(p) => Some(*p),
        _ => None,
    };
    Some([place(&steps[0])?, place(&steps[1])?])
}

fn line(page: &Page) -> Vec<(f64, f64)> {
    let group = page.groups().find(|g| g.id().is_some_and(|id| id.name() == "line"));
    let steps = group.into_iter().flat_map(Group::items).flat_map(|item| match item {
        Item::Stroke(s) => s.path().steps().to_vec(),
        _ => Vec::new(),
    });
    let mut places: Vec<(f64, f64)> = steps
        .filter_map(|s| match s {
            Step::Move(p) | Step::Line(p) | Step::Cubic(_, _, p) => Some(p),
            Step::Close => None,
        })
        .collect();
    places.extend(places.first().copied());
    places
}

/// Does any place of a segment, looked at every 0.05 mm, lie in a box?
fn lies_on(b: &TextBox, a: (f64, f64), z: (f64, f64)) -> bool {
    let n = ((z.0 - a.0).hypot(z.1 - a.1) / 0.05).ceil().max(1.0) as usize;
    (0..=n).any(|i| {
        let t = i as f64 / n as f64;
        let (x, y) = (a.0 + t * (z.0 - a.0), a.1 + t * (z.1 - a.1));
        x > b.left && x < b.right && y > b.top && y < b.bottom
    })
}

fn cross(a: [(f64, f64); 2], b: [(f64, f64); 2]) -> bool {
    let turn =
        |p: (f64, f64), q: (f64, f64), r: (f64, f64)| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    turn(a[0], a[1], b[0]) * turn(a[0], a[1], b[1]) < 0.0
        && turn(b[0], b[1], a[0]) * turn(b[0], b[1], a[1]) < 0.0
}

/// Lays a ground out on a paper and reads it back.
///
/// # Errors
/// Everything that is not as it must be: labels on each other, on the line or off the page; a spot, an end, a side,
/// a hazard or a landmark that is not told.
pub fn laid_out(drawn: &Drawn, paper: Paper) -> Result<Told, String> {
    let page = plan(&drawn.venue, &drawn.briefing, paper).map_err(|e| e.to_string())?;
    let all = labels(&page);
    let mut wrong: Vec<String> = Vec::new();
    let (w, h) = paper.size_mm();
    // Roundings of sums of widths.
    let least = 1e-6;
    for (i, a) in all.iter().enumerate() {
        for b in &a.boxes {
            if b.left < 2.0 || b.top < 2.0 || b.right > w - 2.0 || b.bottom > h - 2.0 {
                wrong.push(format!("{} {:?} leaves the page", a.id, a.texts));
            }
        }
        for z in &all[i + 1..] {
            if a.boxes.iter().any(|x| z.boxes.iter().any(|y| x.grown(-least).meets(&y.grown(-least)))) {
                wrong.push(format!("{} {:?} lies on {} {:?}", a.id, a.texts, z.id, z.texts));
            }
        }
    }
    let line = line(&page);
    if line.len() < 100 {
        wrong.push("no line was found".to_owned());
    }
    for label in all.iter().filter(|l| l.role == Role::Label) {
        if label.boxes.iter().any(|b| line.windows(2).any(|s| lies_on(b, s[0], s[1]))) {
            wrong.push(format!("{} {:?} lies on the line", label.id, label.texts));
        }
    }
    told(drawn, paper, &all, &mut wrong);
    let mut crossings = 0;
    for (i, a) in all.iter().enumerate() {
        for b in &all[i + 1..] {
            if a.leader.iter().any(|x| b.leader.iter().any(|y| cross(*x, *y))) {
                crossings += 1;
            }
        }
    }
    let number = |l: &&Label| l.id.starts_with("hazard-");
    let told = Told {
        plans: 1,
        labels: all.iter().filter(|l| l.role == Role::Label).count(),
        apart: drawn.venue.document.surroundings.hazards.len() - all.iter().filter(number).count(),
        crossings,
        wrong: Vec::new(),
    };
    if wrong.is_empty() { Ok(told) } else { Err(wrong.join("\n")) }
}

/// Is everything told that must be?
fn told(drawn: &Drawn, paper: Paper, all: &[Label], wrong: &mut Vec<String>) {
    let find = |id: &str| all.iter().find(|l| l.id == id);
    let around = &drawn.venue.document.surroundings;
    let range = drawn.venue.document.practice.goal_range_m.value;
    for (side, end, name, _) in &drawn.briefing.spots {
        let side = if *side == Side::Left { "left" } else { "right" };
        let end = if *end == End::A { "a" } else { "b" };
        let id = match name {
            NamedSpot::Wing => format!("spot-{side}-wing"),
            NamedSpot::GoalRange => format!("spot-{side}-{end}-range"),
            _ => format!("spot-{side}-{end}-{}", name.name().replace(' ', "-")),
        };
        let label = name.label(range);
        if !find(&id).is_some_and(|l| l.texts.iter().any(|t| *t == label)) {
            wrong.push(format!("{id} is not named"));
        }
    }
    for (id, end) in [("end-a", End::A), ("end-b", End::B)] {
        let name = format!("{} end", drawn.venue.document.names.end(end).to_uppercase());
        if !find(id).is_some_and(|l| l.texts.contains(&name)) {
            wrong.push(format!("{name} is not named"));
        }
    }
    for (id, side) in [("side-left", Side::Left), ("side-right", Side::Right)] {
        let name = drawn.venue.document.names.side(side).to_uppercase();
        if find(id).is_none_or(|l| l.texts.join(" ") != format!("{name} side")) {
            wrong.push(format!("{name} side is not named"));
        }
    }
    let heads: Vec<&Label> = all.iter().filter(|l| l.id.starts_with("watch-")).collect();
    for (i, hazard) in around.hazards.iter().enumerate() {
        let row = heads.iter().find(|l| l.role == Role::Paragraph && l.texts.contains(&hazard.name));
        let Some(row) = row else {
            wrong.push(format!("hazard {i} {} is not under WATCH", hazard.name));
            continue;
        };
        let number = row.id.trim_start_matches("watch-");
        let labelled = find(&format!("hazard-{number}")).is_some_and(|l| l.texts.iter().any(|t| t == number));
        if !labelled && !row.texts.iter().any(|t| t.contains('/') || t.ends_with("wing")) {
            wrong.push(format!(
                "hazard {number} {} has neither number nor place: {:?}",
                hazard.name, row.texts
            ));
        }
    }
    if paper == Paper::A6 {
        return;
    }
    // Lines of the foot are wrapped anywhere between words.
    let said = all.iter().flat_map(|l| l.texts.iter().map(String::as_str)).collect::<Vec<_>>().join(" ");
    for landmark in &around.landmarks {
        if !said.contains(&landmark.name) {
            wrong.push(format!("landmark {} is nowhere", landmark.name));
        }
    }
}

/// So many random grounds, each on A5 and A4.
///
/// # Errors
/// A ground that can't be made: the drawing of grounds is wrong then, not a plan.
pub fn lay_out(seed: u64, grounds: usize) -> Result<Told, Failure> {
    let mut sum = Told::default();
    for i in 0..grounds {
        let drawn = drawn(&mut Random::named(seed, &format!("plan {i}")))?;
        for paper in [Paper::A5, Paper::A4] {
            match laid_out(&drawn, paper) {
                Ok(told) => {
                    sum.plans += told.plans;
                    sum.labels += told.labels;
                    sum.apart += told.apart;
                    sum.crossings += told.crossings;
                }
                Err(why) => sum.wrong.push(format!("ground {i} on {}:\n{why}", paper.name())),
            }
        }
    }
    Ok(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two thousand are in the slow tier.
    #[test]
    fn labels_of_a_few_random_grounds_keep_off_each_other_the_line_and_the_rim() {
        let told = lay_out(14, 25).unwrap();
        assert!(told.plans == 50 && told.labels > 50 * 30, "{told:?}");
        assert!(told.crossings == 0 && told.wrong.is_empty(), "{:?}", told.wrong);
    }
}
