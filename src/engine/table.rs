//! A map in a sorted list.
//!
//! What the standard tree does, in a fraction of the code, which is compiled anew for
//! every kind of map. Ids grow with time, so almost every new row goes to the end.

use serde::{Deserialize, Serialize};
use std::borrow::Borrow;
use std::collections::BTreeMap;

/// Rows sorted by their keys, each key once.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(from = "BTreeMap<K, V>", into = "BTreeMap<K, V>")]
#[serde(bound(
    deserialize = "K: Ord + Deserialize<'de>, V: Deserialize<'de>",
    serialize = "K: Ord + Clone + Serialize, V: Clone + Serialize"
))]
pub struct Table<K, V> {
    rows: Vec<(K, V)>,
}

impl<K, V> Table<K, V> {
    /// No rows.
    pub const fn new() -> Self {
        Self { rows: Vec::new() }
    }

    /// How many rows there are.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// All rows in order.
    pub fn iter(&self) -> Rows<'_, K, V> {
        Rows(self.rows.iter())
    }

    /// All keys in order.
    pub fn keys(&self) -> impl DoubleEndedIterator<Item = &K> {
        self.rows.iter().map(|row| &row.0)
    }

    /// All values in the order of their keys.
    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> {
        self.rows.iter().map(|row| &row.1)
    }

    /// All values in the order of their keys, to be changed.
    pub fn values_mut(&mut self) -> impl DoubleEndedIterator<Item = &mut V> {
        self.rows.iter_mut().map(|row| &mut row.1)
    }
}

impl<K: Ord, V> Table<K, V> {
    /// Where a key is, or where it would be.
    fn find<Q: Ord + ?Sized>(&self, key: &Q) -> Result<usize, usize>
    where
        K: Borrow<Q>,
    {
        self.rows.binary_search_by(|row| row.0.borrow().cmp(key))
    }

    /// The value of a key.
    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        self.find(key).ok().map(|at| &self.rows[at].1)
    }

    /// The value of a key, to be changed.
    pub fn get_mut<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<&mut V>
    where
        K: Borrow<Q>,
    {
        self.find(key).ok().map(|at| &mut self.rows[at].1)
    }

    /// Whether a key is there.
    pub fn contains_key<Q: Ord + ?Sized>(&self, key: &Q) -> bool
    where
        K: Borrow<Q>,
    {
        self.find(key).is_ok()
    }

    /// Puts a value under a key, in place of what was there.
    pub fn insert(&mut self, key: K, value: V) {
        match self.find(&key) {
            Ok(at) => self.rows[at].1 = value,
            Err(at) => self.rows.insert(at, (key, value)),
        }
    }

    /// Takes a key's row out.
    pub fn remove<Q: Ord + ?Sized>(&mut self, key: &Q)
    where
        K: Borrow<Q>,
    {
        if let Ok(at) = self.find(key) {
            self.rows.remove(at);
        }
    }

    /// The value of a key, to be changed; an empty one is put there first if need be.
    pub fn or_default(&mut self, key: K) -> &mut V
    where
        V: Default,
    {
        let at = match self.find(&key) {
            Ok(at) => at,
            Err(at) => {
                self.rows.insert(at, (key, V::default()));
                at
            }
        };
        &mut self.rows[at].1
    }
}

/// Rows one by one.
#[derive(Clone, Debug)]
pub struct Rows<'a, K, V>(std::slice::Iter<'a, (K, V)>);

impl<'a, K, V> Iterator for Rows<'a, K, V> {
    type Item = (&'a K, &'a V);
    fn next(&mut self) -> Option<Self::Item> {
        self.0.next().map(|row| (&row.0, &row.1))
    }
}

impl<K, V> DoubleEndedIterator for Rows<'_, K, V> {
    fn next_back(&mut self) -> Option<Self::Item> {
        self.0.next_back().map(|row| (&row.0, &row.1))
    }
}

impl<'a, K, V> IntoIterator for &'a Table<K, V> {
    type Item = (&'a K, &'a V);
    type IntoIter = Rows<'a, K, V>;
    fn into_iter(self) -> Rows<'a, K, V> {
        self.iter()
    }
}

impl<K, V> IntoIterator for Table<K, V> {
    type Item = (K, V);
    type IntoIter = std::vec::IntoIter<(K, V)>;
    fn into_iter(self) -> Self::IntoIter {
        self.rows.into_iter()
    }
}

impl<K, V> Default for Table<K, V> {
    fn default() -> Self {
        Self::new()
    }
}

impl<K: Ord, V> Extend<(K, V)> for Table<K, V> {
    fn extend<T: IntoIterator<Item = (K, V)>>(&mut self, rows: T) {
        for (key, value) in rows {
            self.insert(key, value);
        }
    }
}

impl<K: Ord, V> FromIterator<(K, V)> for Table<K, V> {
    fn from_iter<T: IntoIterator<Item = (K, V)>>(rows: T) -> Self {
        let mut table = Self::new();
        table.extend(rows);
        table
    }
}

impl<K: Ord, V, const N: usize> From<[(K, V); N]> for Table<K, V> {
    fn from(rows: [(K, V); N]) -> Self {
        rows.into_iter().collect()
    }
}

impl<K: Ord, V> From<BTreeMap<K, V>> for Table<K, V> {
    fn from(map: BTreeMap<K, V>) -> Self {
        Self { rows: map.into_iter().collect() }
    }
}

impl<K: Ord, V> From<Table<K, V>> for BTreeMap<K, V> {
    fn from(table: Table<K, V>) -> Self {
        table.rows.into_iter().collect()
    }
}

impl<K: Ord + Borrow<Q>, V, Q: Ord + ?Sized> std::ops::Index<&Q> for Table<K, V> {
    type Output = V;
    /// # Panics
    /// When the key is not there, as with every map of the standard library.
    fn index(&self, key: &Q) -> &V {
        &self.rows[self.find(key).unwrap_or(usize::MAX)].1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against the standard library's map.
        #[test]
        fn it_does_what_the_standard_map_does(
            acts in prop::collection::vec((0..4_u8, 0..20_u8, any::<u16>()), 0..200),
        ) {
            let (mut ours, mut theirs) = (Table::new(), BTreeMap::new());
            for (act, key, value) in acts {
                match act {
                    0 | 1 => {
                        ours.insert(key, value);
                        theirs.insert(key, value);
                    }
                    2 => {
                        ours.remove(&key);
                        theirs.remove(&key);
                    }
                    _ => {
                        *ours.or_default(key) ^= value;
                        *theirs.entry(key).or_default() ^= value;
                    }
                }
                prop_assert_eq!(ours.get(&key), theirs.get(&key));
                prop_assert_eq!(ours.contains_key(&key), theirs.contains_key(&key));
            }
            prop_assert!(ours.iter().eq(theirs.iter()));
            prop_assert!(ours.iter().rev().eq(theirs.iter().rev()));
            prop_assert!(ours.keys().eq(theirs.keys()) && ours.values().eq(theirs.values()));
            prop_assert_eq!(ours.len(), theirs.len());
            prop_assert_eq!(BTreeMap::from(ours.clone()), theirs);
        }
    }
}
