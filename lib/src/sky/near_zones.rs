//! The time zones that a page holds where the world's would be most of it: those of Australia, of its islands,
//! and of the neighbours that play the game. Each has the rules of the same database as the whole.

use jiff::tz::{TimeZone, get};

/// What is held, for who asked for a zone that is not.
#[cfg(not(feature = "world-zones"))]
pub(super) const HELD: &str = "a name of the IANA database, of those held here: Australia's and its neighbours', as Australia/Melbourne";

/// By a name of the IANA database, or an older one that it keeps for the same zone; `None`: not held.
pub(super) fn find(name: &str) -> Option<TimeZone> {
    Some(match name.to_ascii_lowercase().as_str() {
        "australia/adelaide" | "australia/south" => get!("Australia/Adelaide"),
        "australia/brisbane" | "australia/queensland" => get!("Australia/Brisbane"),
        "australia/broken_hill" | "australia/yancowinna" => get!("Australia/Broken_Hill"),
        "australia/darwin" | "australia/north" => get!("Australia/Darwin"),
        "australia/eucla" => get!("Australia/Eucla"),
        "australia/hobart" | "australia/tasmania" | "australia/currie" => get!("Australia/Hobart"),
        "australia/lindeman" => get!("Australia/Lindeman"),
        "australia/lord_howe" | "australia/lhi" => get!("Australia/Lord_Howe"),
        "australia/melbourne" | "australia/victoria" => get!("Australia/Melbourne"),
        "australia/perth" | "australia/west" => get!("Australia/Perth"),
        "australia/sydney" | "australia/act" | "australia/canberra" | "australia/nsw" => {
            get!("Australia/Sydney")
        }
        "antarctica/macquarie" => get!("Antarctica/Macquarie"),
        "indian/christmas" => get!("Indian/Christmas"),
        "indian/cocos" => get!("Indian/Cocos"),
        "pacific/auckland" | "nz" => get!("Pacific/Auckland"),
        "pacific/nauru" => get!("Pacific/Nauru"),
        "pacific/norfolk" => get!("Pacific/Norfolk"),
        "pacific/port_moresby" => get!("Pacific/Port_Moresby"),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;

    use super::*;

    /// Every name above, as the database writes it.
    const HELD: [&str; 30] = [
        "Australia/Adelaide",
        "Australia/South",
        "Australia/Brisbane",
        "Australia/Queensland",
        "Australia/Broken_Hill",
        "Australia/Yancowinna",
        "Australia/Darwin",
        "Australia/North",
        "Australia/Eucla",
        "Australia/Hobart",
        "Australia/Tasmania",
        "Australia/Currie",
        "Australia/Lindeman",
        "Australia/Lord_Howe",
        "Australia/LHI",
        "Australia/Melbourne",
        "Australia/Victoria",
        "Australia/Perth",
        "Australia/West",
        "Australia/Sydney",
        "Australia/ACT",
        "Australia/Canberra",
        "Australia/NSW",
        "Antarctica/Macquarie",
        "Indian/Christmas",
        "Indian/Cocos",
        "Pacific/Auckland",
        "Pacific/Nauru",
        "Pacific/Norfolk",
        "Pacific/Port_Moresby",
    ];

    #[test]
    fn each_zone_held_is_the_databases_own_from_2000_to_2037() {
        let from: Timestamp = "2000-01-01T00:00:00Z".parse().unwrap();
        let to: Timestamp = "2038-01-01T00:00:00Z".parse().unwrap();
        let offsets = |zone: &TimeZone| {
            let changes = zone.following(from).take_while(|t| t.timestamp() < to);
            let after: Vec<_> = changes.map(|t| (t.timestamp(), t.offset())).collect();
            (zone.to_offset(from), after)
        };
        for name in HELD {
            let (held, whole) = (find(name).unwrap(), TimeZone::get(name).unwrap());
            assert_eq!(offsets(&held), offsets(&whole), "{name}");
        }
        // Twice a year in Melbourne, and never in Brisbane.
        assert_eq!(offsets(&find("Australia/Melbourne").unwrap()).1.len(), 76);
        assert_eq!(offsets(&find("Australia/Brisbane").unwrap()).1.len(), 0);
    }

    #[test]
    fn every_zone_of_australia_that_the_database_has_is_held() {
        let mut n = 0;
        for name in jiff::tz::db().available() {
            if name.as_str().starts_with("Australia/") {
                assert!(find(name.as_str()).is_some() && HELD.contains(&name.as_str()), "{name} is not held");
                n += 1;
            }
        }
        assert_eq!(n, 23);
        assert!(find("Europe/London").is_none());
    }
}
