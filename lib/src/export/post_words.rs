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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::End;
    use crate::briefing::briefing;
    use crate::ground::outline_for_tests as outline;
    use crate::units::Day;
    use crate::venue::for_tests::{tight, venue};

    #[test]
    fn posts_are_told_post_by_post_and_equal_ones_together() {
        let o = outline(165.0, 135.0);
        let of = |more: &str, line| {
            let v = venue(&o, &format!("\n[fence]\ndistance_m = 6.0\n{more}")).0;
            post_words(&v, &briefing(&v, Day::new(2026, 8, 1).unwrap()), line)
        };
        assert_eq!(of("", None), "1 m behind it");
        let near = tight(&o, (Side::Right, End::B), 1.0, 0.6, 8.0);
        let (both, right, left) =
            (of(&near, None), of(&near, Some(Side::Right)), of(&near, Some(Side::Left)));
        // One line at a post beside a fence, whatever is computed there, and never the practice's own metre.
        assert!(both.contains("SILO/SHED, SILO/ROAD and SCHOOL/SHED: 1 m behind it"), "{both}");
        assert!(both.contains("SCHOOL/ROAD: ") && both.contains("(fence 0.6 m)"), "{both}");
        assert!(right.starts_with("SILO: 1 m behind it; SCHOOL: ") && left == "1 m behind it", "{right}");
    }
}
