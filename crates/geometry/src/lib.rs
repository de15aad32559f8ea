//! **Keelstead geometry**: meshes and solids, and what is asked of them. No boats, no files, no units but SI.
//!
//! | module | what stands there |
//! |---|---|
//! | [`math`] | vectors, rotations, rigid transforms; points as they stand in files |
//! | [`mesh`] | a checked triangle mesh: what is inside, what is lowest, is it closed; its search tree |
//! | [`shape`] | solids that are no meshes: box, cylinder, the ground |
//! | [`distance`] | signed gap and nearest points between a mesh and a solid |
//! | [`solid`] | how near two solids are, or how deep one is in the other |
//! | [`polygon`] | convex polygons cut by planes |
//! | [`solids`] | meshes whose measures are known, to test against |
//! | [`parallel`] | work spread over all cores, or done in turn |

pub mod distance;
pub mod math;
pub mod mesh;
pub mod parallel;
pub mod polygon;
pub mod shape;
pub mod solid;
pub mod solids;
