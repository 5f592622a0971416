//! The adjustment that sets blunders aside one at a time, the worst first.

use super::error::NetworkError;
use super::result::{Blunder, Network, Observed};
use super::{NetworkOptions, Prepared, finish, prepare};
use crate::survey::Notebook;

/// One in this many measures may be set aside: if more than a tenth are wrong,
/// the rest no longer check them.
const ONE_IN: usize = 10;

/// Why no more measures were set aside.
#[derive(Debug, Clone, PartialEq)]
pub enum Stopped {
    /// No other reading looks wrong.
    Clean,
    /// One of several readings is wrong, and nothing tells which.
    CantTell(Blunder),
    /// Without the worst reading the network can't be adjusted, so the reading is kept.
    Holds {
        /// The reading.
        blunder: Blunder,
        /// What would go wrong without it.
        why: NetworkError,
    },
    /// A tenth of the measures have already been set aside.
    TooMany(Blunder),
    /// The worst is not a measure but an observed coordinate or a tape's scale.
    NotAMeasure(Blunder),
}

/// An adjusted network and the readings that were set aside.
#[derive(Debug, Clone, PartialEq)]
pub struct CleanNetwork {
    /// The network of the readings that were kept. Observations keep their indices into the notebook.
    pub network: Network,
    /// The readings set aside, in that order, each as it was judged at the time.
    pub set_aside: Vec<Blunder>,
    /// Why no more readings were set aside.
    pub stopped: Stopped,
}

/// As [`adjust`](super::adjust()), but sets aside the readings that are most likely wrong, one at a
/// time and the worst first. It stops when the worst can't be told from others, or when the rest
/// could not be adjusted without it.
///
/// # Errors
/// [`NetworkError`] as for [`adjust`](super::adjust()).
pub fn adjust_without_blunders(
    book: &Notebook,
    options: &NetworkOptions,
) -> Result<CleanNetwork, NetworkError> {
    let mut prepared = prepare(book, options, &[], None)?;
    let mut set_aside: Vec<Blunder> = Vec::new();
    let mut out: Vec<usize> = Vec::new();
    let most = (book.measures.len() / ONE_IN).max(1);
    // Each round sets one reading aside, so the loop ends after `most` + 1 rounds.
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
