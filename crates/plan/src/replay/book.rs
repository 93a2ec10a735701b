//! Who holds how much of a resource, and from when on there is room for more.

use crate::{Minute, Window};
use std::cell::Cell;

/// What is held of one resource.
#[derive(Clone, Default)]
pub(super) struct Book {
    capacity: u32,
    /// Units held from a minute on, until the next one; rising, the first one before everything.
    steps: Vec<(Minute, u32)>,
    /// Work with set-ups, by start: its window and class.
    turns: Vec<(Window, usize)>,
    /// Step that was looked up last: the next one is rarely far.
    near: Cell<usize>,
}

impl Book {
    /// Empties it.
    pub(super) fn clear(&mut self, capacity: u32) {
        self.capacity = capacity;
        self.steps.clear();
        self.steps.push((Minute::MIN, 0));
        self.turns.clear();
    }

    /// Place of the step that a minute lies in.
    fn step(&self, minute: Minute) -> usize {
        let mut at = self.near.get().min(self.steps.len() - 1);
        while at > 0 && self.steps[at].0 > minute {
            at -= 1;
        }
        while self.steps.get(at + 1).is_some_and(|(from, _)| *from <= minute) {
            at += 1;
        }
        self.near.set(at);
        at
    }

    /// Is there room for so much in a window? If not, the minute up to which there is none.
    pub(super) fn room(&self, window: Window, quantity: u32) -> Result<(), Minute> {
        if window.length() <= 0 || quantity == 0 {
            return Ok(());
        }
        let mut full = None;
        for (at, (from, held)) in self.steps.iter().enumerate().skip(self.step(window.start)) {
            if *from >= window.end {
                break;
            }
            if held + quantity > self.capacity {
                let next = self.steps.get(at + 1);
                full = Some(next.map_or(Minute::MAX, |(from, _)| *from));
            }
        }
        full.map_or(Ok(()), Err)
    }

    /// Is there time to set up for this class before a window, and for what follows it? If not, the earliest start after
    /// what is in the way.
    pub(super) fn set_up(&self, window: Window, class: usize, matrix: &[Vec<Minute>]) -> Result<(), Minute> {
        let needs = |one: usize, next: usize| {
            matrix
                .get(one)
                .and_then(|row| row.get(next))
                .copied()
                .unwrap_or(0)
        };
        let next = self.turns.partition_point(|(turn, _)| turn.start <= window.start);
        if let Some((before, was)) = next.checked_sub(1).and_then(|at| self.turns.get(at)) {
            let free = before.end + needs(*was, class);
            if window.start < free {
                return Err(free);
            }
        }
        match self.turns.get(next) {
            Some((after, then)) if window.end + needs(class, *then) > after.start => {
                Err(after.end + needs(*then, class))
            }
            _ => Ok(()),
        }
    }

    /// Holds so much more in a window.
    pub(super) fn hold(&mut self, window: Window, quantity: u32) {
        self.change(window, |held| held + quantity);
    }

    /// Gives back what was held.
    pub(super) fn give_back(&mut self, window: Window, quantity: u32) {
        let (from, to) = self.change(window, |held| held.saturating_sub(quantity));
        for at in [to, from] {
            if at > 0 && self.steps[at].1 == self.steps[at - 1].1 {
                self.steps.remove(at);
            }
        }
    }

    /// The steps that begin with the window and after it.
    fn change(&mut self, window: Window, held: impl Fn(u32) -> u32) -> (usize, usize) {
        if window.length() <= 0 {
            return (0, 0);
        }
        let from = self.begin(window.start);
        let to = self.begin(window.end);
        for step in &mut self.steps[from..to] {
            step.1 = held(step.1);
        }
        (from, to)
    }

    /// The step that begins with a minute, made where there is none.
    fn begin(&mut self, minute: Minute) -> usize {
        let at = self.step(minute);
        if self.steps[at].0 == minute {
            return at;
        }
        self.steps.insert(at + 1, (minute, self.steps[at].1));
        at + 1
    }

    pub(super) fn turn(&mut self, window: Window, class: usize) {
        let at = self.turns.partition_point(|(turn, _)| turn.start <= window.start);
        self.turns.insert(at, (window, class));
    }

    pub(super) fn turn_back(&mut self, window: Window, class: usize) {
        if let Some(at) = self.turns.iter().rposition(|turn| *turn == (window, class)) {
            self.turns.remove(at);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every minute counted by itself.
    #[test]
    fn rooms_are_those_of_a_count_by_the_minute() {
        let mut seed = 3u64;
        let mut draw = |below: i64| {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as i64 % below
        };
        let (mut book, mut held) = (Book::default(), [0u32; 120]);
        book.clear(3);
        let mut all: Vec<(Window, u32)> = Vec::new();
        for _ in 0..4_000 {
            let start = draw(100);
            let window = Window::new(start, start + draw(20));
            let quantity = draw(3) as u32;
            let minutes = window.start as usize..window.end as usize;
            let full = minutes.clone().rev().find(|at| held[*at] + quantity > 3);
            let full = full.filter(|_| quantity > 0);
            match book.room(window, quantity) {
                Ok(()) => {
                    assert_eq!(full, None);
                    book.hold(window, quantity);
                    held[minutes].iter_mut().for_each(|held| *held += quantity);
                    all.push((window, quantity));
                }
                Err(until) => {
                    let full = full.expect("full somewhere") as Minute;
                    assert!(until > full);
                    assert!((full..until.min(120)).all(|at| held[at as usize] + quantity > 3));
                }
            }
            if all.len() > 12 {
                let (window, quantity) = all.swap_remove(draw(all.len() as i64) as usize);
                book.give_back(window, quantity);
                let minutes = window.start as usize..window.end as usize;
                held[minutes].iter_mut().for_each(|held| *held -= quantity);
            }
        }
    }

    #[test]
    fn set_ups_before_and_after() {
        let matrix = [vec![0, 15], vec![45, 0]];
        let mut book = Book::default();
        book.clear(1);
        book.turn(Window::new(100, 130), 1);
        let free = |start: Minute, class| book.set_up(Window::new(start, start + 20), class, &matrix);
        assert_eq!(free(65, 0), Ok(()));
        assert_eq!(free(66, 0), Err(175));
        assert_eq!(free(174, 0), Err(175));
        assert_eq!(free(130, 1), Ok(()));
    }
}
