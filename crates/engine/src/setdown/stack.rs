//! The inverse of setting down: what stack brings a beam's top to a wanted height.

use std::collections::BTreeMap;

use crate::load::{Lie, Load, PlacedBlock};
use crate::rig::Rig;

/// Most blocks the search piles on one beam. Common practice, no source: higher is a crib.
const MOST_BLOCKS: usize = 6;

/// Step the sum of shims is rounded to, m.
const SHIM_STEP_M: f64 = 0.0005;

/// A stack the stock can make.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// Blocks, lowest first.
    pub blocks: Vec<PlacedBlock>,
    /// Shims on top, m in all.
    pub shim_m: f64,
    /// Height of blocks and shims, m.
    pub height_m: f64,
    /// Height over the wanted one, m: negative when it falls short.
    pub over_m: f64,
}

/// Blocks left of each size, by name, after what the other beams of the load hold.
pub fn blocks_left(rig: &Rig, load: &Load, except_beam: usize) -> BTreeMap<String, usize> {
    let mut left: BTreeMap<String, usize> = rig
        .blocks
        .iter()
        .map(|b| (b.name.clone(), b.count))
        .collect();
    for (_, beam) in load
        .beams
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != except_beam)
    {
        for block in &beam.stack {
            if let Some(count) = left.get_mut(&block.block) {
                *count = count.saturating_sub(1);
            }
        }
    }
    left
}

/// The stack nearest to `height_m` that the blocks left and the rig's shims can make.
///
/// Of stacks equally near the one of fewest blocks is taken; blocks lie flat or on edge, the widest
/// lowest. A height of zero or less gives an empty stack.
pub fn nearest(rig: &Rig, left: &BTreeMap<String, usize>, height_m: f64) -> Stack {
    let shims = shim_sums(rig);
    let mut search = Search {
        rig,
        shims: &shims,
        height_m,
        best: None,
    };
    let mut layers: Vec<Layer> = rig
        .blocks
        .iter()
        .enumerate()
        .flat_map(|(block, stock)| {
            [Lie::Flat, Lie::Edge].map(|lie| Layer {
                block,
                lie,
                up_m: stock.lying_m(lie)[2],
            })
        })
        .collect();
    layers.sort_by(|a, b| b.up_m.total_cmp(&a.up_m));
    let mut counts: Vec<usize> = rig
        .blocks
        .iter()
        .map(|b| left.get(&b.name).copied().unwrap_or(0))
        .collect();
    search.pile(&layers, &mut counts, &mut Vec::new(), 0.0);
    search.stack()
}

#[derive(Clone, Copy)]
struct Layer {
    block: usize,
    lie: Lie,
    up_m: f64,
}

struct Search<'a> {
    rig: &'a Rig,
    shims: &'a [f64],
    height_m: f64,
    best: Option<(f64, Vec<Layer>, f64)>,
}

impl Search<'_> {
    fn pile(&mut self, layers: &[Layer], counts: &mut [usize], piled: &mut Vec<Layer>, sum_m: f64) {
        self.consider(piled, sum_m);
        if piled.len() == MOST_BLOCKS || sum_m >= self.height_m {
            return;
        }
        for (i, layer) in layers.iter().enumerate() {
            if counts[layer.block] == 0 {
                continue;
            }
            counts[layer.block] -= 1;
            piled.push(*layer);
            // Layers only in falling order: each set of blocks is tried once.
            self.pile(&layers[i..], counts, piled, sum_m + layer.up_m);
            piled.pop();
            counts[layer.block] += 1;
        }
    }

    fn consider(&mut self, piled: &[Layer], sum_m: f64) {
        let rest = self.height_m - sum_m;
        let shim = self
            .shims
            .iter()
            .copied()
            .min_by(|a, b| (rest - a).abs().total_cmp(&(rest - b).abs()))
            .unwrap_or(0.0);
        let miss = (rest - shim).abs();
        let better = self.best.as_ref().is_none_or(|(best, blocks, _)| {
            miss < best - 1e-9 || (miss < best + 1e-9 && piled.len() < blocks.len())
        });
        if better {
            self.best = Some((miss, piled.to_vec(), shim));
        }
    }

    fn stack(self) -> Stack {
        let (_, mut layers, shim_m) = self.best.unwrap_or_default();
        let base = |l: &Layer| self.rig.blocks[l.block].lying_m(l.lie)[0];
        layers.sort_by(|a, b| base(b).total_cmp(&base(a)));
        let height_m = layers.iter().map(|l| l.up_m).sum::<f64>() + shim_m;
        let blocks = layers
            .iter()
            .map(|l| PlacedBlock {
                block: self.rig.blocks[l.block].name.clone(),
                lie: l.lie,
            })
            .collect();
        Stack {
            blocks,
            shim_m,
            height_m,
            over_m: height_m - self.height_m,
        }
    }
}

/// Every sum the rig's shims can make up to what it allows on one stack, zero included.
fn shim_sums(rig: &Rig) -> Vec<f64> {
    let steps = |m: f64| (m / SHIM_STEP_M).round() as usize;
    let most = steps(rig.packing.shims_at_most_m);
    let mut reached = vec![false; most + 1];
    reached[0] = true;
    for i in 0..=most {
        if reached[i] {
            for shim in rig
                .packing
                .shims_m
                .iter()
                .map(|s| steps(*s))
                .filter(|s| *s > 0)
            {
                if i + shim <= most {
                    reached[i + shim] = true;
                }
            }
        }
    }
    (0..=most)
        .filter(|i| reached[*i])
        .map(|i| i as f64 * SHIM_STEP_M)
        .collect()
}
