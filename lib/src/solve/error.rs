//! Why a survey makes no ground.

use crate::boundary::BoundaryError;
use crate::fit::{FitError, SettleError};
use crate::survey::{Step, SurveyError};
use crate::units::{Problem, Remedy, Setting};

/// Why a survey makes no ground: at which step, and of which file.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum SolveError {
    /// No files.
    Nothing,
    /// A file can't be used.
    Source {
        /// Its name.
        name: String,
        /// Why.
        why: SurveyError,
    },
    /// The files can't be used together.
    Together {
        /// Why.
        why: SurveyError,
    },
    /// Tape notebooks can't be adjusted.
    Notebooks {
        /// Names of all files.
        names: String,
        /// Why.
        why: Box<SettleError>,
    },
    /// No ground could be fitted.
    Fit {
        /// Names of all files.
        names: String,
        /// Why.
        why: Box<FitError>,
        /// What track cleaning had found before.
        steps: Vec<Step>,
        /// Was one of the files a walk, whose ends may not be on the line?
        walked: bool,
    },
    /// A curve alone is fitted to the points of one file, and there is more.
    CurveOfMore {
        /// Names of all files.
        names: String,
    },
    /// Within the survey's uncertainty no boundary can be made.
    TooUncertain {
        /// Names of all files.
        names: String,
        /// Why.
        why: BoundaryError,
    },
}

impl SolveError {
    pub(super) fn together(why: Problem) -> Self {
        Self::Together { why: why.into() }
    }
}

impl SolveError {
    /// What can be said that may settle it.
    #[must_use]
    pub fn settled_by(&self) -> Vec<Remedy> {
        match self {
            Self::Fit { why, walked, .. } => {
                let trim = walked.then(|| Remedy::say(Setting::Trim));
                why.settled_by().into_iter().chain(trim).collect()
            }
            _ => Vec::new(),
        }
    }
}

impl std::fmt::Display for SolveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Nothing => f.write_str("there is no survey file"),
            Self::Source { name, why } => write!(f, "the survey {name} can't be used: {why}"),
            Self::Together { why } => write!(f, "the surveys can't be used together: {why}"),
            Self::Notebooks { names, why } => write!(f, "the survey {names} can't be used: {why}"),
            Self::Fit { names, why, .. } => write!(f, "no ground could be fitted to {names}: {why}"),
            Self::CurveOfMore { names } => {
                write!(
                    f,
                    "a curve alone is fitted to the points of one file as they are: adjust {names} as one"
                )
            }
            Self::TooUncertain { names, why } => {
                write!(f, "no ground could be fitted to {names}: within its uncertainty {why}")
            }
        }
    }
}

impl std::error::Error for SolveError {}
