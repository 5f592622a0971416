//! States and territories, and the towns of each MGA zone. A person knows these about a place, even where its
//! coordinates do not say which zone they are in.
//!
//! Towns and extents are from memory. An extent is a rectangle with some 10 km to spare. A wrong zone moves a
//! place by six degrees, which the extent reveals in most states but not always in the wide ones.
//! An extent alone never chooses a zone.

use std::ops::RangeInclusive;

use super::{Geodetic, Zone};
use crate::units::print::fixed;

/// A state or territory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Australian Capital Territory.
    Act,
    /// New South Wales.
    Nsw,
    /// Northern Territory.
    Nt,
    /// Queensland.
    Qld,
    /// South Australia.
    Sa,
    /// Tasmania.
    Tas,
    /// Victoria.
    Vic,
    /// Western Australia.
    Wa,
}

/// The rectangle of latitude and longitude that a state fills.
struct Extent {
    latitudes_deg: RangeInclusive<f64>,
    longitudes_deg: RangeInclusive<f64>,
}

impl State {
    /// Every state and territory, in the order of its abbreviation.
    pub const ALL: [Self; 8] =
        [Self::Act, Self::Nsw, Self::Nt, Self::Qld, Self::Sa, Self::Tas, Self::Vic, Self::Wa];

    /// Its abbreviation in lower case.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Act => "act",
            Self::Nsw => "nsw",
            Self::Nt => "nt",
            Self::Qld => "qld",
            Self::Sa => "sa",
            Self::Tas => "tas",
            Self::Vic => "vic",
            Self::Wa => "wa",
        }
    }

    /// The state with this abbreviation, in upper or lower case.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.id().eq_ignore_ascii_case(id))
    }

    /// Its full name, as in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Act => "the Australian Capital Territory",
            Self::Nsw => "New South Wales",
            Self::Nt => "the Northern Territory",
            Self::Qld => "Queensland",
            Self::Sa => "South Australia",
            Self::Tas => "Tasmania",
            Self::Vic => "Victoria",
            Self::Wa => "Western Australia",
        }
    }

    fn extent(self) -> Extent {
        let (latitudes_deg, longitudes_deg) = match self {
            Self::Act => (-36.0..=-35.0, 148.6..=149.5),
            Self::Nsw => (-37.6..=-28.0, 140.9..=153.8),
            Self::Nt => (-26.1..=-10.8, 128.9..=138.1),
            Self::Qld => (-29.3..=-9.0, 137.9..=153.7),
            Self::Sa => (-38.2..=-25.9, 128.9..=141.1),
            Self::Tas => (-43.8..=-39.1, 143.6..=148.6),
            Self::Vic => (-39.3..=-33.9, 140.9..=150.1),
            Self::Wa => (-35.3..=-13.5, 112.7..=129.1),
        };
        Extent { latitudes_deg, longitudes_deg }
    }

    /// Can the place lie in this state? Places just across the border count too.
    #[must_use]
    pub fn may_hold(self, place: &Geodetic) -> bool {
        let Extent { latitudes_deg, longitudes_deg } = self.extent();
        latitudes_deg.contains(&place.latitude_deg()) && longitudes_deg.contains(&place.longitude_deg())
    }
}

impl Zone {
    /// Zones of the mainland and of Tasmania, west to east.
    pub const AUSTRALIA: [Self; 8] =
        [Self(49), Self(50), Self(51), Self(52), Self(53), Self(54), Self(55), Self(56)];

