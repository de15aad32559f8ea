//! Triangles by hand: boxes with broken edges, turned profiles, wheels.
//!
//! Every shape carries, besides position and normal, a pair of surface coordinates in metres and a
//! colour that multiplies the material's. In wood the colour's alpha says how much a face is side
//! grain (1) or end grain (0); see `surface.wgsl`.

use std::f32::consts::TAU;

use bevy::asset::RenderAssetUsages;
use bevy::mesh::{Indices, Mesh, PrimitiveTopology};
use bevy::prelude::{Vec2, Vec3};

/// White: the material's own colour, side grain.
pub const PLAIN: [f32; 4] = [1.0, 1.0, 1.0, 1.0];

/// Triangles under construction.
#[derive(Debug, Default, Clone)]
pub struct Facets {
    positions: Vec<[f32; 3]>,
    normals: Vec<[f32; 3]>,
    surface_m: Vec<[f32; 2]>,
    colours: Vec<[f32; 4]>,
    indices: Vec<u32>,
}

/// A point of a profile that is turned about an axis.
#[derive(Debug, Clone, Copy)]
pub struct Turned {
    /// Along the axis, m.
    pub along_m: f32,
    /// Off the axis, m.
    pub radius_m: f32,
    /// Colour of the band that starts here.
    pub colour: [f32; 4],
}

impl Facets {
    /// Adds one vertex and returns its index.
    pub fn vertex(&mut self, at: Vec3, normal: Vec3, surface_m: Vec2, colour: [f32; 4]) -> u32 {
        let index = self.positions.len() as u32;
        self.positions.push(at.to_array());
        self.normals.push(normal.to_array());
        self.surface_m.push(surface_m.to_array());
        self.colours.push(colour);
        index
    }

    /// Adds a triangle of vertices already there, counter-clockwise seen from outside.
    pub fn triangle(&mut self, corners: [u32; 3]) {
        self.indices.extend(corners);
    }

    /// Adds a flat polygon. Its winding is chosen so that it faces along `outward`.
    pub fn polygon(
        &mut self,
        corners: &[Vec3],
        outward: Vec3,
        surface_m: impl Fn(Vec3) -> Vec2,
        colour: [f32; 4],
    ) {
        let [a, b, c, ..] = corners else { return };
        let across = (*b - *a).cross(*c - *a);
        let Some(mut normal) = across.try_normalize() else {
            return;
        };
        let flipped = normal.dot(outward) < 0.0;
        if flipped {
            normal = -normal;
        }
        let first = self.positions.len() as u32;
        for corner in corners {
            self.vertex(*corner, normal, surface_m(*corner), colour);
        }
        for i in 1..corners.len() as u32 - 1 {
            let (second, third) = if flipped { (i + 1, i) } else { (i, i + 1) };
            self.triangle([first, first + second, first + third]);
        }
    }

