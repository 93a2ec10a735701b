//! Pieces: operations that are placed together because a greatest lag or a batch ties them.
//!
//! A rinse that must follow its bleach within minutes is placed with it, or the bleach is placed again later.
//! With nothing tied every operation is a piece of its own.

use super::shop::{NEVER, Shop};

/// A partition of tasks: batches, and pieces made of them.
pub(crate) struct Pieces {
    /// Members of all vertices (a batch or a single task), flat.
    members: Vec<u32>,
    /// Range in `members` of each vertex, in an order in which links point forward within a piece.
    vertices: Vec<(u32, u32)>,
    /// Range in `vertices` of each piece.
    pieces: Vec<(u32, u32)>,
    /// Piece of each task.
    pub of: Vec<u32>,
    /// Vertex of each task.
    pub vertex: Vec<u32>,
    /// The same for equal pieces of two partitions.
    pub signature: Vec<u64>,
    /// Pieces that follow each piece.
    pub after: Vec<Vec<u32>>,
    pub waits_for: Vec<u32>,
}

impl Pieces {
    /// Pieces for these batches (lists of tasks); `None` if links go in a circle.
    pub(crate) fn new(shop: &Shop, batches: &[Vec<u32>]) -> Option<Self> {
        let n = shop.kind.len();
        let mut leader: Vec<u32> = (0..n as u32).collect();
        for b in batches {
            for m in b {
                leader[*m as usize] = b[0];
            }
        }
        let mut root: Vec<u32> = leader.clone();
        for (task, links) in shop.after.iter().enumerate() {
            for l in links.iter().filter(|l| l.most < NEVER) {
                let (a, b) = (find(&mut root, task as u32), find(&mut root, l.task));
                let (low, high) = (a.min(b), a.max(b));
                root[high as usize] = low;
            }
        }
        // Vertices with their members, and a global order of vertices along the links.
        let mut list: Vec<Vec<u32>> = vec![Vec::new(); n];
        for t in 0..n as u32 {
            list[leader[t as usize] as usize].push(t);
        }
        let mut waits = vec![0u32; n];
        for (t, before) in shop.before.iter().enumerate() {
            waits[leader[t] as usize] += before.len() as u32;
        }
        let mut ready: Vec<u32> = (0..n as u32)
            .filter(|t| leader[*t as usize] == *t && waits[*t as usize] == 0)
            .collect();
        let mut order = Vec::with_capacity(n);
        while let Some(v) = ready.pop() {
            order.push(v);
            for m in &list[v as usize] {
                for l in &shop.after[*m as usize] {
                    let next = leader[l.task as usize];
                    waits[next as usize] -= 1;
                    if waits[next as usize] == 0 {
                        ready.push(next);
                    }
                }
            }
        }
        if order.iter().map(|v| list[*v as usize].len()).sum::<usize>() < n {
            return None;
        }
        let mut by_piece: Vec<Vec<u32>> = vec![Vec::new(); n];
        for v in order {
            let r = find(&mut root, v);
            by_piece[r as usize].push(v);
        }
        let mut out = Self {
            members: Vec::with_capacity(n),
            vertices: Vec::new(),
            pieces: Vec::new(),
            of: vec![0; n],
            vertex: vec![0; n],
            signature: Vec::new(),
            after: Vec::new(),
            waits_for: Vec::new(),
        };
        for vertices in by_piece.iter().filter(|v| !v.is_empty()) {
            let piece = out.pieces.len() as u32;
            let first = out.vertices.len() as u32;
            let mut signature = 0xcbf2_9ce4_8422_2325u64;
            for v in vertices {
                let at = out.members.len() as u32;
                for m in &list[*v as usize] {
                    out.of[*m as usize] = piece;
                    out.vertex[*m as usize] = out.vertices.len() as u32;
                    out.members.push(*m);
                    signature = (signature ^ u64::from(*m))
                        .wrapping_mul(0x0100_0000_01b3)
                        .rotate_left(23);
                }
                signature = signature.wrapping_mul(0x9e37_79b9_7f4a_7c15);
                out.vertices.push((at, out.members.len() as u32));
            }
            out.pieces.push((first, out.vertices.len() as u32));
            out.signature.push(signature);
        }
        out.after = vec![Vec::new(); out.pieces.len()];
        out.waits_for = vec![0; out.pieces.len()];
        for (t, links) in shop.after.iter().enumerate() {
            for l in links {
                let (a, b) = (out.of[t], out.of[l.task as usize]);
                if a != b {
                    out.after[a as usize].push(b);
                    out.waits_for[b as usize] += 1;
                }
            }
        }
        Some(out)
    }

    pub(crate) fn count(&self) -> usize {
        self.pieces.len()
    }
    /// Vertices of a piece, by number.
    pub(crate) fn vertices(&self, piece: u32) -> std::ops::Range<u32> {
        let (a, b) = self.pieces[piece as usize];
        a..b
    }
    /// Tasks of a vertex.
    pub(crate) fn members(&self, vertex: u32) -> &[u32] {
        let (a, b) = self.vertices[vertex as usize];
        &self.members[a as usize..b as usize]
    }
    /// Tasks of a piece.
    pub(crate) fn tasks(&self, piece: u32) -> &[u32] {
        let (a, b) = self.pieces[piece as usize];
        let (from, to) = (self.vertices[a as usize].0, self.vertices[b as usize - 1].1);
        &self.members[from as usize..to as usize]
    }
}

fn find(root: &mut [u32], mut t: u32) -> u32 {
    while root[t as usize] != t {
        root[t as usize] = root[root[t as usize] as usize];
        t = root[t as usize];
    }
    t
}
