//! Damages inputs: changes, doubles, moves or removes bytes, numbers, words, lines and longer pieces, or
//! brings them in from another input.

use crate::random::Random;

/// Numbers that readers trip over.
const NUMBERS: [&str; 40] = [
    "NaN",
    "nan",
    "inf",
    "-inf",
    "Infinity",
    "1e999",
    "-1e999",
    "1e308",
    "1e-320",
    "-0",
    "0",
    "00",
    "-",
    "+",
    ".",
    "1.",
    ".5",
    "-.5",
    "1e",
    "1e5",
    "0x10",
    "1_000",
    "1,5",
    "1 000",
    "٣",
    "１",
    "90.0000001",
    "-90",
    "180",
    "-180.0001",
    "145",
    "-36.5",
    "1000000",
    "6000000",
    "100001",
    "2147483648",
    "18446744073709551616",
    "1e17",
    "4.9e-324",
    "0.1e1",
];
/// Bytes with a special meaning in some format.
const SIGNS: &[u8] = b"\0\t\n\r \"#&',-./:;<=>?[\\]_`{|}~\x7f\x80\xc3\xe2\xef\xff";
/// The most changes to one input.
const CHANGES: u64 = 6;
/// The length to which most inputs are cut, bytes.
const LONG: usize = 60_000;
/// The greatest length of any input, bytes.
const LONGEST: usize = 1_000_000;

/// Makes inputs from seeds.
#[derive(Debug, Clone)]
pub struct Mutator<'a> {
    seeds: &'a [Vec<u8>],
    /// The seeds that the target accepts unchanged.
    good: Vec<&'a [u8]>,
    words: &'a [&'a str],
}

fn below(random: &mut Random, n: usize) -> usize {
    // `n` is at most a number of bytes, so the casts are exact.
    if n == 0 { 0 } else { (random.next_u64() % n as u64) as usize }
}

/// A random piece of an input, usually a short one.
fn stretch(random: &mut Random, length: usize) -> std::ops::Range<usize> {
    let from = below(random, length + 1);
    let most = if random.next_u64().is_multiple_of(4) { length } else { 40 };
    let to = (from + below(random, most + 1)).min(length);
    from..to
}

/// The line that contains a byte, with its line feed.
fn line(input: &[u8], at: usize) -> std::ops::Range<usize> {
    let from = input[..at].iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
    let to = input[at..].iter().position(|b| *b == b'\n').map_or(input.len(), |i| at + i + 1);
    from..to
}

/// The number or word that contains a byte.
fn token(input: &[u8], at: usize) -> std::ops::Range<usize> {
    let inside = |b: &u8| b.is_ascii_alphanumeric() || b"+-._".contains(b);
    let from = input[..at].iter().rposition(|b| !inside(b)).map_or(0, |i| i + 1);
    let to = input[at..].iter().position(|b| !inside(b)).map_or(input.len(), |i| at + i);
    from..to
}

impl<'a> Mutator<'a> {
    /// A mutator of these seeds, with the words of the format. `good` says whether the target accepts a seed
    /// unchanged.
    #[must_use]
    pub fn new(seeds: &'a [Vec<u8>], words: &'a [&'a str], good: impl Fn(&[u8]) -> bool) -> Self {
        Self { seeds, good: seeds.iter().map(Vec::as_slice).filter(|s| good(s)).collect(), words }
    }

    fn seed(&self, random: &mut Random) -> &'a [u8] {
        self.seeds.get(below(random, self.seeds.len())).map_or(&[], Vec::as_slice)
    }

    /// One input.
    #[must_use]
    pub fn input(&self, random: &mut Random) -> Vec<u8> {
        // Half of the inputs keep their form: an input that is refused at once tests nothing deeper.
        let gently = random.next_u64().is_multiple_of(2) && !self.good.is_empty();
        let mut input =
            if gently { self.good[below(random, self.good.len())] } else { self.seed(random) }.to_vec();
        // Usually only one or two changes, so that more of the file is read before it is refused.
        let changes = (random.next_u64() % CHANGES).min(random.next_u64() % CHANGES);
        for _ in 0..=changes {
            if gently {
                self.nudge(&mut input, random);
            } else {
                self.change(&mut input, random);
            }
            input.truncate(LONGEST);
        }
        // Keep a few long inputs, to find what takes too long.
        if input.len() > LONG && !random.next_u64().is_multiple_of(64) {
            input.truncate(LONG);
        }
        input
    }

