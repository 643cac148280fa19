//! Numbers with separators within a cell: telephone, social security, NHS and social insurance
//! numbers, ZIP+4. Knows how their digits are grouped; `check_digits` knows what they must sum to.
//!
//! A *run* is a stretch of digits and of the signs that stand between the digits of one number. Its
//! groups of digits are compared with each pattern, from every group that starts a number on: one
//! at the start of the run or after white space.

use super::check_digits::{is_nhs_number, is_social_insurance_number, is_social_security_number};
use super::pattern::{Hits, Pattern};

/// Most groups of one number; a longer run is read up to here.
const MOST_GROUPS: usize = 8;

/// Digits in a row, and what stands before them within the run.
#[derive(Clone, Copy)]
struct Group<'a> {
    digits: &'a [u8],
    before: &'a [u8],
}

/// Every kind of separated number that stands in the cell.
pub(super) fn numbers_in(cell: &[u8]) -> Hits {
    let mut hits = Hits::default();
    let mut place = 0;
    while let Some(start) = cell[place..].iter().position(|byte| starts_run(*byte)) {
        let start = place + start;
        let length = cell[start..]
            .iter()
            .position(|byte| !continues_run(*byte))
            .unwrap_or(cell.len() - start);
        let end = start + length;
        let is_part_of_a_word = start
            .checked_sub(1)
            .is_some_and(|before| cell[before] != b':' && is_glued(cell[before]));
        // Digits right before a letter or a colon belong to a word or to a time of day.
        let is_cut_off = cell
            .get(end)
            .is_some_and(|byte| cell[end - 1].is_ascii_digit() && is_glued(*byte));
        if is_part_of_a_word {
            // The rest of the run may still hold a number of its own.
            let next_space = cell[start..end].iter().position(|byte| *byte == b' ');
            place = next_space.map_or(end, |space| start + space + 1);
            continue;
        }
        match_run(&cell[start..end], is_cut_off, &mut hits);
        place = end;
    }
    hits
}

fn starts_run(byte: u8) -> bool {
    byte.is_ascii_digit() || byte == b'+' || byte == b'('
}

fn continues_run(byte: u8) -> bool {
    byte.is_ascii_digit() || b"+()-./ ".contains(&byte)
}

fn is_glued(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || !byte.is_ascii() || b":_-#".contains(&byte)
}

fn match_run(run: &[u8], is_cut_off: bool, hits: &mut Hits) {
    let mut groups = [Group {
        digits: b"",
        before: b"",
    }; MOST_GROUPS];
    let mut count = 0;
    let mut place = 0;
    while count < MOST_GROUPS {
        let Some(start) = run[place..].iter().position(u8::is_ascii_digit) else {
            break;
        };
        let start = place + start;
        let end = run[start..]
            .iter()
            .position(|byte| !byte.is_ascii_digit())
            .map_or(run.len(), |length| start + length);
        groups[count] = Group {
            digits: &run[start..end],
            before: &run[place..start],
        };
        count += 1;
        place = end;
    }
    if is_cut_off {
        count = count.saturating_sub(1);
    }
    let groups = &groups[..count];
    let is_after_space = |index: usize| groups[index].before.contains(&b' ');
    for start in (0..count).filter(|start| *start == 0 || is_after_space(*start)) {
        for end in (start + 1..=count).filter(|end| *end == count || is_after_space(*end)) {
            match_number(&groups[start..end], hits);
        }
    }
}

