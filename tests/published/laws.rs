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
