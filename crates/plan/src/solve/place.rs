//! Placing pieces: as early as possible, or as late as possible without moving what follows.

use super::board::{Board, Slot};
use super::pieces::Pieces;
use super::shop::{NEVER, Shop};
use crate::Minute;

/// Why a piece found no place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stuck {
    /// The task that does not fit.
    pub task: u32,
    /// The earlier task whose greatest lag it breaks, if that is the reason.
    pub after: Option<u32>,
    /// Where the task could not be placed from.
    pub from: Minute,
}

impl Stuck {
    /// Tasks wait for each other.
    pub(crate) const IN_A_CIRCLE: Self = Self {
        task: 0,
        after: None,
        from: Minute::MAX,
    };
}

/// Puts a piece on the board as early as it goes. Where a later operation of the piece cannot start in time,
/// the earlier one is made to start later, and the piece is placed again from there; lower bounds only rise,
/// so this ends.
pub(crate) fn place(board: &mut Board, pieces: &Pieces, piece: u32) -> Result<(), Stuck> {
    let range = pieces.vertices(piece);
    let first = range.start;
    let mut lower: Vec<Minute> = vec![0; range.len()];
    let mut cause: Option<(u32, u32)> = None;
    let mut v = range.start;
    while v < range.end {
        let members = pieces.members(v);
        let mut from = lower[(v - first) as usize];
        for m in members {
            from = from.max(board.wish[*m as usize].not_before);
            for l in &board.shop.before[*m as usize] {
                if let Some(p) = board.slots[l.task as usize] {
                    from = from.max(p.end + l.least);
                }
            }
        }
        let begun = is_begun(board, members);
        let found = if begun {
            board.slots[members[0] as usize]
        } else {
            board.earliest(members[0], from)
        };
        let Some(slot) = found else {
            let stuck = match cause {
                Some((task, after)) => Stuck {
                    task,
                    after: Some(after),
                    from,
                },
                None => Stuck {
                    task: members[0],
                    after: None,
                    from,
                },
            };
            remove(board, pieces, range.start..v);
            return Err(stuck);
        };
        // The earliest vertex that came too soon for this one.
        let mut again: Option<(u32, Minute)> = None;
        for m in members {
            for l in board.shop.before[*m as usize].iter().filter(|l| l.most < NEVER) {
                let Some(p) = board.slots[l.task as usize] else {
                    continue;
                };
                if slot.start - p.end > l.most {
                    let end = slot.start - l.most;
                    let start = start_for_end(board.shop, l.task, p.choice, end).max(p.start + 1);
                    let vertex = pieces.vertex[l.task as usize];
                    let bound = &mut lower[(vertex - first) as usize];
                    *bound = (*bound).max(start);
                    cause = Some((*m, l.task));
                    if again.is_none_or(|(a, _)| vertex < a) {
                        again = Some((vertex, start));
                    }
                }
            }
        }
        if let Some((vertex, _)) = again {
            remove(board, pieces, vertex..v);
            if is_begun(board, pieces.members(vertex)) {
                remove(board, pieces, range.start..vertex);
                let (task, after) = cause.unwrap_or((members[0], members[0]));
                return Err(Stuck {
                    task,
                    after: Some(after),
                    from,
                });
            }
            v = vertex;
            continue;
        }
        if begun {
            v += 1;
            continue;
        }
        board.put(members, slot);
        v += 1;
    }
    Ok(())
}

/// Lifts a piece.
pub(crate) fn lift(board: &mut Board, pieces: &Pieces, piece: u32) {
    remove(board, pieces, pieces.vertices(piece));
}

/// Moves a piece as late as it goes without moving anything else. Never fails: at worst it stays.
pub(crate) fn delay(board: &mut Board, pieces: &Pieces, piece: u32) {
    let range = pieces.vertices(piece);
    let first = range.start;
    let old: Vec<Slot> = range
        .clone()
        .filter_map(|v| board.slots[pieces.members(v)[0] as usize])
        .collect();
    if old.len() < range.len() || range.clone().any(|v| is_begun(board, pieces.members(v))) {
        return;
    }
    remove(board, pieces, range.clone());
    let mut last_start = vec![NEVER; range.len()];
    let mut v = range.end;
    while v > range.start {
        let members = pieces.members(v - 1);
        let was = old[(v - 1 - first) as usize];
        let mut until = NEVER;
        let mut at_least = Minute::MIN;
        for m in members {
            for l in &board.shop.after[*m as usize] {
                if let Some(n) = board.slots[l.task as usize] {
                    until = until.min(n.start - l.least);
                    if l.most < NEVER {
                        at_least = at_least.max(n.start - l.most);
                    }
                }
            }
        }
        let slot = board.latest(members[0], was.start, until, last_start[(v - 1 - first) as usize]);
        let Some(slot) = slot else {
            remove(board, pieces, v..range.end);
            for (v, slot) in range.zip(old) {
                board.put(pieces.members(v), slot);
            }
            return;
        };
        if slot.end < at_least {
            // Some follower is too late for this one: it must start earlier.
            let mut again = v;
            for m in members {
                for l in board.shop.after[*m as usize].iter().filter(|l| l.most < NEVER) {
                    let Some(n) = board.slots[l.task as usize] else {
                        continue;
                    };
                    if n.start - slot.end > l.most {
                        let vertex = pieces.vertex[l.task as usize];
                        let bound = &mut last_start[(vertex - first) as usize];
                        *bound = (*bound).min(slot.end + l.most);
                        again = again.max(vertex + 1);
                    }
                }
            }
            if again > v {
                remove(board, pieces, v..again);
                v = again;
                continue;
            }
        }
        board.put(members, slot);
        v -= 1;
    }
}

/// Lifts vertices, but for what has begun.
fn remove(board: &mut Board, pieces: &Pieces, vertices: std::ops::Range<u32>) {
    for v in vertices.rev() {
        let members = pieces.members(v);
        if !is_begun(board, members) {
            board.lift(members);
        }
    }
}

/// What has begun stands on the board before anything is placed, and stays.
fn is_begun(board: &Board, members: &[u32]) -> bool {
    board.shop.pinned[members[0] as usize].is_some()
}

/// The earliest start from which a task ends at or after `end`.
fn start_for_end(shop: &Shop, task: u32, choice: usize, end: Minute) -> Minute {
    let kind = &shop.kinds[shop.kind[task as usize] as usize];
    let duration = kind.choices[choice].duration;
    match &kind.walk {
        None => end - duration,
        Some(windows) => Shop::walk_back(windows, end, duration).unwrap_or(0),
    }
}
