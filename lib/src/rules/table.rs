//! The macro behind the table of a rule set's numbers and the table of practice. Each row states the key,
//! meaning, unit, default and bounds once; the fields, `set`,
//! the checks and every listing are generated from it.

use super::{Choice, Sourced};
use crate::units::print::plain;

/// What is fixed about a number: its key, meaning and unit, and the values that may be written for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The key in a venue's or a league's file, and the field's name.
    pub key: &'static str,
    /// What it is, as a sentence.
    pub what: &'static str,
    /// Its unit: `m`, `°`, `min`, `m/s`, `players`; empty for a share.
    pub unit: &'static str,
    /// Least that may be written.
    pub least: f64,
    /// Most that may be written; a larger number is taken for a slip.
    pub most: f64,
    /// May a rule set be without it?
    pub optional: bool,
}

/// Why a number can't be set.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum NotSet {
    /// There is no such key.
    NoSuchKey,
    /// The value is outside its row's bounds.
    Outside(Row, f64),
    /// Every rule set needs it.
    Needed(Row),
    /// Something other than a number was written.
    NoNumber(Row),
    /// The choice does not have this value.
    NoSuchChoice(Choice),
    /// The same file has set it before.
    Twice,
}

impl std::fmt::Display for NotSet {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoSuchKey => f.write_str("there is no such key"),
            Self::Twice => f.write_str("it is changed twice"),
            Self::Outside(row, value) if value.is_finite() => {
                let unit = if row.unit.is_empty() { String::new() } else { format!(" {}", row.unit) };
                let [value, least, most] = [*value, row.least, row.most].map(plain);
                write!(f, "{} is {value}, outside {least} to {most}{unit}", row.key)
            }
            Self::Outside(row, _) | Self::NoNumber(row) => write!(f, "{} is not a number", row.key),
            Self::Needed(row) => write!(f, "{} can't be left out", row.key),
            Self::NoSuchChoice(choice) => write!(f, "{} is {}", choice.key(), choice.may_be()),
        }
    }
}

impl std::error::Error for NotSet {}

impl Row {
    /// A number of this row as printed: `135 m`, `none`.
    #[must_use]
    pub fn shown(self, number: Sourced) -> String {
        let Some(value) = number.given() else { return "none".to_owned() };
        let text = plain(value);
        match self.unit {
            "" => text,
            "°" => format!("{text}°"),
            "players" if value == 1.0 => format!("{text} player"),
            unit => format!("{text} {unit}"),
        }
    }

    /// Checks that the value is within the bounds.
    ///
    /// # Errors
    /// [`NotSet::Outside`] when it is not, or is NaN.
    pub fn holds(self, value: f64) -> Result<(), NotSet> {
        // Written so that NaN fails too.
        if (self.least..=self.most).contains(&value) { Ok(()) } else { Err(NotSet::Outside(self, value)) }
    }
}

/// A struct of [`Sourced`] numbers, and the table of their keys, from one list.
macro_rules! numbers {
    (
        $(#[$about:meta])*
        pub struct $name:ident {
            $(
                $(#[doc = $what:literal])+
                $key:ident: $default:expr, $least:literal to $most:literal, $unit:literal $(, $optional:ident)?;
            )+
        }
        $(also {
            $( $(#[$field_about:meta])* pub $field:ident: $kind:ty = $initial:expr, )+
        })?
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $(
                $(#[doc = $what])+
                #[doc = concat!(" Unit: ", $unit, ".")]
                pub $key: super::Sourced,
            )+
            $($( $(#[$field_about])* pub $field: $kind, )+)?
        }

        impl $name {
            /// The keys, in the order in which they are listed, with their meaning, unit and bounds.
            pub const ROWS: &'static [super::Row] = &[
                $(
                    super::Row {
                        key: stringify!($key),
                        what: concat!($($what),+).trim_ascii(),
                        unit: $unit,
                        least: $least as f64,
                        most: $most as f64,
                        optional: !stringify!($($optional)?).is_empty(),
                    },
                )+
            ];

            /// The default of every row.
            const fn defaults() -> Self {
                Self { $( $key: $default, )+ $($( $field: $initial, )+)? }
            }

            /// The number of this key.
            #[must_use]
            pub fn get(&self, key: &str) -> Option<super::Sourced> {
                match key {
                    $( stringify!($key) => Some(self.$key), )+
                    _ => None,
                }
            }

            pub(super) fn slot(&mut self, key: &str) -> Option<&mut super::Sourced> {
                match key {
                    $( stringify!($key) => Some(&mut self.$key), )+
                    _ => None,
                }
            }

            /// The row of this key.
            #[must_use]
            pub fn row(key: &str) -> Option<super::Row> {
                Self::ROWS.iter().copied().find(|row| row.key == key)
            }

            /// Every row with its number.
            pub fn entries(
                &self,
            ) -> impl Iterator<Item = (super::Row, super::Sourced)> + '_ {
                Self::ROWS.iter().filter_map(|row| Some((*row, self.get(row.key)?)))
            }
        }
    };
}

pub(super) use numbers;