/// Notes what the groups are when they are one number. What stands before the first group is `+`,
/// `(`, white space or nothing.
fn match_number(groups: &[Group<'_>], hits: &mut Hits) {
    let lengths: [usize; MOST_GROUPS] =
        std::array::from_fn(|index| groups.get(index).map_or(0, |group| group.digits.len()));
    let total: usize = lengths.iter().sum();
    if !(9..=15).contains(&total) {
        return;
    }
    let separator = |index: usize| groups[index].before;
    let joined = |other: &[u8]| groups[1..].iter().all(|group| group.before == other);
    let has_one_separator = joined(b"-") || joined(b" ");
    match lengths {
        [3, 2, 4, 0, ..] if has_one_separator => {
            let [area, group, serial] = [0, 1, 2].map(|index: usize| groups[index].digits);
            if is_social_security_number(area, group, serial) {
                hits.add(Pattern::SocialSecurity);
            }
        }
        [3, 3, 3, 0, ..]
            if has_one_separator && is_social_insurance_number(&all_digits(groups)[..total]) =>
        {
            hits.add(Pattern::SocialInsurance);
        }
        [3, 3, 4, 0, ..] if has_one_separator && is_nhs_number(&all_digits(groups)[..total]) => {
            hits.add(Pattern::SpacedNhs);
        }
        [5, 4, 0, ..] if separator(1) == b"-" => hits.add(Pattern::ZipPlus4),
        _ => {}
    }
    let is_marked = is_international(groups, total) || is_north_american(groups);
    if is_marked {
        hits.add(Pattern::MarkedPhone);
    } else if is_with_trunk_zero(groups, total) || is_in_pairs(groups) {
        hits.add(Pattern::TrunkPhone);
    }
}

fn all_digits(groups: &[Group<'_>]) -> [u8; 15] {
    let mut all = [0; 15];
    let digits = groups.iter().flat_map(|group| group.digits);
    all.iter_mut()
        .zip(digits)
        .for_each(|(place, digit)| *place = *digit);
    all
}

/// `+44 20 7946 0018`, `0044 20 …`: a plus or 00, then a country code that does not start with 0,
/// at most 15 digits in all (ITU-T E.164).
fn is_international(groups: &[Group<'_>], total: usize) -> bool {
    let first = groups[0].digits;
    let is_separated = groups[1..].iter().all(|group| is_loose(group.before));
    let is_decimal = groups.len() == 2 && groups[1].before == b".";
    if groups[0].before.ends_with(b"+") {
        return first[0] != b'0' && is_separated && !is_decimal;
    }
    groups.len() > 1
        && first.len() > 2
        && first.len() <= 5
        && first.starts_with(b"00")
        && first[2] != b'0'
        && total >= 11
        && is_separated
        && !is_decimal
}

/// What may stand between the groups of a telephone number.
fn is_loose(separator: &[u8]) -> bool {
    separator.len() <= 3
        && separator.iter().any(|byte| b" -./()".contains(byte))
        && !separator.contains(&b'+')
}

/// `(415) 555-0132`, `415-555-0132`, `415.555.0132`, with or without a 1 in front. Area and
/// exchange start with 2 to 9 (North American Numbering Plan,
/// <http://www.quentinsagerconsulting.com/utilities/nalennd_online.php?form=npanxx>).
fn is_north_american(groups: &[Group<'_>]) -> bool {
    let groups = match groups {
        [one, rest @ ..] if one.digits == b"1" && rest.len() == 3 => rest,
        _ => groups,
    };
    let [area, exchange, line] = groups else {
        return false;
    };
    let is_plan = (area.digits.len(), exchange.digits.len(), line.digits.len()) == (3, 3, 4)
        && area.digits[0] >= b'2'
        && exchange.digits[0] >= b'2';
    let separators: (&[u8], &[u8]) = (exchange.before, line.before);
    is_plan
        && matches!(
            separators,
            (
                b"-" | b" " | b"/" | b") " | b")" | b")-" | b") - ",
                b"-" | b" "
            ) | (b"." | b") ", b".")
        )
}

/// `020 7946 0018`, `01632 960001`, `0171/1234567`, `(01632) 960 001`, `07700900123`: a trunk 0 and
/// an area that does not start with 0 (United Kingdom, Germany and others), ten to twelve digits.
fn is_with_trunk_zero(groups: &[Group<'_>], total: usize) -> bool {
    let first = groups[0].digits;
    if first[0] != b'0' || first.len() < 3 || first[1] == b'0' || !(10..=12).contains(&total) {
        return false;
    }
    if groups.len() == 1 {
        // In one piece: only with the eleven digits, and the first ones, of the United Kingdom.
        return total == 11 && b"1235789".contains(&first[1]);
    }
    first.len() <= 6
        && groups[1..].iter().all(|group| {
            group.digits.len() >= 2 && is_loose(group.before) && !group.before.contains(&b'.')
        })
}

/// `06 12 34 56 78`: five pairs (France), unless they read as a date and a time.
fn is_in_pairs(groups: &[Group<'_>]) -> bool {
    let [first, .., hour, minute] = groups else {
        return false;
    };
    let one_separator = [b" " as &[u8], b"."]
        .iter()
        .any(|separator| groups[1..].iter().all(|group| group.before == *separator));
    let is_time = hour.digits <= b"23".as_slice() && minute.digits <= b"59".as_slice();
    groups.len() == 5
        && groups.iter().all(|group| group.digits.len() == 2)
        && first.digits[0] == b'0'
        && first.digits[1] != b'0'
        && one_separator
        && !is_time
}
