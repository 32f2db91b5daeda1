//! One sort for the whole app.
//!
//! The library's sort is made anew for every type that is sorted, at several
//! kilobytes each in the module that phones load. Here it is made once, for
//! positions; what is sorted then follows them. Equal items keep their order.

use std::cmp::Ordering;

/// Sorts by a comparison; what is sorted already is only looked through.
pub fn sort_by<T>(items: &mut Vec<T>, compare: impl Fn(&T, &T) -> Ordering) {
    if items.is_sorted_by(|a, b| compare(a, b).is_le()) {
        return;
    }
    let places = order(items.len(), &|a, b| match (items.get(a), items.get(b)) {
        (Some(a), Some(b)) => compare(a, b),
        _ => Ordering::Equal,
    });
    let mut taken: Vec<Option<T>> = items.drain(..).map(Some).collect();
    items.extend(places.into_iter().filter_map(|place| taken.get_mut(place)?.take()));
}

/// Sorts by a key.
pub fn sort_by_key<T, K: Ord>(items: &mut Vec<T>, key: impl Fn(&T) -> K) {
    sort_by(items, |a, b| key(a).cmp(&key(b)));
}

fn order(count: usize, compare: &dyn Fn(usize, usize) -> Ordering) -> Vec<usize> {
    let mut places: Vec<usize> = (0..count).collect();
    places.sort_by(|a, b| compare(*a, *b));
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_sorts_as_the_library_does_and_keeps_the_order_of_equals(
            numbers in proptest::collection::vec(0_u8..20, 0..60),
        ) {
            let mut mine: Vec<(u8, usize)> = numbers.into_iter().zip(0..).collect();
            let mut theirs = mine.clone();
            sort_by_key(&mut mine, |item| item.0);
            theirs.sort_by_key(|item| item.0);
            prop_assert_eq!(mine, theirs);
        }
    }
}
