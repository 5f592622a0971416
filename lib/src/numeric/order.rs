//! Putting short lists in order.
//!
//! The standard sort is compiled anew for every type and order, at three kilobytes each; together that is a
//! twentieth of what a page loads. Here one sort orders indices, and only the code
//! that moves items is compiled for each type.

use std::cmp::Ordering;

/// Sorts a list; equal items keep their order.
pub(crate) fn sort_by<T>(list: &mut [T], order: impl Fn(&T, &T) -> Ordering) {
    let mut goes_to = ranks(list.len(), &|a, b| order(&list[a], &list[b]));
    // Each swap puts one item in its final place.
    for i in 0..list.len() {
        while goes_to[i] != i {
            let to = goes_to[i];
            list.swap(i, to);
            goes_to.swap(i, to);
        }
    }
}

/// Sorts a list by a key; items with equal keys keep their order.
pub(crate) fn sort_by_key<T, K: Ord>(list: &mut [T], key: impl Fn(&T) -> K) {
    sort_by(list, |a, b| key(a).cmp(&key(b)));
}

/// The place in the sorted list of each of `n` items, given an order of their indices.
fn ranks(n: usize, order: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<usize> = (0..n).collect();
    places.sort_by(|&a, &b| order(a, b));
    let mut ranks = vec![0; n];
    for (rank, place) in places.into_iter().enumerate() {
        ranks[place] = rank;
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_ordered_as_the_standard_sort_does_equal_items_too() {
        // Every list of up to six items with four possible keys; each item carries its original index.
        for n in 0..=6 {
            for code in 0..4_u32.pow(n) {
                let list: Vec<(u32, u32)> = (0..n).map(|i| (code / 4_u32.pow(i) % 4, i)).collect();
                let (mut ours, mut standard) = (list.clone(), list);
                sort_by_key(&mut ours, |item| item.0);
                standard.sort_by_key(|item| item.0);
                assert_eq!(ours, standard);
            }
        }
    }

    #[test]
    fn a_long_list_downwards() {
        let mut list: Vec<String> = (0..1000).map(|i| format!("{:03}", i * 7919 % 1000)).collect();
        sort_by(&mut list, |a, b| b.cmp(a));
        assert!(list.iter().rev().enumerate().all(|(i, text)| *text == format!("{i:03}")));
    }
}
