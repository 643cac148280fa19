//! A case as one set of bits: for its age class and each coded field exactly one bit, of its value or
//! of there being none. A window is then one comparison, however many codes it names.

use super::{ADULT_YEARS, CODED, Codes, Conditions, Population, SHARP_CLASSES, Traits};
use crate::domain::codes::{CodeList, ObjectType, YesNo};
use crate::domain::fields::CaseField;

/// The first bits: age unknown, adult, child.
const AGE_UNKNOWN: u64 = 1;
const ADULT: u64 = 1 << 1;
const CHILD: u64 = 1 << 2;
const AGE_BITS: usize = 3;

const _: () = assert!(bits_needed() <= 64, "the codes of a case fit one word");

/// One bit for each code, and one for each field that has no value.
const fn bits_needed() -> usize {
    let mut bits = AGE_BITS;
    let mut field = 0;
    while field < CODED.len() {
        bits += CODED[field].1.words.len() + 1;
        field += 1;
    }
    bits
}

/// Where the bits of each value lie.
#[derive(Clone, Debug)]
pub(super) struct CaseBits {
    fields: [FieldBits; CODED.len()],
    sharp_missing: u64,
    sharp_yes: u64,
    sharp_classes: u64,
    /// The class that stands for a length beyond any lower bound where nobody measured it.
    pub(super) long_class: u64,
    /// The same of a width.
    pub(super) wide_class: u64,
}

impl CaseBits {
    pub(super) fn new() -> CaseBits {
        let mut first = AGE_BITS;
        let fields = CODED.map(|(_, list)| {
            let bits = FieldBits::new(list, first);
            first += list.words.len() + 1;
            bits
        });
        let of = |field: CaseField| {
            let place = CODED.iter().position(|(coded, _)| *coded == field);
            &fields[place.expect("a field of the list")]
        };
        let class = |class: ObjectType| of(CaseField::ObjectType).bit(Some(class.code()));
        CaseBits {
            sharp_missing: of(CaseField::Sharp).bit(None),
            sharp_yes: of(CaseField::Sharp).bit(Some(YesNo::Yes.code())),
            sharp_classes: SHARP_CLASSES
                .map(class)
                .iter()
                .fold(0, |all, bit| all | bit),
            long_class: class(ObjectType::Long),
            wide_class: class(ObjectType::Wide),
            fields,
        }
    }

    /// The bits of a case. HOT.
    pub(super) fn of(&self, traits: &Traits<'_>) -> u64 {
        let age = match traits.age_years {
            None => AGE_UNKNOWN,
            Some(ADULT_YEARS..) => ADULT,
            Some(_) => CHILD,
        };
        let fields = self.fields.iter().zip(traits.codes);
        let case = fields.fold(age, |case, (field, code)| case | field.bit(code));
        if case & self.sharp_missing != 0 && case & self.sharp_classes != 0 {
            (case & !self.sharp_missing) | self.sharp_yes
        } else {
            case
        }
    }

    /// The bits that a case of a window may have.
    pub(super) fn allowed(&self, conditions: &Conditions) -> u64 {
        let age = match conditions.population {
            Population::Adult => ADULT,
            Population::Child => CHILD,
            Population::Any => AGE_UNKNOWN | ADULT | CHILD,
        };
        let fields = self.fields.iter().zip(&conditions.codes);
        fields.fold(age, |bits, (field, codes)| bits | field.allowed(codes))
    }
}

/// The bits of one field: the first for no value, then one for each code of its list.
#[derive(Clone, Debug)]
struct FieldBits {
    first: usize,
    codes: usize,
    multiplier: u32,
    /// Place of a code in the list, counted from 1, by its hash.
    places: [u8; 256],
}

impl FieldBits {
    fn new(list: CodeList, first: usize) -> FieldBits {
        // Some multiplier gives each code a hash of its own, so that a value is looked up without
        // comparing texts.
        let (multiplier, places) = (1..10_000_u32)
            .map(|number| (2 * number + 1).wrapping_mul(0x9E37_79B1))
            .find_map(|multiplier| Some((multiplier, places(list, multiplier)?)))
            .expect("the codes of a list differ at their ends, which a test sees");
        FieldBits {
            first,
            codes: list.words.len(),
            multiplier,
            places,
        }
    }

    /// The bit of a code of the list, or of no value. HOT.
    fn bit(&self, code: Option<&str>) -> u64 {
        let place = code.map_or(0, |code| self.places[hash(code, self.multiplier)]);
        1 << (self.first + usize::from(place))
    }

    fn allowed(&self, codes: &Codes) -> u64 {
        match codes {
            None => ((1 << (self.codes + 1)) - 1) << self.first,
            Some(codes) => codes
                .iter()
                .fold(0, |bits, code| bits | self.bit(Some(code))),
        }
    }
}

/// The place of each code by its hash; `None` when two share one.
fn places(list: CodeList, multiplier: u32) -> Option<[u8; 256]> {
    let mut places = [0; 256];
    for (place, word) in (1..).zip(list.words) {
        let slot = &mut places[hash(word.code, multiplier)];
        if *slot != 0 {
            return None;
        }
        *slot = place;
    }
    Some(places)
}

/// A number below 256 from the length of a code and its first and last four bytes.
fn hash(code: &str, multiplier: u32) -> usize {
    let bytes = code.as_bytes();
    let ends = match (bytes.first_chunk(), bytes.last_chunk()) {
        (Some(first), Some(last)) => {
            u32::from_le_bytes(*first).rotate_left(7) ^ u32::from_le_bytes(*last)
        }
        _ => bytes
            .iter()
            .fold(0, |ends, byte| (ends << 8) | u32::from(*byte)),
    };
    let [.., high] = (ends.wrapping_mul(multiplier)).to_le_bytes();
    usize::from(high)
}

#[cfg(test)]
mod tests {
    use super::{CODED, CaseBits};
    use std::collections::BTreeSet;

    #[test]
    fn each_value_of_each_field_has_a_bit_of_its_own() {
        let bits = CaseBits::new();
        let mut seen = BTreeSet::new();
        let mut values = 0;
        for (field, (_, list)) in bits.fields.iter().zip(CODED) {
            let codes = list.words.iter().map(|word| Some(word.code));
            for code in codes.chain([None]) {
                let bit = field.bit(code);
                assert_eq!(bit.count_ones(), 1);
                assert!(bit > super::CHILD);
                seen.insert(bit);
                values += 1;
            }
        }
        assert_eq!(seen.len(), values);
    }
}