    /// Changes a number, usually to a similar one, or removes a line.
    fn nudge(&self, input: &mut Vec<u8>, random: &mut Random) {
        let at = below(random, input.len());
        match random.next_u64() % 12 {
            0 => drop(input.drain(line(input, at))),
            _ => {
                let old = self.number(input, random);
                let value = std::str::from_utf8(&input[old.clone()]).ok().and_then(|t| t.parse::<f64>().ok());
                let Some(v) = value else { return };
                let by = [0.0, -1.0, 0.001, 0.1, 0.5, 0.9, 0.999, 1.001, 1.1, 2.0, 10.0, 1000.0];
                let new = match random.next_u64() % 4 {
                    0 => v + by[below(random, by.len())],
                    1 => [0.0, 1.0, 20.0, 45.0, 90.0, 180.0, 360.0][below(random, 7)],
                    _ => v * by[below(random, by.len())],
                };
                input.splice(old, new.to_string().into_bytes());
            }
        }
    }

    fn change(&self, input: &mut Vec<u8>, random: &mut Random) {
        let at = below(random, input.len());
        let one = |random: &mut Random, list: &[&str]| {
            list.get(below(random, list.len())).map_or_else(Vec::new, |w| w.as_bytes().to_vec())
        };
        match random.next_u64() % 16 {
            0 if !input.is_empty() => input[at] ^= 1 << (random.next_u64() % 8),
            1 if !input.is_empty() => input[at] = (random.next_u64() & 0xff) as u8,
            2 => {
                let sign = SIGNS[below(random, SIGNS.len())];
                input.insert(at, sign);
            }
            3 => drop(input.drain(stretch(random, input.len()))),
            4 => input.truncate(at),
            5 => {
                let piece = input[stretch(random, input.len())].to_vec();
                input.splice(at..at, piece);
            }
            6 => {
                let other = self.seed(random);
                let piece = other[stretch(random, other.len())].to_vec();
                input.splice(at..at, piece);
            }
            // The start of one input and the end of another.
            7 => {
                let other = self.seed(random);
                let from = below(random, other.len());
                input.truncate(at);
                input.extend_from_slice(&other[from..]);
            }
            8 => {
                let word = one(random, self.words);
                input.splice(at..at, word);
            }
            9 => {
                let word = one(random, self.words);
                input.splice(token(input, at), word);
            }
            10 | 11 => {
                let number = one(random, &NUMBERS);
                input.splice(self.number(input, random), number);
            }
            12 => drop(input.drain(line(input, at))),
            13 => {
                let piece = input[line(input, at)].to_vec();
                let to = below(random, input.len());
                let to = line(input, to).start;
                input.splice(to..to, piece);
            }
            14 => {
                let piece = input[stretch(random, input.len())].to_vec();
                // Repeat a piece up to a few thousand times.
                let times = 1usize << (random.next_u64() % 13);
                let times = times.min(LONGEST / piece.len().max(1));
                input.splice(at..at, piece.repeat(times));
            }
            _ => {
                let from = token(input, at);
                let to = below(random, input.len());
                let piece = input[from].to_vec();
                input.splice(token(input, to), piece);
            }
        }
    }

    /// A random number of the input: the first that begins after a random place.
    fn number(&self, input: &[u8], random: &mut Random) -> std::ops::Range<usize> {
        let at = below(random, input.len());
        let digit = input[at..].iter().position(u8::is_ascii_digit).map_or(at, |i| at + i);
        if digit < input.len() { token(input, digit) } else { at..at }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inputs_differ_and_are_the_same_again() {
        let seeds = [b"x,y\n1.25,2\n3,4\n5,6\n".to_vec(), b"lat,lon\n-36,145\n".to_vec(), b"x".to_vec()];
        let mutator = Mutator::new(&seeds, &["code", "NaN"], |seed| seed.len() > 1);
        let made = |seed| {
            let mut random = Random::new(seed);
            (0..2_000).map(|_| mutator.input(&mut random)).collect::<Vec<_>>()
        };
        let (one, two) = (made(1), made(1));
        assert_eq!(one, two);
        assert_ne!(one, made(2));
        let mut different = one.clone();
        different.sort();
        different.dedup();
        assert!(different.len() > 1_200, "{}", different.len());
        assert!(one.iter().all(|i| i.len() <= LONGEST));
        // Much of what is made still looks like its seed.
        assert!(one.iter().filter(|i| i.starts_with(b"x,y")).count() > 200);
    }

    #[test]
    fn lines_and_tokens_are_found_at_their_edges() {
        let text = b"ab,-1.5\ncd\n";
        assert_eq!(line(text, 0), 0..8);
        assert_eq!(line(text, 7), 0..8);
        assert_eq!(line(text, 9), 8..11);
        assert_eq!(token(text, 4), 3..7);
        assert_eq!(token(text, 2), 0..2);
        assert_eq!(line(b"", 0), 0..0);
    }
}
