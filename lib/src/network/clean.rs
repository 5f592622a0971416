//! The adjustment that sets blunders aside, the worst first, one at a time.

use super::error::NetworkError;
use super::result::{Blunder, Network, Observed};
use super::{NetworkOptions, Prepared, finish, prepare};
use crate::survey::Notebook;

/// Of how many measures one may be set aside: a notebook in which more than a tenth is wrong
/// is no longer checked by the rest.
const ONE_IN: usize = 10;

/// Why no more measures were set aside.
#[derive(Debug, Clone, PartialEq)]
pub enum Stopped {
    /// No reading looks wrong any more.
    Clean,
    /// One of several readings is wrong, and nothing tells which.
    CantTell(Blunder),
    /// Without the worst reading the rest would not hold: it is kept.
    Holds {
        /// The reading.
        blunder: Blunder,
        /// What would go wrong without it.
        why: NetworkError,
    },
    /// A tenth of the measures is set aside already.
    TooMany(Blunder),
    /// The worst is no measure but an observed coordinate or a tape's scale.
    NotAMeasure(Blunder),
}

/// An adjusted network and what was left out of it.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanNetwork {
    /// The network of what was kept. Its observations keep their indices into the notebook.
    pub network: Network,
    /// What was set aside, in that order, as it looked at the time.
    pub set_aside: Vec<Blunder>,
    /// Why no more was.
    pub stopped: Stopped,
}

/// As [`adjust`](super::adjust()), but readings that are most likely wrong are set aside, the worst
/// first, one at a time: only while one can be told from all others, and the rest still holds.
///
/// # Errors
/// [`NetworkError`] as for `network`.
pub fn adjust_without_blunders(
    book: &Notebook,
    options: &NetworkOptions,
) -> Result<CleanNetwork, NetworkError> {
    let mut prepared = prepare(book, options, &[], None)?;
    let mut set_aside: Vec<Blunder> = Vec::new();
    let mut out: Vec<usize> = Vec::new();
    let most = (book.measures.len() / ONE_IN).max(1);
    // Ends after as many rounds as may be set aside, and one.
    let stopped = loop {
        let Some(blunder) = prepared.blunder.clone() else { break Stopped::Clean };
        let Observed::Measure(measure) = blunder.what else { break Stopped::NotAMeasure(blunder) };
        if !blunder.is_told_apart() {
            break Stopped::CantTell(blunder);
        }
        if out.len() >= most {
            break Stopped::TooMany(blunder);
        }
        out.push(measure);
        match prepare(book, options, &out, Some(&prepared.state)) {
            Ok(next) => {
                set_aside.push(blunder);
                prepared = next;
            }
            Err(why) => break Stopped::Holds { blunder, why },
        }
    };
    Ok(CleanNetwork { network: finish(book, options, prepared)?, set_aside, stopped })
}

impl Prepared {
    /// The worst reading in words, for an error.
    pub(super) fn worst_in_words(&self, book: &Notebook) -> Option<String> {
        self.blunder.as_ref().map(|b| super::words::blunder_in_words(book, b))
    }
}
