//! How to stand at the behind posts, post by post as computed.

use super::words::{QUARTERS, and, limit_words, quarter_on, tenths};
use crate::boundary::Side;
use crate::briefing::{AtPost, Briefing, PostStation};
use crate::venue::Venue;

fn how(venue: &Venue, p: &PostStation) -> String {
    let why = p.limit.map_or_else(String::new, |l| format!(" ({})", limit_words(venue, l)));
    format!("{}{why}", at_post(p.stands))
}

/// `1 m behind it`.
pub(super) fn at_post(stands: AtPost) -> String {
    match stands {
        AtPost::Behind(m) => format!("{} m behind it", tenths(m)),
        AtPost::Along(m) => format!("{} m from it along the line", tenths(m)),
        AtPost::Nowhere => "NO SAFE PLACE".to_owned(),
    }
}

/// `1 m behind it`, or each group of posts with what holds there.
pub(super) fn post_words(venue: &Venue, b: &Briefing, line: Option<Side>) -> String {
    let mut groups: Vec<(String, Vec<&PostStation>)> = Vec::new();
    for p in b.posts.iter().filter(|p| line.is_none_or(|l| p.side == l)) {
        let words = how(venue, p);
        match groups.iter_mut().find(|g| g.0 == words) {
            Some((_, posts)) => posts.push(p),
            None => groups.push((words, vec![p])),
        }
    }
    if let [(words, _)] = &groups[..] {
        return words.clone();
    }
    let said = groups.iter().map(|(words, posts)| format!("{}: {words}", which(venue, posts, line)));
    said.collect::<Vec<_>>().join("; ")
}

/// `SILO/PAVILION and CREEK/ROAD`.
fn which(venue: &Venue, posts: &[&PostStation], line: Option<Side>) -> String {
    let here = |&&(end, side): &&(_, Side)| posts.iter().any(|p| (p.end, p.side) == (end, side));
    let names: Vec<String> =
        QUARTERS.iter().filter(here).map(|&(end, side)| quarter_on(venue, end, side, line)).collect();
    and(&names)
}
