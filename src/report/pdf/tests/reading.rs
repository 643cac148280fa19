//! As much of a reader of PDF as the tests need: strings, the text of pages, and objects in both kinds
//! of table. Written from the format, not from what makes the files.

use flate2::read::ZlibDecoder;
use std::collections::BTreeMap;
use std::io::Read;

/// Objects by number, without their first and last line.
pub(super) type Objects = BTreeMap<usize, Vec<u8>>;

pub(super) fn count(text: &str, what: &str) -> usize {
    text.matches(what).count()
}

/// Each byte as the letter of its number.
pub(super) fn latin(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| char::from(*byte)).collect()
}

/// The strings that follow a key directly, decoded.
pub(super) fn strings_after(file: &[u8], key: &str) -> Vec<String> {
    places(file, key.as_bytes())
        .map(|place| &file[place + key.len()..])
        .filter(|rest| is_string(rest))
        .map(|rest| words(&string(rest).0))
        .collect()
}

fn places<'a>(file: &'a [u8], what: &'a [u8]) -> impl Iterator<Item = usize> + 'a {
    (0..file.len()).filter(move |place| file[*place..].starts_with(what))
}

fn is_string(rest: &[u8]) -> bool {
    rest.starts_with(b"(") || (rest.starts_with(b"<") && !rest.starts_with(b"<<"))
}

/// Text beyond ASCII is UTF-16 after a mark.
fn words(bytes: &[u8]) -> String {
    match bytes.strip_prefix(&[0xfe, 0xff]) {
        Some(units) => utf16(units),
        None => latin(bytes),
    }
}

fn utf16(bytes: &[u8]) -> String {
    let pairs = bytes.chunks(2);
    let units: Vec<u16> = pairs
        .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
        .collect();
    String::from_utf16(&units).expect("UTF-16")
}

/// The bytes of a string that begins here, and its length with its brackets.
fn string(rest: &[u8]) -> (Vec<u8>, usize) {
    if rest[0] == b'<' {
        let end = rest.iter().position(|byte| *byte == b'>').expect("an end");
        return (hex(&rest[1..end]), end + 1);
    }
    let mut bytes = Vec::new();
    let (mut place, mut depth) = (1, 0);
    loop {
        let byte = rest[place];
        place += 1;
        match byte {
            b'\\' => {
                let escaped = rest[place];
                place += 1;
                bytes.push(match escaped {
                    b'n' => b'\n',
                    b'r' => b'\r',
                    b't' => b'\t',
                    b'b' => 8,
                    b'f' => 12,
                    b'0'..=b'7' => {
                        place += 2;
                        let digits = latin(&rest[place - 3..place]);
                        u8::from_str_radix(&digits, 8).expect("three octal digits")
                    }
                    other => other,
                });
                continue;
            }
            b')' if depth == 0 => return (bytes, place),
            b'(' => depth += 1,
            b')' => depth -= 1,
            _ => {}
        }
        bytes.push(byte);
    }
}

fn hex(digits: &[u8]) -> Vec<u8> {
    let pair = |pair: &[u8]| u8::from_str_radix(&latin(pair), 16).expect("hex digits");
    digits.chunks(2).map(pair).collect()
}

/// The numbers that follow the first place of `key`, up to a closing bracket.
pub(super) fn numbers_after(file: &str, key: &str) -> Vec<f32> {
    let (_, rest) = file.split_once(key).expect("the key");
    let (numbers, _) = rest.split_once(']').expect("an end");
    let numbers = numbers.split(' ');
    numbers.filter_map(|number| number.parse().ok()).collect()
}

/// The text of each page in the order in which it is drawn, by the tables from glyphs to letters that
/// each font of the file has.
pub(super) fn text_of_pages(file: &[u8]) -> Vec<String> {
    let objects = objects_by_table(file);
    let trailer = latin(&file[start(file)..]);
    let root = latin(&objects[&reference(&trailer, "/Root ")]);
    let mut pages = Vec::new();
    add_pages(&objects, reference(&root, "/Pages "), &mut pages);
    pages.iter().map(|page| page_text(&objects, page)).collect()
}

fn reference(object: &str, key: &str) -> usize {
    let (_, rest) = object.split_once(key).unwrap_or_else(|| panic!("{key}"));
    decimal(rest)
}

fn decimal(text: &str) -> usize {
    let digits: String = text.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().expect("a number")
}

fn add_pages(objects: &Objects, number: usize, pages: &mut Vec<String>) {
    let node = latin(&objects[&number]);
    match node.split_once("/Kids[") {
        None => pages.push(node),
        Some((_, rest)) => {
            let (kids, _) = rest.split_once(']').expect("an end");
            for kid in kids.split(" 0 R").filter(|kid| !kid.is_empty()) {
                add_pages(objects, decimal(kid.trim()), pages);
            }
        }
    }
}

fn page_text(objects: &Objects, page: &str) -> String {
    let resources = if page.contains("/Resources<<") {
        page.to_owned()
    } else {
        latin(&objects[&reference(page, "/Resources ")])
    };
    let (_, fonts) = resources.split_once("/Font<<").expect("fonts");
    let (fonts, _) = fonts.split_once(">>").expect("an end");
    let mut tables = BTreeMap::new();
    for font in fonts.split('/').filter(|font| !font.is_empty()) {
        let (name, number) = font.split_once(' ').expect("a name and a number");
        let font = latin(&objects[&decimal(number)]);
        let table = latin(&objects[&reference(&font, "/ToUnicode ")]);
        tables.insert(name.to_owned(), letters(&table));
    }
    let content = &objects[&reference(page, "/Contents ")];
    let start = places(content, b"stream\n").next().expect("a stream") + 7;
    shown(&content[start..], &tables)
}

