//! "Did you mean": the known word nearest to a mistyped one.

use words::{Arg, Line, say};

/// The known word with the fewest slips to `word`, if they are few enough to be slips: at most a third of its
/// letters, and at least one. A slip is a letter left out, put in, changed, or two swapped.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Longer words are no slips of a key, and the table of distances grows with their product.
    if word.len() > 80 {
        return None;
    }
    let word = plain(word);
    known
        .into_iter()
        .map(|k| (slips(&word, &plain(k)), k))
        .filter(|(n, k)| *n <= (k.chars().count() / 3).max(1))
        .min_by_key(|(n, _)| *n)
        .map(|(_, k)| k)
}

/// What to do about an unknown word: the nearest known one, or nothing to propose.
pub(crate) fn remedy_for<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<Line> {
    nearest(word, known).map(|near| {
        say!(
            "did you mean {near}?",
            "maksudnya {near}?",
            near = Arg::Name(near.to_string())
        )
    })
}

/// Capitals, hyphens and underscores are mixed up most often, and are no slip.
fn plain(word: &str) -> Vec<char> {
    word.to_lowercase()
        .chars()
        .map(|c| if c == '_' || c == ' ' { '-' } else { c })
        .collect()
}

/// Optimal string alignment distance.
fn slips(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let mut least = (last[j] + usize::from(x != y))
                .min(last[j + 1] + 1)
                .min(row[j] + 1);
            if i > 0 && j > 0 && *x == b[j - 1] && a[i - 1] == *y {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_counted() {
        let count = |a: &str, b: &str| slips(&plain(a), &plain(b));
        // Textbook pair of edit distance, and one swap.
        assert_eq!(count("kitten", "sitting"), 3);
        assert_eq!(count("spnoge", "sponge"), 1);
        assert_eq!(count("", "wax"), 3);
        assert_eq!(count("wax", ""), 3);
        assert_eq!(count("Boil-Off", "boil_off"), 0);
    }

    #[test]
    fn only_slips_are_proposed() {
        let known = ["sponge", "soda", "spray", "wax"];
        assert_eq!(nearest("spunge", known), Some("sponge"));
        assert_eq!(nearest("sodas", known), Some("soda"));
        assert_eq!(nearest("wex", known), Some("wax"));
        assert_eq!(nearest("boil", known), None);
        assert_eq!(nearest(&"x".repeat(10_000), known), None);
    }
}
