//! Replaces the KMZ reader where the feature `archive` is off.

use super::{ReadOptions, Survey, SurveyError};
use crate::units::{Problem, Warned};

pub(super) fn read(_: &[u8], _: &ReadOptions) -> Result<Warned<Survey>, SurveyError> {
    Err(Problem::new("this is a zip archive, and archives are not read here")
        .hint("unzip it and give the .kml inside")
        .into())
}