/// The letters of every string that a page shows.
fn shown(content: &[u8], tables: &BTreeMap<String, BTreeMap<u16, String>>) -> String {
    let mut text = String::new();
    let mut table = None;
    let mut place = 0;
    while place < content.len() {
        let rest = &content[place..];
        if rest.starts_with(b"<<") {
            place += 2;
        } else if is_string(rest) {
            let (glyphs, length) = string(rest);
            let table: &BTreeMap<u16, String> = table.expect("a font");
            for pair in glyphs.chunks(2) {
                let glyph = u16::from_be_bytes([pair[0], pair[1]]);
                text.push_str(table.get(&glyph).unwrap_or_else(|| panic!("glyph {glyph}")));
            }
            place += length;
        } else {
            if rest[0] == b'/' {
                let name = rest[1..]
                    .iter()
                    .take_while(|byte| byte.is_ascii_alphanumeric());
                let name: String = name.map(|byte| char::from(*byte)).collect();
                table = tables.get(&name).or(table);
            }
            place += 1;
        }
    }
    text
}

/// From glyph to text, by the table that a font has for copying.
fn letters(table: &str) -> BTreeMap<u16, String> {
    let mut found = BTreeMap::new();
    for line in table.lines().filter(|line| line.starts_with('<')) {
        let codes: Vec<&str> = line
            .split(['<', '>'])
            .filter(|code| !code.trim().is_empty())
            .collect();
        if let [glyph, letters] = codes[..] {
            let glyph = u16::from_str_radix(glyph, 16).expect("hex digits");
            found.insert(glyph, utf16(&hex(letters.as_bytes())));
        }
    }
    found
}

/// Where the table of a file begins.
fn start(file: &[u8]) -> usize {
    let end = latin(&file[file.len() - 40..]);
    reference(&end, "startxref\n")
}

/// The object that begins here, without its first and last line.
fn object_at(file: &[u8], place: usize) -> Vec<u8> {
    let rest = &file[place..];
    let first = rest.iter().position(|byte| *byte == b'\n').expect("a line") + 1;
    let last = match places(rest, b"endobj").next() {
        // The letters of the last line may stand in a stream by chance.
        Some(end) if !rest[..end].contains(&b'\0') => end,
        _ => {
            let head = latin(&rest[first..first + 400.min(rest.len() - first)]);
            let length = reference(&head, "/Length ");
            let stream = places(rest, b"stream\n").next().expect("a stream") + 7;
            let after = &rest[stream + length..];
            stream + length + places(after, b"endobj").next().expect("an end")
        }
    };
    rest[first..last].trim_ascii_end().to_vec()
}

/// Every object, through a table of rows of twenty bytes.
pub(super) fn objects_by_table(file: &[u8]) -> Objects {
    let table = &file[start(file)..];
    let count = decimal(&latin(&table[7..20]));
    let head = 7 + count.to_string().len() + 1;
    let mut objects = BTreeMap::new();
    for (number, row) in table[head..head + count * 20].chunks(20).enumerate() {
        if row[17] == b'n' {
            let place = latin(&row[..10]).parse().expect("a place");
            objects.insert(number, object_at(file, place));
        }
    }
    objects
}

/// Every object, through a stream that is the table; without that stream and the streams of objects.
pub(super) fn objects(file: &[u8]) -> Objects {
    let rows = unpacked(&object_at(file, start(file)));
    let mut objects = BTreeMap::new();
    let mut streams = BTreeMap::new();
    for (number, row) in rows.chunks(7).enumerate() {
        let middle = u32::from_be_bytes([row[1], row[2], row[3], row[4]]) as usize;
        let last = u16::from_be_bytes([row[5], row[6]]) as usize;
        if row[0] == 1 {
            objects.insert(number, object_at(file, middle));
        } else if row[0] == 2 {
            let stream = streams.entry(middle).or_insert_with(|| {
                let place =
                    u32::from_be_bytes(rows[middle * 7 + 1..][..4].try_into().expect("four"));
                packed_objects(&object_at(file, place as usize))
            });
            assert_eq!(stream[last].0, number);
            objects.insert(number, stream[last].1.clone());
        }
    }
    for stream in streams.into_keys().chain([rows.len() / 7 - 1]) {
        objects.remove(&stream);
    }
    objects
}

fn packed_objects(stream: &[u8]) -> Vec<(usize, Vec<u8>)> {
    let head = latin(stream);
    let (count, first) = (reference(&head, "/N "), reference(&head, "/First "));
    let bytes = unpacked(stream);
    let numbers: Vec<usize> = latin(&bytes[..first])
        .split_whitespace()
        .map(decimal)
        .collect();
    assert_eq!(numbers.len(), count * 2);
    let body = &bytes[first..];
    let ends = numbers
        .chunks(2)
        .skip(1)
        .map(|pair| pair[1])
        .chain([body.len()]);
    let object =
        |(pair, end): (&[usize], usize)| (pair[0], body[pair[1]..end].trim_ascii_end().to_vec());
    numbers.chunks(2).zip(ends).map(object).collect()
}

fn unpacked(object: &[u8]) -> Vec<u8> {
    let start = places(object, b"stream\n").next().expect("a stream") + 7;
    let mut bytes = Vec::new();
    ZlibDecoder::new(&object[start..])
        .read_to_end(&mut bytes)
        .expect("a packed stream");
    bytes
}
