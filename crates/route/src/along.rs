//! A route walked once with the bolt averaged: what baths, cards, cost and sizes fold over.

use crate::{Design, LotShape, Means, Step, Takes, Workshop};

/// One step of the walk.
pub struct Part<'a> {
    /// Number that people call the step by, from 1.
    pub number: u32,
    /// The step.
    pub step: &'a Step,
    /// The bolt averaged, before it.
    pub before: Means,
    /// After it.
    pub after: Means,
    /// What it takes for one bolt.
    pub takes: Takes,
}

/// Walks the route.
pub fn along<'a>(design: &'a Design, lot: &LotShape, shop: &Workshop) -> Vec<Part<'a>> {
    let mut means = Means::default();
    let mut parts = Vec::with_capacity(design.steps.len());
    for (number, step) in (1..).zip(&design.steps) {
        let before = means.clone();
        let takes = step.operation.tally(&mut means, design, lot, shop);
        parts.push(Part {
            number,
            step,
            before,
            after: means.clone(),
            takes,
        });
    }
    parts
}