    /// Adds an upright box with its edges broken by `bevel_m`; `colour_of` is given each face's
    /// outward axis.
    pub fn block(
        &mut self,
        centre: Vec3,
        half: Vec3,
        bevel_m: f32,
        colour_of: impl Fn(Vec3) -> [f32; 4],
    ) {
        let bevel = bevel_m.min(0.45 * half.min_element()).max(0.0);
        let grain = longest_axis(half);
        let surface = |axis: usize| {
            move |p: Vec3| {
                let q = (p - centre).to_array();
                let rest: Vec<usize> = (0..3).filter(|i| *i != axis).collect();
                let (u, v) = match rest.as_slice() {
                    [a, b] if *a == grain => (*a, *b),
                    [a, b] => (*b, *a),
                    _ => (0, 1),
                };
                Vec2::new(q[u], q[v])
            }
        };
        // Corner with signs `s` as it belongs to the face across `axis`.
        let corner = |s: Vec3, axis: usize| {
            let mut inset = Vec3::splat(bevel);
            inset[axis] = 0.0;
            centre + s * (half - inset)
        };
        let unit = [Vec3::X, Vec3::Y, Vec3::Z];
        for axis in 0..3 {
            let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
            for sign in [-1.0, 1.0] {
                let ring = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                    .map(|(sb, sc)| unit[axis] * sign + unit[b] * sb + unit[c] * sc);
                let corners = ring.map(|s| corner(s, axis));
                let outward = unit[axis] * sign;
                self.polygon(&corners, outward, surface(axis), colour_of(outward));
            }
        }
        if bevel <= 0.0 {
            return;
        }
        for axis in 0..3 {
            let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
            for (sb, sc) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
                let across = unit[b] * sb + unit[c] * sc;
                let (low, high) = (across - unit[axis], across + unit[axis]);
                let corners = [
                    corner(low, b),
                    corner(high, b),
                    corner(high, c),
                    corner(low, c),
                ];
                self.polygon(&corners, across, surface(b), colour_of(unit[b] * sb));
            }
        }
        for i in 0..8 {
            let sign = |bit: u32| if i & (1 << bit) == 0 { -1.0 } else { 1.0 };
            let s = Vec3::new(sign(0), sign(1), sign(2));
            let corners = [corner(s, 0), corner(s, 1), corner(s, 2)];
            self.polygon(&corners, s, surface(0), colour_of(Vec3::X * s.x));
        }
    }

    /// Turns a profile about the line through `base` along `axis`, in `sides` flat sides that are
    /// shaded round. Profile points lie in order along the outside, from one end to the other.
    pub fn turn(&mut self, base: Vec3, axis: Vec3, profile: &[Turned], sides: u32) {
        let Some(axis) = axis.try_normalize() else {
            return;
        };
        let (u, v) = axis.any_orthonormal_pair();
        for pair in profile.windows(2) {
            let [from, to] = pair else { continue };
            let slope = Vec2::new(to.along_m - from.along_m, to.radius_m - from.radius_m);
            let Some(slope) = slope.try_normalize() else {
                continue;
            };
            let first = self.positions.len() as u32;
            for i in 0..=sides {
                let angle = TAU * i as f32 / sides as f32;
                let out = u * angle.cos() + v * angle.sin();
                let normal = out * slope.x - axis * slope.y;
                for end in [from, to] {
                    let at = base + axis * end.along_m + out * end.radius_m;
                    let surface = Vec2::new(angle, end.along_m);
                    self.vertex(at, normal, surface, from.colour);
                }
            }
            for i in 0..sides {
                let a = first + 2 * i;
                self.triangle([a, a + 2, a + 1]);
                self.triangle([a + 1, a + 2, a + 3]);
            }
        }
    }

    /// Adds everything of another shape.
    pub fn append(&mut self, other: &Facets) {
        let first = self.positions.len() as u32;
        self.positions.extend(&other.positions);
        self.normals.extend(&other.normals);
        self.surface_m.extend(&other.surface_m);
        self.colours.extend(&other.colours);
        self.indices.extend(other.indices.iter().map(|i| i + first));
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.indices.is_empty()
    }

    /// The vertices' positions.
    pub fn positions(&self) -> impl Iterator<Item = Vec3> + '_ {
        self.positions.iter().map(|p| Vec3::from_array(*p))
    }

    /// The mesh for the renderer.
    pub fn mesh(self) -> Mesh {
        self.mesh_for(RenderAssetUsages::RENDER_WORLD | RenderAssetUsages::MAIN_WORLD)
    }

    /// The mesh, kept where `usage` says.
    pub fn mesh_for(self, usage: RenderAssetUsages) -> Mesh {
        Mesh::new(PrimitiveTopology::TriangleList, usage)
            .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, self.positions)
            .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, self.normals)
            .with_inserted_attribute(Mesh::ATTRIBUTE_UV_0, self.surface_m)
            .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, self.colours)
            .with_inserted_indices(Indices::U32(self.indices))
    }
}

impl Facets {
    /// The same triangles in shapes of at most `most` each, in order.
    pub fn pieces(self, most: usize) -> Vec<Self> {
        if self.indices.len() <= 3 * most {
            return vec![self];
        }
        // Where each vertex stands in the piece being made, and in which piece that is.
        let mut place = vec![(u32::MAX, 0_u32); self.positions.len()];
        let pieces = self.indices.chunks(3 * most).zip(0..);
        let piece = |(indices, number): (&[u32], u32)| {
            let mut piece = Self::default();
            for &index in indices {
                let i = index as usize;
                if place[i].0 != number {
                    place[i] = (number, piece.positions.len() as u32);
                    piece.positions.push(self.positions[i]);
                    piece.normals.push(self.normals[i]);
                    piece.surface_m.push(self.surface_m[i]);
                    piece.colours.push(self.colours[i]);
                }
                piece.indices.push(place[i].1);
            }
            piece
        };
        pieces.map(piece).collect()
    }

    /// What it consists of, as bytes: what a worker hands over.
    pub fn lists(&self) -> [&[u8]; 5] {
        use bytemuck::cast_slice;
        [
            cast_slice(&self.positions),
            cast_slice(&self.normals),
            cast_slice(&self.surface_m),
            cast_slice(&self.colours),
            cast_slice(&self.indices),
        ]
    }

