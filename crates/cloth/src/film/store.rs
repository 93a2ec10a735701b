//! What a film keeps, in bounded memory: what has not been asked for longest goes first.

use std::collections::HashMap;
use std::hash::Hash;

/// Values by key, at most so many bytes of them.
pub struct Store<K, V> {
    most: usize,
    held: usize,
    /// Counts every use; the least is the one not asked for longest.
    clock: u64,
    entries: HashMap<K, Entry<V>>,
}

struct Entry<V> {
    value: V,
    bytes: usize,
    used: u64,
}

impl<K: Eq + Hash + Clone, V: Clone> Store<K, V> {
    pub fn new(most: usize) -> Self {
        Self {
            most,
            held: 0,
            clock: 0,
            entries: HashMap::new(),
        }
    }

    pub fn get(&mut self, key: &K) -> Option<V> {
        self.clock += 1;
        let entry = self.entries.get_mut(key)?;
        entry.used = self.clock;
        Some(entry.value.clone())
    }

    pub fn has(&self, key: &K) -> bool {
        self.entries.contains_key(key)
    }

    /// Keeps a value, unless it alone is larger than a quarter of what may be held: then it would push out all that is
    /// of more use.
    pub fn put(&mut self, key: K, value: V, bytes: usize) {
        if bytes > self.most / 4 {
            return;
        }
        self.clock += 1;
        let entry = Entry {
            value,
            bytes,
            used: self.clock,
        };
        if let Some(old) = self.entries.insert(key, entry) {
            self.held -= old.bytes;
        }
        self.held += bytes;
        while self.held > self.most {
            let oldest = self.entries.iter().min_by_key(|(_, entry)| entry.used);
            let Some(key) = oldest.map(|(key, _)| key.clone()) else {
                break;
            };
            if let Some(gone) = self.entries.remove(&key) {
                self.held -= gone.bytes;
            }
        }
    }

    /// Bytes held now.
    pub fn held(&self) -> usize {
        self.held
    }
}

#[cfg(test)]
mod tests {
    use super::Store;

    #[test]
    fn what_was_not_asked_for_longest_goes_first() {
        let mut store = Store::new(100);
        for key in 0..4 {
            store.put(key, key, 25);
        }
        assert_eq!(store.get(&0), Some(0));
        store.put(4, 4, 25);
        assert_eq!((store.get(&1), store.get(&0), store.held()), (None, Some(0), 100));
        store.put(5, 5, 26);
        assert!(!store.has(&5), "larger than a quarter");
        store.put(4, 40, 10);
        assert_eq!((store.get(&4), store.held()), (Some(40), 85));
    }
}
