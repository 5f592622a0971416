//! The numbers of the game as the library holds them, each beside the source it
//! was read in. A number that changes here by accident changes every ground.

use ovalpeg::rules::{Method, Practice, RuleSet, Sourced, Standing};

use crate::support::close;

/// Value, a piece of the source, and how sure it is.
#[track_caller]
fn holds(what: &str, number: Sourced, value: f64, source: &str, standing: Standing) {
    // Written down, not computed, so equal to the last bit.
    assert_eq!(number.value, value, "{what}");
    assert!(number.source.contains(source), "{what}: '{}' does not name '{source}'", number.source);
    assert_eq!(number.standing, standing, "{what}");
}

#[test]
fn size_of_a_senior_ground() {
    let laws = RuleSet::laws();
    // Laws of Australian Football, Law 3.2(a), editions of the 2010s, unchanged in the amendments of 2021.
    holds("least length", laws.length_min_m, 135.0, "Law 3.2(a)", Standing::Sure);
    holds("greatest length", laws.length_max_m, 185.0, "Law 3.2(a)", Standing::Sure);
    holds("least width", laws.width_min_m, 110.0, "Law 3.2(a)", Standing::Sure);
    holds("greatest width", laws.width_max_m, 155.0, "Law 3.2(a)", Standing::Sure);
}

#[test]
fn goals() {
    let laws = RuleSet::laws();
    // Laws, short version 3.2.1(a) and (b): goal posts 6.4 m apart, behind posts 6.4 m each side.
    holds("gap of posts", laws.post_gap_m, 6.4, "short version 3.2.1(a), (b)", Standing::Sure);
    // Three gaps; 3 × 6.4 rounds in its last bit.
    close("goal line with behind lines", laws.end_width_m(), 19.2, 1e-14);
    // Western Australian Government, Sports Dimensions Guide; Law 1.5 of the 1990s says the same.
    holds("goal square", laws.goal_square_depth_m, 9.0, "Sports Dimensions Guide", Standing::Sure);
}

#[test]
fn markings() {
    let laws = RuleSet::laws();
    // Western Australian Government, Sports Dimensions Guide, football (Australian rules).
    holds("centre square", laws.square_side_m, 50.0, "Sports Dimensions Guide", Standing::Sure);
    holds("inner circle", laws.inner_circle_diameter_m, 3.0, "Sports Dimensions Guide", Standing::Sure);
    holds("outer circle", laws.outer_circle_diameter_m, 10.0, "Sports Dimensions Guide", Standing::Sure);
    holds("interchange", laws.interchange_m, 15.0, "Sports Dimensions Guide", Standing::Sure);
    // An encyclopaedia's article that cites the Laws; the guide says "a 50 m arc at each end".
    holds("arc", laws.arc_radius_m, 50.0, "encyclopaedia", Standing::Likely);
    // Check diagonals of the centre square and goal square: derived, printed to the millimetre.
    let side = laws.square_side_m.value;
    close("diagonal of the centre square", side.hypot(side), 70.711, 0.0005);
    let goal_square = laws.goal_square_depth_m.value.hypot(laws.post_gap_m.value);
    close("diagonal of the goal square", goal_square, 11.044, 0.0005);
}

#[test]
fn run_off() {
    let laws = RuleSet::laws();
    // At least 5 m: an encyclopaedia's article that cites the Laws.
    holds("run-off", laws.run_off_m, 5.0, "encyclopaedia", Standing::Likely);
    // 3 m on existing local grounds: Western Australian Government, Sports Dimensions Guide.
    holds("run-off that warns", laws.run_off_warn_m, 3.0, "Sports Dimensions Guide", Standing::Sure);
}

#[test]
fn smaller_grounds() {
    // A Queensland council's sheet: 145 × 110 m.
    let reduced = RuleSet::reduced_senior();
    holds("reduced length", reduced.length_min_m, 145.0, "Queensland council", Standing::Sure);
    holds("reduced width", reduced.width_min_m, 110.0, "Queensland council", Standing::Sure);
    // Junior rules appendix, under 11 and under 12: 110 × 80 m at the least.
    let juniors = RuleSet::juniors_u12();
    holds("junior length", juniors.length_min_m, 110.0, "junior rules appendix", Standing::Sure);
    holds("junior width", juniors.width_min_m, 80.0, "junior rules appendix", Standing::Sure);
}

#[test]
fn juniors_and_nine_a_side() {
    // Junior rules appendix, under 9 and under 10; a council's sheet: 100 × 80 m.
    let u10 = RuleSet::juniors_u10();
    holds("under 10, length", u10.length_min_m, 100.0, "Queensland council's sheet", Standing::Sure);
    holds("under 10, width", u10.width_min_m, 80.0, "junior rules appendix", Standing::Sure);
    // A Queensland regional league, under 10: 90 × 60 m.
    let regional = RuleSet::juniors_u10_regional();
    holds("regional length", regional.length_min_m, 90.0, "Queensland regional league", Standing::Sure);
    holds("regional width", regional.width_min_m, 60.0, "Queensland regional league", Standing::Sure);
    // Nine-a-side, rules of the Australian Capital Territory: 100 × 50 m in zones of 30, 40 and 30 m.
    let nine = RuleSet::nine_a_side();
    holds("nine, length", nine.length_min_m, 100.0, "Australian Capital Territory", Standing::Sure);
    holds("nine, width", nine.width_min_m, 50.0, "Australian Capital Territory", Standing::Sure);
    holds("nine, end zone", nine.zone_depth_m, 30.0, "Australian Capital Territory", Standing::Sure);
    close("nine, middle zone", nine.length_min_m.value - 2.0 * nine.zone_depth_m.value, 40.0, 1e-12);
    // No source was found for a junior square or arc: nothing is claimed.
    for (what, number) in [("square", u10.square_side_m), ("arc", u10.arc_radius_m)] {
        assert_eq!(number.standing, Standing::NotStated, "{what}");
    }
    assert_eq!(nine.square_side_m.given(), None);
}

