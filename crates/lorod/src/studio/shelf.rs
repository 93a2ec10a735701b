//! Finished pictures, kept while there is room: the one not asked for longest goes first.

use std::collections::HashMap;
use std::hash::Hash;
use std::sync::Arc;

/// Keeps byte strings up to a total size.
pub struct Shelf<K> {
    most: usize,
    held: usize,
    clock: u64,
    items: HashMap<K, (u64, Arc<[u8]>)>,
}

impl<K: Hash + Eq + Clone> Shelf<K> {
    /// A shelf for so many bytes.
    pub fn new(most: usize) -> Self {
        Self {
            most,
            held: 0,
            clock: 0,
            items: HashMap::new(),
        }
    }

    /// Takes a look; what was looked at stays longer.
    pub fn get(&mut self, key: &K) -> Option<Arc<[u8]>> {
        self.clock += 1;
        let item = self.items.get_mut(key)?;
        item.0 = self.clock;
        Some(item.1.clone())
    }

    /// Puts something down. What is larger than the shelf is not kept.
    pub fn put(&mut self, key: K, bytes: Arc<[u8]>) {
        if bytes.len() > self.most {
            return;
        }
        self.clock += 1;
        self.held += bytes.len();
        if let Some((_, old)) = self.items.insert(key, (self.clock, bytes)) {
            self.held -= old.len();
        }
        while self.held > self.most {
            // A few hundred pictures at most: a walk is cheaper than keeping an order.
            let Some(oldest) = self
                .items
                .iter()
                .min_by_key(|(_, (used, _))| *used)
                .map(|(k, _)| k.clone())
            else {
                break;
            };
            if let Some((_, old)) = self.items.remove(&oldest) {
                self.held -= old.len();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Shelf;

    #[test]
    fn the_longest_unused_goes_and_the_size_holds() {
        let mut shelf = Shelf::new(10);
        shelf.put("a", vec![0; 4].into());
        shelf.put("b", vec![0; 4].into());
        assert!(shelf.get(&"a").is_some());
        shelf.put("c", vec![0; 4].into());
        assert!(shelf.get(&"b").is_none(), "b was unused longest");
        assert!(shelf.get(&"a").is_some() && shelf.get(&"c").is_some());
        assert_eq!(shelf.held, 8);
        // Replacing counts once; exactly full is allowed, one more is not kept.
        shelf.put("a", vec![0; 6].into());
        assert_eq!(shelf.held, 10);
        shelf.put("d", vec![0; 11].into());
        assert!(shelf.get(&"d").is_none());
    }
}
