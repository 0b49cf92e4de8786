//! Whether a spreadsheet may be opened: a damaged file can say that it holds more than fits into memory.

use std::io::{Cursor, Read};
use std::sync::LazyLock;

use regex::bytes::Regex;

/// Most bytes the parts of a spreadsheet unpack to.
const UNPACKED: u64 = 64_000_000;
/// Most cells between the first and the last one of a sheet.
const CELLS: u32 = 1_000_000;
/// Most sheets.
const SHEETS: usize = 200;
/// Bytes of a part in which its root element stands.
const HEAD: u64 = 2_000;

static COUNT: LazyLock<Regex> =
    LazyLock::new(|| Regex::new(r#"uniqueCount\s*=\s*"(\d+)""#).expect("a valid shape"));

/// Whether the parts of a zip archive, XLSX or ODS, unpack to what they may.
pub(super) fn zip(bytes: &[u8]) -> bool {
    unpacked(bytes).is_some_and(|total| total <= UNPACKED)
}

/// What an archive says it unpacks to; `None` where it cannot be read, or says what cannot be.
fn unpacked(bytes: &[u8]) -> Option<u64> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut total = 0_u64;
    for n in 0..archive.len() {
        let part = archive.by_index_raw(n).ok()?;
        total = total.saturating_add(part.size());
    }
    if let Ok(strings) = archive.by_name("xl/sharedStrings.xml") {
        let size = strings.size();
        let mut head = vec![];
        strings.take(HEAD).read_to_end(&mut head).ok()?;
        let count = COUNT.captures(&head).and_then(|found| found.get(1));
        let count = count.and_then(|m| std::str::from_utf8(m.as_bytes()).ok()?.parse().ok());
        // A string takes more than one byte.
        if count.unwrap_or(0) > size {
            return None;
        }
    }
    Some(total)
}

/// Whether the cells of a compound file, XLS, lie as near together as those of a formula.
pub(super) fn compound(bytes: &[u8]) -> bool {
    workbook(bytes).is_some_and(|stream| bounded(&stream) == Some(true))
}

fn workbook(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut file = cfb::CompoundFile::open(Cursor::new(bytes)).ok()?;
    let name = ["/Workbook", "/Book"]
        .into_iter()
        .find(|name| file.exists(name))?;
    let mut stream = vec![];
    let part = file.open_stream(name).ok()?;
    part.take(UNPACKED).read_to_end(&mut stream).ok()?;
    Some(stream)
}

/// One record of the stream of a workbook.
struct Record<'a> {
    kind: u16,
    data: &'a [u8],
}

impl Record<'_> {
    fn short(&self, at: usize) -> Option<u32> {
        let bytes = self.data.get(at..at + 2)?;
        Some(u32::from(bytes[0]) | u32::from(bytes[1]) << 8)
    }

    fn long(&self, at: usize) -> Option<u32> {
        Some(self.short(at)? | self.short(at + 2)? << 16)
    }
}

/// The records from a place on, up to the end of a sheet.
fn records(stream: &[u8], mut at: usize) -> impl Iterator<Item = Record<'_>> {
    const END: u16 = 0x000a;
    let mut ended = false;
    std::iter::from_fn(move || {
        let head = stream.get(at..at.checked_add(4)?)?;
        let length = usize::from(u16::from_le_bytes([head[2], head[3]]));
        let record = Record {
            kind: u16::from_le_bytes([head[0], head[1]]),
            data: stream.get(at + 4..at + 4 + length)?,
        };
        at += 4 + length;
        if ended {
            return None;
        }
        ended = record.kind == END;
        Some(record)
    })
}

/// Whether all sheets are small enough; `None` where a record is too short to be one.
/// Source: MS-XLS 2.4, recalled; checked against files in tests.
fn bounded(stream: &[u8]) -> Option<bool> {
    const SHEET: u16 = 0x0085;
    const DIMENSIONS: u16 = 0x0200;
    /// Records of one cell or several, which begin with row and column.
    const CELL: [u16; 8] = [
        0x0006, 0x00bd, 0x00d6, 0x00fd, 0x0203, 0x0204, 0x0205, 0x027e,
    ];
    const SEVERAL: u16 = 0x00bd;
    let sheets: Vec<u32> = records(stream, 0)
        .filter(|record| record.kind == SHEET)
        .map(|record| record.long(0))
        .collect::<Option<_>>()?;
    if sheets.len() > SHEETS {
        return Some(false);
    }
    for start in sheets {
        if start as usize >= stream.len() {
            return Some(false);
        }
        let (mut rows, mut columns) = ((u32::MAX, 0), (u32::MAX, 0));
        for record in records(stream, start as usize) {
            if record.kind == DIMENSIONS {
                let sides = match record.data.len() {
                    10 => [0, 2, 4, 6].map(|at| record.short(at)),
                    _ => [
                        record.long(0),
                        record.long(4),
                        record.short(8),
                        record.short(10),
                    ],
                };
                let [top, bottom, left, right] = sides;
                let (height, width) = (bottom?.checked_sub(top?), right?.checked_sub(left?));
                if height.is_none_or(|h| h > 65_536) || width.is_none_or(|w| w > 256) {
                    return Some(false);
                }
            } else if CELL.contains(&record.kind) {
                let (row, first) = (record.short(0)?, record.short(2)?);
                let last = match record.kind {
                    SEVERAL => record.short(record.data.len().checked_sub(2)?)?,
                    _ => first,
                };
                rows = (rows.0.min(row), rows.1.max(row));
                columns = (columns.0.min(first), columns.1.max(first).max(last));
                let sides = (rows.1 - rows.0 + 1, columns.1.saturating_sub(columns.0) + 1);
                if sides.0.saturating_mul(sides.1) > CELLS {
                    return Some(false);
                }
            }
        }
    }
    Some(true)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(kind: u16, data: &[u8]) -> Vec<u8> {
        let length = u16::try_from(data.len()).expect("short");
        [&kind.to_le_bytes()[..], &length.to_le_bytes(), data].concat()
    }

    /// A workbook of one sheet with a number at each place.
    fn book(cells: &[(u16, u16)]) -> Vec<u8> {
        let head = record(0x0085, &12_u32.to_le_bytes());
        let end = record(0x000a, &[]);
        let cells = cells.iter().flat_map(|(row, column)| {
            let data = [&row.to_le_bytes()[..], &column.to_le_bytes(), &[0; 10]].concat();
            record(0x0203, &data)
        });
        head.into_iter()
            .chain(end.clone())
            .chain(cells)
            .chain(end)
            .collect()
    }

    #[test]
    fn cells_far_apart_are_not_opened() {
        for (cells, small) in [
            (&[][..], true),
            (&[(0, 0), (500, 20)], true),
            (&[(65_535, 3)], true),
            (&[(0, 0), (65_535, 255)], false),
            (&[(0, 0), (0, 65_535), (300, 0)], false),
        ] {
            assert_eq!(bounded(&book(cells)), Some(small), "{cells:?}");
        }
        assert!(!compound(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"));
        assert!(!zip(b"PK\x03\x04"));
    }
}