    /// The shape whose [`Facets::lists`] have these lengths and are written by `fill`.
    pub fn of_lists(lengths: [usize; 5], mut fill: impl FnMut(usize, &mut [u8])) -> Self {
        fn list<T: bytemuck::Pod>(length: usize, fill: impl FnOnce(&mut [u8])) -> Vec<T> {
            let mut list = vec![T::zeroed(); length / size_of::<T>()];
            fill(bytemuck::cast_slice_mut(&mut list));
            list
        }
        Self {
            positions: list(lengths[0], |bytes| fill(0, bytes)),
            normals: list(lengths[1], |bytes| fill(1, bytes)),
            surface_m: list(lengths[2], |bytes| fill(2, bytes)),
            colours: list(lengths[3], |bytes| fill(3, bytes)),
            indices: list(lengths[4], |bytes| fill(4, bytes)),
        }
    }
}

/// Index of the longest edge.
pub fn longest_axis(half: Vec3) -> usize {
    if half.x >= half.y && half.x >= half.z {
        0
    } else if half.y >= half.z {
        1
    } else {
        2
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Volume enclosed by the triangles, which is right only if all of them face outwards.
    fn volume_m3(shape: &Facets) -> f32 {
        let p: Vec<Vec3> = shape.positions().collect();
        shape
            .indices
            .chunks(3)
            .map(|t| p[t[0] as usize].dot(p[t[1] as usize].cross(p[t[2] as usize])) / 6.0)
            .sum()
    }

    #[test]
    fn a_sharp_box_encloses_its_volume_facing_outwards() {
        let mut shape = Facets::default();
        shape.block(
            Vec3::new(3.0, -1.0, 2.0),
            Vec3::new(0.5, 1.0, 1.5),
            0.0,
            |_| PLAIN,
        );
        assert!((volume_m3(&shape) - 6.0).abs() < 1e-4);
    }

    #[test]
    fn a_broken_edge_stays_inside_the_box_and_takes_little() {
        let half = Vec3::new(0.5, 1.0, 1.5);
        let mut shape = Facets::default();
        shape.block(Vec3::ZERO, half, 0.02, |_| PLAIN);
        let inside = shape.positions().all(|p| p.abs().cmple(half + 1e-6).all());
        assert!(inside);
        let volume = volume_m3(&shape);
        assert!(volume < 6.0 && volume > 5.98, "{volume}");
    }

    #[test]
    fn a_turned_cylinder_faces_outwards() {
        let ring = |along_m, radius_m| Turned {
            along_m,
            radius_m,
            colour: PLAIN,
        };
        let profile = [
            ring(-1.0, 0.0),
            ring(-1.0, 0.5),
            ring(1.0, 0.5),
            ring(1.0, 0.0),
        ];
        let mut shape = Facets::default();
        shape.turn(Vec3::ZERO, Vec3::Y, &profile, 64);
        let volume = volume_m3(&shape);
        assert!(
            (volume - std::f32::consts::PI * 0.5).abs() < 0.01,
            "{volume}"
        );
        let outward = shape
            .positions
            .iter()
            .zip(&shape.normals)
            .all(|(p, n)| Vec3::from_array(*p).dot(Vec3::from_array(*n)) >= 0.0);
        assert!(outward);
    }

    #[test]
    fn pieces_hold_the_same_triangles_and_travel_as_bytes() {
        let mut whole = Facets::default();
        whole.block(Vec3::ZERO, Vec3::ONE, 0.1, |_| PLAIN);
        let corners = |shape: &Facets| -> Vec<[f32; 3]> {
            let at = |i: &u32| shape.positions[*i as usize];
            shape.indices.iter().map(at).collect()
        };
        let expected = corners(&whole);
        let pieces = whole.pieces(5);
        assert_eq!(pieces.len(), expected.len().div_ceil(15));
        assert!(pieces.iter().all(|piece| piece.indices.len() <= 15));
        let arrived: Vec<[f32; 3]> = pieces
            .iter()
            .flat_map(|piece| {
                let lists = piece.lists();
                let lengths = lists.map(<[u8]>::len);
                let back = Facets::of_lists(lengths, |i, bytes| bytes.copy_from_slice(lists[i]));
                assert_eq!(back.normals, piece.normals);
                assert_eq!(back.colours, piece.colours);
                corners(&back)
            })
            .collect();
        assert_eq!(arrived, expected);
    }
}
