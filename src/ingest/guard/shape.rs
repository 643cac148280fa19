//! What a cell is made of, counted in one pass, so that nearly every cell is known to hold no
//! identifier before anything reads it. Knows bytes, not what they mean.

/// How many bytes of each class a cell holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Shape {
    pub(super) length: usize,
    pub(super) digits: usize,
    /// Capitals of ASCII, and the first byte of each character beyond it.
    pub(super) capitals: usize,
    pub(super) small_letters: usize,
    pub(super) spaces: usize,
    pub(super) at_signs: usize,
    pub(super) dots: usize,
    pub(super) commas: usize,
    pub(super) colons: usize,
}

/// Eight counters of eight bits in one number: a cell is counted by one addition for each byte.
const LANE: [u64; 256] = lanes();
const DIGIT: u32 = 0;
const CAPITAL: u32 = 1;
const SMALL: u32 = 2;
const SPACE: u32 = 3;
const AT: u32 = 4;
const DOT: u32 = 5;
const COMMA: u32 = 6;
const COLON: u32 = 7;

/// The most bytes that a counter of eight bits can count.
const CHUNK: usize = 255;

const fn lanes() -> [u64; 256] {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let lane = match byte {
            0x30..=0x39 => Some(DIGIT),
            0x41..=0x5A | 0xC0..=0xFF => Some(CAPITAL),
            0x61..=0x7A => Some(SMALL),
            0x20 | 0x09..=0x0D => Some(SPACE),
            0x40 => Some(AT),
            0x2E => Some(DOT),
            0x2C => Some(COMMA),
            0x3A => Some(COLON),
            _ => None,
        };
        if let Some(lane) = lane {
            table[byte] = 1 << (8 * lane);
        }
        byte += 1;
    }
    table
}

impl Shape {
    /// HOT: counts the bytes of a cell.
    #[inline]
    pub(super) fn of(cell: &[u8]) -> Shape {
        if cell.len() <= CHUNK {
            return Shape::of_chunk(cell);
        }
        let mut shape = Shape::default();
        for chunk in cell.chunks(CHUNK) {
            shape.add(Shape::of_chunk(chunk));
        }
        shape
    }

    /// Of at most `CHUNK` bytes.
    #[inline]
    fn of_chunk(cell: &[u8]) -> Shape {
        let lane = |byte: u8| LANE[usize::from(byte)];
        let (eights, rest) = cell.as_chunks::<8>();
        let mut counted = 0_u64;
        for &[a, b, c, d, e, f, g, h] in eights {
            counted +=
                (lane(a) + lane(b) + lane(c) + lane(d)) + (lane(e) + lane(f) + lane(g) + lane(h));
        }
        for byte in rest {
            counted += lane(*byte);
        }
        let count = |lane: u32| (counted >> (8 * lane) & 0xFF) as usize;
        Shape {
            length: cell.len(),
            digits: count(DIGIT),
            capitals: count(CAPITAL),
            small_letters: count(SMALL),
            spaces: count(SPACE),
            at_signs: count(AT),
            dots: count(DOT),
            commas: count(COMMA),
            colons: count(COLON),
        }
    }

    fn add(&mut self, other: Shape) {
        self.length += other.length;
        self.digits += other.digits;
        self.capitals += other.capitals;
        self.small_letters += other.small_letters;
        self.spaces += other.spaces;
        self.at_signs += other.at_signs;
        self.dots += other.dots;
        self.commas += other.commas;
        self.colons += other.colons;
    }

    #[inline]
    pub(super) fn letters(&self) -> usize {
        self.capitals + self.small_letters
    }

    /// Digits and nothing else.
    #[inline]
    pub(super) fn is_whole_number(&self) -> bool {
        self.digits == self.length
    }

    /// Digits, one to three colons (the third in `+01:00`) and hardly a letter: a time of day, with
    /// or without a date before it.
    #[inline]
    pub(super) fn is_clock_like(&self) -> bool {
        (1..=3).contains(&self.colons)
            && self.letters() < 3
            && self.digits >= 3
            && self.dots < 3
            && self.at_signs == 0
    }
}