    /// Well-known towns in the zone; empty for zones at sea.
    #[must_use]
    pub fn towns(self) -> &'static [&'static str] {
        match self.number() {
            49 => &["Carnarvon", "Denham"],
            50 => &["Perth", "Geraldton", "Albany", "Port Hedland"],
            51 => &["Kalgoorlie", "Esperance", "Broome"],
            52 => &["Darwin", "Kununurra"],
            53 => &["Alice Springs", "Katherine", "Port Augusta", "Port Lincoln"],
            54 => &["Adelaide", "Mount Gambier", "Mildura", "Warrnambool", "Ballarat", "Mount Isa"],
            55 => &["Melbourne", "Bendigo", "Hobart", "Canberra", "Wagga Wagga", "Cairns"],
            56 => &["Sydney", "Newcastle", "Brisbane", "Rockhampton"],
            _ => &[],
        }
    }

    /// `zone 55, meridian 147° E: Melbourne, Bendigo, …`, for a list to choose from.
    #[must_use]
    pub fn described(self) -> String {
        let towns = self.towns();
        let of = if towns.is_empty() { String::new() } else { format!(": {}", towns.join(", ")) };
        format!("zone {}, meridian {}° E{of}", self.number(), fixed(self.central_meridian_deg(), 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Datum, Degrees};

    fn at(lat: f64, lon: f64) -> Geodetic {
        Geodetic::new(Degrees { latitude: lat, longitude: lon }, 0.0, Datum::Gda2020).unwrap()
    }

    #[test]
    fn every_state_is_found_by_its_letters() {
        for s in State::ALL {
            assert_eq!(State::find(s.id()), Some(s));
            assert_eq!(State::find(&s.id().to_uppercase()), Some(s));
        }
        assert_eq!(State::find("victoria"), None);
    }

    #[test]
    fn a_place_six_degrees_off_leaves_a_state_that_is_no_wider() {
        // One town per state, degrees to two decimals, from memory.
        for (state, lat, lon) in
            [(State::Vic, -36.76, 144.28), (State::Tas, -42.88, 147.33), (State::Act, -35.28, 149.13)]
        {
            assert!(state.may_hold(&at(lat, lon)), "{state:?}");
            for off in [-6.0, 6.0] {
                assert!(!state.may_hold(&at(lat, lon + off)), "{state:?} {off}");
            }
        }
    }

    #[test]
    fn each_town_lies_in_the_zone_that_names_it() {
        // Longitudes in degrees, to a tenth, from memory; none is within 0.1° of its zone's edge.
        for (town, lon) in [
            ("Carnarvon", 113.7),
            ("Denham", 113.5),
            ("Perth", 115.9),
            ("Geraldton", 114.6),
            ("Albany", 117.9),
            ("Port Hedland", 118.6),
            ("Kalgoorlie", 121.5),
            ("Esperance", 121.9),
            ("Broome", 122.2),
            ("Darwin", 130.8),
            ("Kununurra", 128.7),
            ("Alice Springs", 133.9),
            ("Katherine", 132.3),
            ("Port Augusta", 137.8),
            ("Port Lincoln", 135.9),
            ("Adelaide", 138.6),
            ("Mount Gambier", 140.8),
            ("Mildura", 142.2),
            ("Warrnambool", 142.5),
            ("Ballarat", 143.9),
            ("Mount Isa", 139.5),
            ("Melbourne", 145.0),
            ("Bendigo", 144.3),
            ("Hobart", 147.3),
            ("Canberra", 149.1),
            ("Wagga Wagga", 147.4),
            ("Cairns", 145.8),
            ("Sydney", 151.2),
            ("Newcastle", 151.8),
            ("Brisbane", 153.0),
            ("Rockhampton", 150.5),
        ] {
            let zone = Zone::of(&at(-30.0, lon)).unwrap();
            assert!(zone.towns().contains(&town), "{town} is not named by zone {}", zone.number());
        }
        assert_eq!(
            Zone::AUSTRALIA.iter().map(|z| z.towns().len()).sum::<usize>(),
            31,
            "every town is looked at"
        );
    }

    #[test]
    fn a_zone_is_described_by_its_meridian_and_towns() {
        let zone = Zone::new(52).unwrap();
        assert_eq!(zone.described(), "zone 52, meridian 129° E: Darwin, Kununurra");
    }
}
