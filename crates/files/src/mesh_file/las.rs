//! LAS and its packed form LAZ: the points of a laser scan (ASPRS LAS 1.4 R15, from memory).
//!
//! Packed points go through the kept crate `laz`. The header is read here and not by the kept crate
//! `las`, because that one makes room for what a file claims, and unpacks colours, times and returns
//! as well. `laz` too trusts what the packed data say of themselves, so that is looked at before.

use std::io::{Cursor, Seek, SeekFrom};

use laz::las::selective::DecompressionSelection;
use laz::laszip::ChunkTable;
use laz::{LasZipDecompressor, LazItemRecordBuilder, LazItemType, LazVlr};

use crate::error::{FileError, Spot};
use crate::fit::MOST_POINTS;
use crate::progress::{Progress, step};

/// Points read between two looks at whether to stop.
const BATCH: usize = 1 << 16;
/// Fewest bytes a header has (LAS 1.0).
const HEAD: usize = 227;
/// Bytes of a variable record before its data.
const RECORD_HEAD: usize = 54;
/// Most points to a byte of a packed file: real ones take two bytes a point or more.
const MOST_TO_A_BYTE: usize = 1;
const DAMAGED: &str = "The file is cut short or damaged: copy or export it again";

/// What the header says.
struct Head {
    records_at: usize,
    records: usize,
    points_at: usize,
    format: u8,
    packed: bool,
    record: usize,
    count: usize,
    scale: [f64; 3],
    offset: [f64; 3],
}

/// The points of a LAS or LAZ file.
pub(super) fn read(
    bytes: &[u8],
    name: &str,
    progress: &dyn Progress,
) -> Result<Vec<[f64; 3]>, FileError> {
    let head = Head::read(bytes, name)?;
    let place = |record: &[u8]| -> [f64; 3] {
        std::array::from_fn(|axis| {
            let at = 4 * axis;
            let number =
                i32::from_le_bytes([record[at], record[at + 1], record[at + 2], record[at + 3]]);
            f64::from(number) * head.scale[axis] + head.offset[axis]
        })
    };
    let mut points = Vec::with_capacity(head.count);
    if !head.packed {
        let records = &bytes[head.points_at..head.points_at + head.count * head.record];
        for batch in records.chunks(BATCH * head.record) {
            step(progress, points.len() as f64 / head.count as f64, "points")?;
            points.extend(batch.chunks_exact(head.record).map(place));
        }
        return Ok(points);
    }
    let mut unpacker = unpacker(bytes, &head, name)?;
    let mut record = vec![0; head.record];
    while points.len() < head.count {
        step(progress, points.len() as f64 / head.count as f64, "points")?;
        for _ in 0..BATCH.min(head.count - points.len()) {
            unpacker.decompress_one(&mut record).map_err(|error| {
                let found = format!("point {} cannot be unpacked ({error})", points.len() + 1);
                FileError::fault(name, Spot::Byte(head.points_at), found, "", DAMAGED)
            })?;
            points.push(place(&record));
        }
    }
    Ok(points)
}

fn number<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..at.checked_add(N)?)?.try_into().ok()
}

fn short(bytes: &[u8], at: usize) -> Option<usize> {
    number(bytes, at).map(|n| usize::from(u16::from_le_bytes(n)))
}

fn word(bytes: &[u8], at: usize) -> Option<usize> {
    usize::try_from(u32::from_le_bytes(number(bytes, at)?)).ok()
}

impl Head {
    fn read(bytes: &[u8], name: &str) -> Result<Self, FileError> {
        let wrong = |at: usize, found: String, expected: &str| {
            FileError::fault(name, Spot::Byte(at), found, expected, DAMAGED)
        };
        let head = Self::fields(bytes)
            .filter(|_| bytes.len() >= HEAD)
            .ok_or_else(|| {
                wrong(
                    bytes.len(),
                    format!("the file ends after {} bytes", bytes.len()),
                    "a whole header",
                )
            })?;
        if head.format > 10 {
            return Err(wrong(
                104,
                format!("points of kind {}", head.format),
                "0 to 10",
            ));
        }
        let least = LEAST_RECORD[usize::from(head.format)];
        if head.record < least {
            return Err(wrong(
                105,
                format!("{} bytes a point", head.record),
                &format!("at least {least}"),
            ));
        }
        if !head.scale.iter().chain(&head.offset).all(|c| c.is_finite()) {
            return Err(wrong(
                131,
                "a scale or offset that is not finite".into(),
                "numbers",
            ));
        }
        if head.points_at > bytes.len() {
            return Err(wrong(
                96,
                format!("points that begin at byte {}", head.points_at),
                &format!("no more than the file's {} bytes", bytes.len()),
            ));
        }
        let room = bytes.len() - head.points_at;
        let most = if head.packed {
            room.saturating_mul(MOST_TO_A_BYTE)
        } else {
            room / head.record
        };
        if head.count > most {
            return Err(wrong(
                bytes.len(),
                format!(
                    "the header promises {} points, but {room} bytes follow",
                    head.count
                ),
                "as many as there are",
            ));
        }
        if head.count > MOST_POINTS {
            return Err(FileError::fault(
                name,
                Spot::Whole,
                format!("{} points", head.count),
                format!("at most {MOST_POINTS}"),
                "Thin the scan in the scanner's program: a point every 2 mm is plenty",
            ));
        }
        Ok(head)
    }

