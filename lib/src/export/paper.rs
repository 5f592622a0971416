//! What a text is laid out for: how many columns, and which signs.

/// The columns of a text, and whether only plain ASCII will do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paper {
    columns: usize,
    ascii: bool,
}

impl Paper {
    /// Fewer columns than this hold no table and few words.
    pub const LEAST: usize = 24;
    /// More than this no eye follows.
    pub const MOST: usize = 200;

    /// So many columns, held between [`Paper::LEAST`] and [`Paper::MOST`].
    ///
    /// # Units
    /// Columns of a terminal: `½` and `±` take one, a wide character two.
    ///
    /// # Examples
    /// ```
    /// use ovalpeg::export::Paper;
    /// assert_eq!(Paper::new(36, false).columns(), 36);
    /// assert_eq!(Paper::new(3, false).columns(), Paper::LEAST);
    /// ```
    #[must_use]
    pub fn new(columns: usize, ascii: bool) -> Self {
        Self { columns: columns.clamp(Self::LEAST, Self::MOST), ascii }
    }

    /// How many columns.
    #[must_use]
    pub fn columns(self) -> usize {
        self.columns
    }

    /// Plain ASCII only?
    #[must_use]
    pub fn ascii(self) -> bool {
        self.ascii
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boundary::{End, Side};
    use crate::briefing::{
        CAUTIONS, MomentQuery, ZoneSizes, answer, bearings, briefing, phase_sheet, spot_row,
    };
    use crate::export::lines::wide;
    use crate::export::{
        calls_text, card, long_card, phase_sheet_text, rule_sets_text, rules_text, short_card, stations_text,
        throw_in_text,
    };
    use crate::ground::{SpotRef, outline_for_tests as outline};
    use crate::units::Day;
    use crate::venue::for_tests::{hazard, landmark, named, tight};
    use crate::venue::{Names, Venue};

    const DAY: &str = "2026-08-01";

    /// Names that are long, wide, or one word wider than a narrow page.
    fn awkward() -> Venue {
        let o = outline(165.0, 135.0);
        let names = Names {
            ends: ["東の大きな給水塔".into(), "Schoolhouseandstables".chars().take(20).collect()],
            sides: ["Grandstand & Pavilion".chars().take(20).collect(), "Rd".into()],
        };
        let mut more = "\n[fence]\ndistance_m = 6.0\n".to_owned();
        more += &hazard(&o, "Donaudampfschifffahrtsgesellschaftsmast", (Side::Left, End::A), 61.0, 1.3);
        more += &hazard(&o, "消火栓の金属製の大きなふたと排水溝", (Side::Right, End::B), 40.0, 2.0);
        more += &tight(&o, (Side::Right, End::A), 100.0, 2.4, 30.0);
        for (i, name) in
            ["the old weatherboard clubrooms' chimney", "Überlandleitungsmast", "木", "e\u{301}cole"]
                .iter()
                .enumerate()
        {
            let at = (if i % 2 == 0 { Side::Left } else { Side::Right }, End::A);
            more += &landmark(&o, name, at, 40.0 + 15.0 * i as f64, 60.0);
        }
        named(&o, "Wagga Wagga & Murrumbidgee Irrigators' Recreation Reserve Nº 2", &names, &more).0
    }

    /// Every text of a venue, for one paper after the other.
    fn texts(v: &Venue) -> impl Fn(Paper) -> Vec<(&'static str, String)> + '_ {
        let b = briefing(v, DAY.parse::<Day>().unwrap());
        let zones = ZoneSizes::of(&v.ground);
        let (declination, cautions) = bearings(v, DAY.parse().unwrap());
        let at = SpotRef::FromPost { side: Side::Left, end: End::A, metres: 74.0 };
        let row = spot_row(v, declination.as_ref(), at, End::A, false).unwrap();
        let phases: Vec<_> = phase_sheet(v)
            .into_iter()
            .filter_map(|(t, m)| Some((t, answer(v, declination.as_ref(), &MomentQuery::new(m)).ok()?)))
            .collect();
        move |paper| {
            vec![
                ("card", card(v, &b, paper)),
                ("long", long_card(v, &b, zones.as_ref(), paper)),
                ("short", short_card(v, &b, None, paper)),
                ("one line's", short_card(v, &b, Some(Side::Left), paper)),
                ("the other's", short_card(v, &b, Some(Side::Right), paper)),
                ("throw-in", throw_in_text(v, &row, &cautions, true, paper)),
                ("stations", stations_text(v, &b, paper)),
                ("sheet", phase_sheet_text(v, &phases, &CAUTIONS.map(str::to_owned), paper)),
                ("calls", calls_text(paper)),
                ("rules", rules_text(&v.document.rules, paper)),
                ("rule sets", rule_sets_text(&[], "venues", paper)),
            ]
        }
    }

    #[test]
    fn no_width_is_exceeded_and_none_panics() {
        let v = awkward();
        let made = texts(&v);
        for columns in Paper::LEAST..=Paper::MOST {
            for ascii in [false, true] {
                for (what, text) in made(Paper::new(columns, ascii)) {
                    for line in text.lines() {
                        assert!(wide(line) <= columns, "{what} at {columns}: '{line}'");
                        assert_eq!(line, line.trim_end(), "{what} at {columns}");
                        assert!(!line.contains(crate::export::lines::TIE), "{what} at {columns}: '{line}'");
                    }
                    assert!(!ascii || text.is_ascii(), "{what} at {columns}");
                }
            }
        }
    }

    #[test]
    fn a_name_is_broken_where_it_must_and_never_cut() {
        let v = awkward();
        let b = briefing(&v, DAY.parse::<Day>().unwrap());
        for columns in [Paper::LEAST, 30, 36, 44, 49, 80, Paper::MOST] {
            for text in [
                card(&v, &b, Paper::new(columns, false)),
                short_card(&v, &b, Some(Side::Left), Paper::new(columns, false)),
                short_card(&v, &b, Some(Side::Right), Paper::new(columns, false)),
            ] {
                let whole: String = text.chars().filter(|c| !c.is_whitespace()).collect();
                for (side, .., row) in &b.spots {
                    let Some(found) = row.backsight else { continue };
                    // One line's card has that line's names alone.
                    if text.contains("YOUR LINE ")
                        && !text.contains(&v.document.names.side(*side).to_uppercase())
                    {
                        continue;
                    }
                    let name = &v.document.surroundings.landmarks[found.landmark].name;
                    // In columns the words of a name have others between them, and are whole for all that.
                    for word in name.split_whitespace() {
                        assert!(whole.contains(word), "{word} at {columns}:\n{text}");
                    }
                }
            }
        }
    }
}
