//! A finished PDF made smaller: its thousands of small objects, most of them tags, move into
//! compressed object streams, which PDF has since version 1.5. Knows nothing of what they mean.

use flate2::Compression;
use flate2::write::ZlibEncoder;
use std::fmt::Write as _;
use std::io::Write as _;

/// Objects in one stream. More compress hardly better, and a reader unpacks a stream as a whole.
const IN_ONE_STREAM: usize = 400;

/// Where an object is found, as a row of the table of the file.
enum Entry {
    /// No such object.
    Free,
    /// At this place of the file.
    Plain(usize),
    /// In this stream, at this place among its objects.
    Packed(usize, usize),
}

/// The same document in fewer bytes; `None` if its bytes are not laid out as expected.
pub(super) fn packed(file: &[u8]) -> Option<Vec<u8>> {
    let table = Table::read(file)?;
    let first_object = *table.offsets.iter().flatten().min()?;
    let mut bytes = file[..first_object].to_vec();
    let mut entries: Vec<Entry> = Vec::with_capacity(table.offsets.len() + 32);
    let mut small: Vec<(usize, &[u8])> = Vec::new();
    for number in 0..table.offsets.len() {
        entries.push(Entry::Free);
        let Some(start) = table.offsets[number] else {
            continue;
        };
        let whole = table.object_at(file, start)?;
        let body = body(whole, number)?;
        if body.ends_with(b"endstream") {
            entries[number] = Entry::Plain(bytes.len());
            bytes.extend_from_slice(whole);
        } else {
            small.push((number, body));
        }
    }
    for objects in small.chunks(IN_ONE_STREAM) {
        let stream = entries.len();
        for (place, (number, _)) in objects.iter().enumerate() {
            entries[*number] = Entry::Packed(stream, place);
        }
        entries.push(Entry::Plain(bytes.len()));
        object_stream(&mut bytes, stream, objects)?;
    }
    let start = bytes.len();
    let number = entries.len();
    entries.push(Entry::Plain(start));
    let rows: Vec<u8> = entries.iter().flat_map(row).collect();
    let rows = compressed(&rows)?;
    let (count, length) = (entries.len(), rows.len());
    let head = format!(
        "{number} 0 obj\n<</Type/XRef/Size {count}/W[1 4 2]/Filter/FlateDecode/Length {length}"
    );
    bytes.extend_from_slice(head.as_bytes());
    bytes.extend_from_slice(table.keys);
    bytes.extend_from_slice(b">>\nstream\n");
    bytes.extend_from_slice(&rows);
    let end = format!("\nendstream\nendobj\nstartxref\n{start}\n%%EOF");
    bytes.extend_from_slice(end.as_bytes());
    Some(bytes)
}

/// The table of a file: where each object begins.
struct Table<'a> {
    /// By number of the object.
    offsets: Vec<Option<usize>>,
    /// The same from first to last, and where the table itself begins.
    rising: Vec<usize>,
    /// What the trailer says beside the number of objects.
    keys: &'a [u8],
}

impl<'a> Table<'a> {
    fn read(file: &'a [u8]) -> Option<Table<'a>> {
        let end = last(file, b"startxref\n")?;
        let start = number(&file[end + 10..])?;
        let text = file.get(start..end)?.strip_prefix(b"xref\n0 ")?;
        let count = number(text)?;
        let rows = text.get(count.to_string().len() + 1..)?;
        let mut offsets = Vec::with_capacity(count);
        // Each row has 20 bytes: ten digits, a space, five digits, a space, a letter, a line end.
        for row in rows.get(..count * 20)?.chunks(20) {
            let offset = if row[17] == b'n' {
                Some(number(row)?)
            } else {
                None
            };
            offsets.push(offset);
        }
        let trailer = &rows[count * 20..];
        let keys = trailer.strip_prefix(b"trailer\n<</Size ")?;
        let keys = keys.get(number(keys)?.to_string().len()..last(keys, b">>")?)?;
        let mut rising: Vec<usize> = offsets.iter().flatten().copied().collect();
        rising.push(start);
        rising.sort_unstable();
        Some(Table {
            offsets,
            rising,
            keys,
        })
    }

    /// The bytes of the object that begins at `start`, with its first and last line.
    fn object_at<'f>(&self, file: &'f [u8], start: usize) -> Option<&'f [u8]> {
        let next = self.rising.partition_point(|offset| *offset <= start);
        file.get(start..*self.rising.get(next)?)
    }
}

/// An object without its first and last line.
fn body(whole: &[u8], number: usize) -> Option<&[u8]> {
    let body = whole.strip_prefix(format!("{number} 0 obj\n").as_bytes())?;
    let body = body.trim_ascii_end().strip_suffix(b"endobj")?;
    Some(body.trim_ascii_end())
}

fn object_stream(file: &mut Vec<u8>, number: usize, objects: &[(usize, &[u8])]) -> Option<()> {
    let mut places = String::new();
    let mut bodies = Vec::new();
    for (number, body) in objects {
        write!(places, "{number} {} ", bodies.len()).ok()?;
        bodies.extend_from_slice(body);
        bodies.push(b'\n');
    }
    let first = places.len();
    let stream = compressed(&[places.as_bytes(), &bodies].concat())?;
    let (count, length) = (objects.len(), stream.len());
    let head = format!(
        "{number} 0 obj\n<</Type/ObjStm/N {count}/First {first}/Filter/FlateDecode/Length {length}>>\nstream\n"
    );
    file.extend_from_slice(head.as_bytes());
    file.extend_from_slice(&stream);
    file.extend_from_slice(b"\nendstream\nendobj\n");
    Some(())
}

fn row(entry: &Entry) -> [u8; 7] {
    let (kind, middle, last) = match entry {
        Entry::Free => (0, 0, u16::MAX.into()),
        Entry::Plain(offset) => (1, *offset, 0),
        Entry::Packed(stream, place) => (2, *stream, *place),
    };
    let mut row = [kind; 7];
    let middle = middle.to_be_bytes();
    let last = last.to_be_bytes();
    row[1..5].copy_from_slice(&middle[middle.len() - 4..]);
    row[5..].copy_from_slice(&last[last.len() - 2..]);
    row
}

fn compressed(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::new(6));
    encoder.write_all(bytes).ok()?;
    encoder.finish().ok()
}

/// The decimal number that the bytes begin with.
fn number(bytes: &[u8]) -> Option<usize> {
    let digits = bytes
        .iter()
        .take_while(|byte| byte.is_ascii_digit())
        .count();
    std::str::from_utf8(&bytes[..digits]).ok()?.parse().ok()
}

fn last(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|window| window == what)
}