    fn fields(bytes: &[u8]) -> Option<Self> {
        let float = |at: usize| number(bytes, at).map(f64::from_le_bytes);
        let minor = *bytes.get(25)?;
        let kind = *bytes.get(104)?;
        let mut count = word(bytes, 107)? as u64;
        if minor >= 4
            && let Some(long) = number(bytes, 247).map(u64::from_le_bytes)
            && long > 0
        {
            count = long;
        }
        Some(Self {
            records_at: short(bytes, 94)?,
            points_at: word(bytes, 96)?,
            records: word(bytes, 100)?,
            format: kind & 0x3f,
            packed: kind & 0xc0 != 0,
            record: short(bytes, 105)?,
            count: usize::try_from(count).ok()?,
            scale: [float(131)?, float(139)?, float(147)?],
            offset: [float(155)?, float(163)?, float(171)?],
        })
    }
}

/// Bytes of a point of each kind, without extra bytes.
const LEAST_RECORD: [usize; 11] = [20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67];

/// The packed points, ready to be unpacked: their packing checked to be that of the points' kind, and
/// everything they claim to lie in the file.
fn unpacker<'a>(
    bytes: &'a [u8],
    head: &Head,
    name: &str,
) -> Result<LasZipDecompressor<'a, Cursor<&'a [u8]>>, FileError> {
    let wrong = |at: usize, found: &str, expected: &str| {
        FileError::fault(name, Spot::Byte(at), found, expected, DAMAGED)
    };
    let packing = packing(bytes, head).ok_or_else(|| {
        wrong(
            head.records_at,
            "the record of its packing is missing",
            "one",
        )
    })?;
    let extra = (head.record - LEAST_RECORD[usize::from(head.format)]) as u16;
    let expected = LazItemRecordBuilder::default_for_point_format_id(head.format, extra);
    let alike = expected.is_ok_and(|expected| {
        expected.len() == packing.items().len()
            && expected.iter().zip(packing.items()).all(|(a, b)| {
                std::mem::discriminant(&a.item_type()) == std::mem::discriminant(&b.item_type())
                    && a.size() == b.size()
            })
    });
    if !alike || packing.items_size() != head.record as u64 {
        return Err(wrong(
            head.records_at,
            "a packing that does not fit the points",
            "that of their kind",
        ));
    }
    if !chunks_lie_inside(bytes, head, &packing) {
        return Err(wrong(
            head.points_at,
            "packed points that reach beyond the file",
            "as many as there are",
        ));
    }
    let mut source = Cursor::new(bytes);
    let selection = DecompressionSelection::xy_returns_channel().decompress_z();
    source
        .seek(SeekFrom::Start(head.points_at as u64))
        .map_err(laz::LasZipError::from)
        .and_then(|_| LasZipDecompressor::selective(source, packing, selection))
        .map_err(|error| wrong(head.points_at, &error.to_string(), "packed points"))
}

fn packing(bytes: &[u8], head: &Head) -> Option<LazVlr> {
    let mut at = head.records_at;
    for _ in 0..head.records {
        let record = bytes.get(at..)?;
        let length = short(record, 20)?;
        let data = record.get(RECORD_HEAD..RECORD_HEAD + length)?;
        if record.get(2..16)? == b"laszip encoded" && short(record, 18)? == 22204 {
            return LazVlr::read_from(data).ok();
        }
        at += RECORD_HEAD + length;
    }
    None
}

/// Whether the table of chunks and, where the fields of points are packed apart, the length of each
/// of these layers stay inside the file.
fn chunks_lie_inside(bytes: &[u8], head: &Head, packing: &LazVlr) -> bool {
    let table = || -> Option<bool> {
        let start = head.points_at;
        let offset = |at: usize| number(bytes, at).map(i64::from_le_bytes);
        let mut at = offset(start)?;
        if at <= start as i64 {
            at = offset(bytes.len().checked_sub(8)?)?;
        }
        if at <= start as i64 {
            return Some(!packing.uses_variable_size_chunks());
        }
        let at = usize::try_from(at).ok()?;
        if word(bytes, at.checked_add(4)?)? > bytes.len() {
            return Some(false);
        }
        if !packing.uses_variable_size_chunks() {
            return Some(true);
        }
        let mut source = Cursor::new(bytes);
        source.set_position(start as u64);
        let table = ChunkTable::read_from(&mut source, packing).ok()?;
        let counts = table.as_ref().iter().map(|chunk| chunk.point_count);
        let sum = counts.clone().try_fold(0_u64, u64::checked_add)?;
        Some(sum >= head.count as u64 && counts.clone().all(|count| count > 0))
    };
    let layered = head.format >= 6;
    // A table that cannot be read is no harm where chunks are all of one size.
    table().unwrap_or(!packing.uses_variable_size_chunks())
        && (!layered || layers(bytes, head, packing).is_some())
}

/// Goes through the chunks of points packed in layers: a whole point, a count, the layers' lengths.
fn layers(bytes: &[u8], head: &Head, packing: &LazVlr) -> Option<()> {
    let lengths: usize = packing
        .items()
        .iter()
        .map(|item| match item.item_type() {
            LazItemType::Point14 => 9,
            LazItemType::RGBNIR14 => 2,
            LazItemType::Byte14(count) => usize::from(count),
            _ => 1,
        })
        .sum();
    let mut at = head.points_at.checked_add(8)?;
    let mut points = 0;
    while points < head.count {
        let chunk = at.checked_add(head.record)?;
        let count = word(bytes, chunk)?;
        let mut end = chunk.checked_add(4 + 4 * lengths)?;
        for layer in 0..lengths {
            end = end.checked_add(word(bytes, chunk + 4 + 4 * layer)?)?;
        }
        if end > bytes.len() || count == 0 {
            return None;
        }
        points += count;
        at = end;
    }
    Some(())
}
