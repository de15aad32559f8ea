//! The inverse of setting down: what stack brings a beam's top to a wanted height.

use std::collections::BTreeMap;

use crate::load::{BlockOrientation, Load, PlacedBlock};
use crate::rig::Rig;

/// Most blocks the search piles on one beam. Common practice, no source: higher is a crib.
const MOST_BLOCKS: usize = 6;

/// A block is stood on edge only if its thickness is at least this share of its width. Common
/// practice, no source.
const EDGE_SHARE: f64 = 0.7;

/// Step the sum of shims is rounded to, m.
pub const SHIM_STEP_M: f64 = 0.0005;

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
/// Of stacks equally near the one of fewest blocks is taken; blocks lie flat, or stout ones on edge,
/// the widest lowest, and no pile, its shims included, rises above `slenderness` times its narrowest block. A height of
/// zero or less gives an empty stack.
pub fn nearest(
    rig: &Rig,
    left: &BTreeMap<String, usize>,
    height_m: f64,
    slenderness: f64,
) -> Stack {
    let shims = shim_sums(rig);
    let mut search = Search {
        rig,
        shims: &shims,
        height_m,
        slenderness,
        best: None,
    };
    let mut layers: Vec<Layer> = rig
        .blocks
        .iter()
        .enumerate()
        .flat_map(|(block, stock)| {
            let stout = stock.thickness_m >= EDGE_SHARE * stock.width_m;
            [
                Some(BlockOrientation::Flat),
                stout.then_some(BlockOrientation::Edge),
            ]
            .into_iter()
            .flatten()
            .map(move |lie| Layer {
                block,
                lie,
                up_m: stock.lying_m(lie)[2],
                base_m: stock.base_m(lie),
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
    lie: BlockOrientation,
    up_m: f64,
    /// The narrower of fore and aft and across, m.
    base_m: f64,
}

struct Search<'a> {
    rig: &'a Rig,
    shims: &'a [f64],
    height_m: f64,
    slenderness: f64,
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
            // Layers only in falling order: each set of blocks is tried once. One too slender grows
            // no stouter with more on it.
            let sum_m = sum_m + layer.up_m;
            if sum_m <= self.most_m(piled) {
                self.pile(&layers[i..], counts, piled, sum_m);
            }
            piled.pop();
            counts[layer.block] += 1;
        }
    }

    /// Greatest height of the pile with its shims, m.
    fn most_m(&self, piled: &[Layer]) -> f64 {
        let narrowest = piled.iter().map(|l| l.base_m).fold(f64::INFINITY, f64::min);
        self.slenderness * narrowest + 1e-9
    }

    fn consider(&mut self, piled: &[Layer], sum_m: f64) {
        let rest = self.height_m - sum_m;
        let most = self.most_m(piled) - sum_m;
        let shim = self
            .shims
            .iter()
            .copied()
            .filter(|shim| *shim <= most)
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
        layers.sort_by(|a, b| b.base_m.total_cmp(&a.base_m));
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
pub fn shim_sums(rig: &Rig) -> Vec<f64> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::{
        BlockStock, Coupling, Material, Packing, Rails, Ratings, Rig, Suspension, Tare,
    };
    use keelstead_geometry::math::Point;
    use keelstead_units::fields::Range;

    fn rig(counts: [usize; 2]) -> Rig {
        let block = |name: &str, count, thickness_m| BlockStock {
            name: name.into(),
            count,
            length_m: 0.6,
            width_m: 0.2,
            thickness_m,
            material: Material::WhiteOak,
            grade: None,
        };
        Rig {
            name: "rig".into(),
            rails: Rails {
                front_x_m: -1.0,
                aft_x_m: -9.0,
                clear_width_m: 1.8,
                width_m: 0.1,
                depth_m: 0.4,
                pockets: Vec::new(),
                seat_stiffness_n_per_m: None,
                bending_n_m2: None,
            },
            members: Vec::new(),
            coupling: Coupling {
                height_m: 1.0,
                rating_kg: None,
            },
            axles: Vec::new(),
            mudguards: Vec::new(),
            pads: Vec::new(),
            suspension: Suspension {
                rail_top_m: Range { min: 0.6, max: 0.9 },
                level_m: 0.75,
                roll_stiffness_nm_per_rad: None,
            },
            tractor: None,
            beams: Vec::new(),
            blocks: vec![
                block("thick", counts[0], 0.15),
                block("thin", counts[1], 0.05),
            ],
            timbers: Vec::new(),
            packing: Packing {
                shims_m: vec![0.002, 0.01],
                shims_at_most_m: 0.03,
                wedge_rad: None,
            },
            ratings: Ratings {
                payload_kg: None,
                gross_kg: None,
            },
            tare: Some(Tare {
                mass_kg: 1000.0,
                centre: Some(Point::default()),
            }),
            tolerance_m: 0.0,
        }
    }

    fn all(rig: &Rig) -> BTreeMap<String, usize> {
        rig.blocks
            .iter()
            .map(|b| (b.name.clone(), b.count))
            .collect()
    }

    #[test]
    fn blocks_and_shims_make_the_height() {
        let rig = rig([4, 4]);
        let stack = nearest(&rig, &all(&rig), 0.212, 3.0);
        // By hand: a thick block on edge 0.2 and a shim of 0.01 with one of 0.002.
        assert!(stack.over_m.abs() < 1e-9, "{stack:?}");
        assert!((stack.height_m - 0.212).abs() < 1e-9);
        assert_eq!(stack.blocks.len(), 1);
    }

    #[test]
    fn it_falls_short_when_the_stock_runs_out_or_the_pile_grows_too_slender() {
        let rig = rig([1, 1]);
        let stack = nearest(&rig, &all(&rig), 0.9, 3.0);
        assert!((stack.height_m - 0.28).abs() < 1e-9, "{stack:?}");
        assert!((stack.over_m + 0.62).abs() < 1e-9);
        let plenty = super::tests::rig([9, 9]);
        let tall = nearest(&plenty, &all(&plenty), 2.0, 3.0);
        // Shims included.
        assert!(tall.height_m <= 3.0 * 0.2 + 1e-8, "{tall:?}");
    }

    #[test]
    fn no_height_needs_no_blocks() {
        let rig = rig([2, 2]);
        let stack = nearest(&rig, &all(&rig), -0.1, 3.0);
        assert!(stack.blocks.is_empty());
        assert!((stack.over_m - 0.1).abs() < 1e-9);
    }

    #[test]
    fn what_is_narrow_across_makes_no_tall_pile() {
        let mut rig = rig([9, 0]);
        // Wide fore and aft, 0.1 m across.
        (rig.blocks[0].length_m, rig.blocks[0].width_m) = (0.1, 0.4);
        let stack = nearest(&rig, &all(&rig), 2.0, 3.0);
        // By hand: two of 0.15 m make 0.3, three times its base, with no shim on top.
        assert_eq!(stack.blocks.len(), 2, "{stack:?}");
        assert!((stack.height_m - 0.3).abs() < 1e-9, "{stack:?}");
        // What is asked holds for a single block too.
        assert!(nearest(&rig, &all(&rig), 2.0, 1.0).blocks.is_empty());
    }
}
