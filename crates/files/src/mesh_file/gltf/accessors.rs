//! Numbers out of the buffers, each record checked to lie inside its buffer.

use gltf::Accessor;
use gltf::accessor::sparse::IndexType;
use gltf::accessor::{DataType, Dimensions};
use gltf::buffer::View;

use super::{DAMAGED, Reader};
use crate::error::FileError;

/// A sparse list may leave out its ground, all zeros; a longer one than this is a prank.
const MOST_ZEROS: usize = 1_000_000;

impl Reader<'_> {
    pub(super) fn positions(
        &self,
        accessor: &Accessor<'_>,
        place: &str,
    ) -> Result<Vec<[f64; 3]>, FileError> {
        if accessor.data_type() != DataType::F32 || accessor.dimensions() != Dimensions::Vec3 {
            return Err(self.fault(
                place,
                "positions that are not three single-precision numbers each",
                "plain positions",
                "Export it again without quantisation or compression",
            ));
        }
        let mut positions = match accessor.view() {
            Some(view) => self
                .records::<12>(&view, accessor.offset(), accessor.count(), place)?
                .map(vector)
                .collect(),
            None if accessor.sparse().is_some() && accessor.count() <= MOST_ZEROS => {
                vec![[0.0; 3]; accessor.count()]
            }
            None => {
                return Err(self.fault(
                    place,
                    "positions without data of their own",
                    "plain positions",
                    "Export it again without compression (Draco, meshopt)",
                ));
            }
        };
        if let Some(sparse) = accessor.sparse() {
            let (at, values) = (sparse.indices(), sparse.values());
            let view = at.view();
            let (offset, count) = (at.offset(), sparse.count());
            let indices: Vec<u32> = match at.index_type() {
                IndexType::U8 => self
                    .records::<1>(&view, offset, count, place)?
                    .map(byte)
                    .collect(),
                IndexType::U16 => self
                    .records::<2>(&view, offset, count, place)?
                    .map(short)
                    .collect(),
                IndexType::U32 => self
                    .records::<4>(&view, offset, count, place)?
                    .map(u32::from_le_bytes)
                    .collect(),
            };
            let values = self
                .records::<12>(&values.view(), values.offset(), count, place)?
                .map(vector);
            for (index, value) in indices.into_iter().zip(values) {
                match positions.get_mut(index as usize) {
                    Some(slot) => *slot = value,
                    None => {
                        return Err(self.fault(
                            place,
                            "a sparse index out of range",
                            "one in range",
                            DAMAGED,
                        ));
                    }
                }
            }
        }
        Ok(positions)
    }

    pub(super) fn indices(
        &self,
        accessor: &Accessor<'_>,
        vertices: usize,
        place: &str,
    ) -> Result<Vec<u32>, FileError> {
        let view = accessor
            .view()
            .filter(|_| accessor.sparse().is_none())
            .ok_or_else(|| {
                self.fault(
                    place,
                    "indices without plain data",
                    "a list of indices",
                    "Export it again without compression (Draco, meshopt)",
                )
            })?;
        let (offset, count) = (accessor.offset(), accessor.count());
        let indices: Vec<u32> = match (accessor.data_type(), accessor.dimensions()) {
            (DataType::U8, Dimensions::Scalar) => self
                .records::<1>(&view, offset, count, place)?
                .map(byte)
                .collect(),
            (DataType::U16, Dimensions::Scalar) => self
                .records::<2>(&view, offset, count, place)?
                .map(short)
                .collect(),
            (DataType::U32, Dimensions::Scalar) => self
                .records::<4>(&view, offset, count, place)?
                .map(u32::from_le_bytes)
                .collect(),
            _ => {
                return Err(self.fault(
                    place,
                    "indices that are not whole numbers",
                    "whole numbers",
                    DAMAGED,
                ));
            }
        };
        match indices.iter().find(|&&index| index as usize >= vertices) {
            Some(index) => Err(self.fault(
                place,
                &format!("a triangle names vertex {index}, but there are {vertices}"),
                "a vertex that is there, counted from 0",
                DAMAGED,
            )),
            None => Ok(indices),
        }
    }

    /// `count` records of `N` bytes of a view, from `offset`; checked to lie in the buffer.
    fn records<'v, const N: usize>(
        &'v self,
        view: &View<'_>,
        offset: usize,
        count: usize,
        place: &str,
    ) -> Result<impl Iterator<Item = [u8; N]> + use<'v, N>, FileError> {
        let stride = view.stride().unwrap_or(N);
        let bytes = self
            .buffers
            .get(view.buffer().index())
            .and_then(|buffer| buffer.get(view.offset()..view.offset().checked_add(view.length())?))
            .and_then(|bytes| bytes.get(offset..));
        let end = count
            .checked_sub(1)
            .and_then(|last| last.checked_mul(stride)?.checked_add(N));
        match (bytes, end) {
            (Some(bytes), Some(end)) if stride >= N && end <= bytes.len() => Ok(bytes[..end]
                .chunks(stride)
                .map(|record| std::array::from_fn(|i| record[i]))),
            _ => Err(self.fault(
                place,
                "its data reaches beyond its buffer",
                "data inside the buffer",
                "The file is cut short or damaged: copy or export it again",
            )),
        }
    }
}

fn vector(record: [u8; 12]) -> [f64; 3] {
    std::array::from_fn(|axis| {
        let at = 4 * axis;
        f64::from(f32::from_le_bytes([
            record[at],
            record[at + 1],
            record[at + 2],
            record[at + 3],
        ]))
    })
}

fn byte(record: [u8; 1]) -> u32 {
    u32::from(record[0])
}

fn short(record: [u8; 2]) -> u32 {
    u32::from(u16::from_le_bytes(record))
}
