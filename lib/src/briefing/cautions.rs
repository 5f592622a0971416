//! The short cautions that belong to a card and to an answer.

/// The short cautions that belong to a card.
pub const CAUTIONS: [&str; 3] = [
    "Run-off and hazards are as surveyed: look before you back away.",
    "Thunder within 30 s of the flash: stop, and wait 30 min after the last.",
    "Not a survey plan nor a certificate: the controlling body rules on compliance, the ground's owner on safety.",
];

/// Beside an answer, where nobody surveyed the run-off.
pub(super) const RUN_OFF_UNKNOWN: &str = "Run-off not surveyed: look behind before you back away.";
/// Beside an answer, where no posts were surveyed.
pub(super) const GOALS_ASSUMED: &str = "Goals are assumed: no posts were surveyed.";
/// Beside an answer, where posts were surveyed at one end.
pub(super) const ONE_GOAL_ASSUMED: &str = "The goal line at one end is assumed.";
/// The beginning of the sentence that says where a moved centre square is.
pub(super) const SQUARE_PAINTED: &str = "The centre square is painted";
/// Where the venue has no place on Earth.
pub(super) const NO_PLACE: &str = "No place on Earth is known: bearings are from the survey's own north.";

/// The two notes at the end of an answer: what to look out for, and the other cautions in short. A caution
/// without a short form is given in full.
///
/// # Examples
/// ```
/// use ovalpeg::briefing::{CAUTIONS, two_notes};
/// let [look, rest] = two_notes(&CAUTIONS.map(str::to_owned));
/// assert_eq!(look, "Look behind you before you back away.");
/// assert_eq!(rest, "Thunder within 30 s of the flash: stop.");
/// ```
#[must_use]
pub fn two_notes(cautions: &[String]) -> [String; 2] {
    let known = |text: &str| cautions.iter().any(|c| c == text);
    let look = if known(RUN_OFF_UNKNOWN) {
        "Run-off not surveyed: look behind you first."
    } else {
        "Look behind you before you back away."
    };
    let mut rest: Vec<&str> = Vec::new();
    for c in cautions {
        match c.as_str() {
            // Said already, or only for the card.
            c if c == RUN_OFF_UNKNOWN || c == CAUTIONS[0] || c == CAUTIONS[1] || c == CAUTIONS[2] => {}
            GOALS_ASSUMED => rest.push("Goals are assumed."),
            ONE_GOAL_ASSUMED => rest.push("One goal is assumed."),
            NO_PLACE => rest.push("North is the survey's own."),
            // The card says how far, and which way.
            c if c.starts_with(SQUARE_PAINTED) => rest.push("Square is off centre."),
            other => rest.push(other),
        }
    }
    rest.push(if rest.is_empty() {
        "Thunder within 30 s of the flash: stop."
    } else {
        "Thunder within 30 s: stop."
    });
    [look.to_owned(), rest.join(" ")]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(all: &[&str]) -> [String; 2] {
        two_notes(&all.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn the_notes_of_an_answer_are_two_lines_of_a_card() {
        let all = [&[RUN_OFF_UNKNOWN, GOALS_ASSUMED][..], &CAUTIONS].concat();
        let moved = of(&["The centre square is painted 12.5 m toward Boobialla, turned 3° clockwise."]);
        assert_eq!(moved[1], "Square is off centre. Thunder within 30 s: stop.");
        for said in [of(&CAUTIONS), of(&all), of(&[GOALS_ASSUMED]), of(&[ONE_GOAL_ASSUMED]), moved] {
            assert!(said.iter().all(|s| s.len() <= 49 && !s.is_empty()), "{said:?}");
        }
        assert!(of(&all)[0].contains("not surveyed") && of(&all)[1].contains("Goals are assumed"));
    }

    #[test]
    fn what_has_no_short_form_is_said_whole() {
        assert!(
            of(&["Fitted with scoring ends of 19 m."])[1].starts_with("Fitted with scoring ends of 19 m. ")
        );
    }
}