#[test]
fn editions() {
    // Law 1.1.2 of the 1990s: a square of 45 m, the dividing line at most 2 m past the 3 m circle each side.
    let old = RuleSet::laws_1990s();
    holds("square", old.square_side_m, 45.0, "Law 1.1.2", Standing::Sure);
    holds("dividing line", old.dividing_line_m, 3.0 + 2.0 * 2.0, "Law 1.1.2", Standing::Sure);
    holds("goal square", old.goal_square_depth_m, 9.0, "Law 1.5", Standing::Sure);
    for number in [old.square_side_m, old.dividing_line_m, old.goal_square_depth_m] {
        assert_eq!(number.edition, Some("1990s edition"));
    }
    assert_eq!(RuleSet::laws().length_min_m.edition, Some("2010s editions"));
}

#[test]
fn the_mark_of_a_kick_in() {
    // AFL sheet of 2019: 10 m from the kick-off line, so 19 m from the goal line.
    let then = RuleSet::laws_2019();
    holds("2019", then.kick_in_mark_m, 10.0, "AFL kick-in sheet", Standing::Sure);
    assert_eq!((then.kick_in_mark_m.year, then.kick_in_mark_from_goal_m()), (Some(2019), 19.0));
    // AFL announcement for the season of 2021: 15 m, so 24 m.
    let now = RuleSet::laws();
    holds("2021", now.kick_in_mark_m, 15.0, "AFL announcement", Standing::Sure);
    assert_eq!((now.kick_in_mark_m.year, now.kick_in_mark_from_goal_m()), (Some(2021), 24.0));
}

#[test]
fn starting_positions() {
    // AFL rule changes, 2019.
    let laws = RuleSet::laws();
    for (what, number, value) in [
        ("inside each arc", laws.start_in_arc, 6.0),
        ("in the goal square", laws.start_in_goal_square, 1.0),
        ("in the square", laws.start_in_square, 4.0),
        ("on each wing", laws.start_on_wing, 1.0),
    ] {
        holds(what, number, value, "AFL rule changes", Standing::Sure);
        assert_eq!(number.year, Some(2019), "{what}");
    }
}

#[test]
fn practice_of_officials_is_never_called_a_law() {
    let p = Practice::default();
    // Common practice, no source; the numbers are those of the project's definitions.
    let rows = [
        ("back from the crossing point", p.back_m, 15.0),
        ("goal range", p.goal_range_m, 25.0),
        ("at the post", p.at_post_m, 1.0),
        ("corridor", p.corridor_m, 1.0),
        ("least back", p.back_least_m, 8.0),
        ("clear of the square", p.square_clear_m, 0.5),
        ("throw-in", p.throw_m, 15.0),
        ("throw-in clear of the goals", p.throw_clear_m, 15.0),
        ("either side", p.either_m, 5.0),
        ("kick", p.kick_m, 50.0),
        ("ahead of a set kick", p.set_kick_m, 35.0),
        ("set shot", p.set_shot_m, 55.0),
        ("bearing alone", p.bearing_only_m, 1000.0),
        // One and a half fists.
        ("a landmark's limit", p.backsight_limit_deg, 15.0),
        ("near a line", p.near_line_m, 20.0),
        ("near a line, of the width", p.near_line_share, 0.25),
        ("clear of the post", p.post_clear_m, 0.5),
        ("least behind the post", p.post_least_m, 0.3),
        ("views alike", p.shift_alike_m, 0.3),
        ("long side first", p.long_first_m, 0.5),
        ("square inside the line", p.square_inside_m, 3.0),
        ("arc's top from the centre", p.arc_centre_m, 5.0),
        ("goal range, of the length", p.goal_range_share, 0.2),
        ("set shot, of the length", p.set_shot_share, 0.42),
        ("ahead, of the length", p.set_kick_share, 0.3),
    ];
    for (what, number, value) in rows {
        holds(what, number, value, "no source", Standing::CommonPractice);
    }
}

#[test]
fn a_class_three_tape() {
    // EU Measuring Instruments Directive: a class III tape may be 0.6 + 0.4 L mm off, 20.6 mm in
    // 50 m, and an even error of that size has a standard deviation of it over √3.
    let scale = Method::Tape.scale_sd();
    assert!(scale.source.contains("Measuring Instruments Directive"), "{}", scale.source);
    // Held to two digits, so to half of the second.
    close("scale of a tape", scale.value, 0.0206 / 50.0 / 3f64.sqrt(), 0.5e-5);
}
