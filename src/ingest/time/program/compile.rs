//! `strptime` words → steps. Whatever is not among the common words has no steps.

use super::layout::Layout;
use super::{Digits, Holds, Program, Step};

/// A word of a form.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Word {
    Literal(u8),
    Space,
    Year,
    ShortYear,
    Month,
    MonthName,
    Day { is_padded: bool },
    Hour { is_padded: bool },
    HourOfTwelve { is_padded: bool },
    Minute,
    Second,
    Fraction,
    Meridiem,
    Offset,
}

impl Word {
    fn is_number(self) -> bool {
        matches!(
            self,
            Word::Year
                | Word::ShortYear
                | Word::Month
                | Word::Day { .. }
                | Word::Hour { .. }
                | Word::HourOfTwelve { .. }
                | Word::Minute
                | Word::Second
        )
    }

    fn is_of_date(self) -> bool {
        matches!(
            self,
            Word::Year | Word::ShortYear | Word::Month | Word::MonthName | Word::Day { .. }
        )
    }

    fn is_of_time(self) -> bool {
        matches!(
            self,
            Word::Hour { .. } | Word::HourOfTwelve { .. } | Word::Minute | Word::Meridiem
        )
    }
}

/// The program of a form; `None` when it has other words than the common ones, one of them twice,
/// or seconds where no minutes stand before.
pub(super) fn compile(form: &str) -> Option<Program> {
    let words = words(form.trim())?;
    let mut holds = Holds::default();
    let mut steps = Vec::new();
    let mut index = 0;
    while index < words.len() {
        let word = words[index];
        let before = index.checked_sub(1).map(|before| words[before]);
        let after = words.get(index + 1).copied();
        let is_joined = |neighbor: Option<Word>| neighbor.is_some_and(Word::is_number);
        let digits = if is_joined(before) || is_joined(after) {
            Digits::Two
        } else {
            Digits::OneOrTwo
        };
        let mut is_seen_often = false;
        let claimed = match word {
            Word::Year | Word::ShortYear => &mut holds.year,
            Word::Month | Word::MonthName => &mut holds.month,
            Word::Day { .. } => &mut holds.day,
            Word::Hour { .. } => &mut holds.hour,
            Word::HourOfTwelve { .. } => &mut holds.hour_of_twelve,
            Word::Minute => &mut holds.minute,
            Word::Meridiem => &mut holds.meridiem,
            _ => &mut is_seen_often,
        };
        if std::mem::replace(claimed, true) {
            return None;
        }
        index += 1;
        match word {
            Word::Literal(b'T') if parts_date_and_time(&words, index - 1) => {
                steps.push(Step::DateFromTime);
            }
            Word::Literal(byte) => steps.push(Step::Literal(byte)),
            Word::Space => steps.push(space(&words, index - 1)),
            Word::Year => steps.push(Step::Year),
            Word::ShortYear => steps.push(Step::ShortYear),
            Word::Month => steps.push(Step::Month(digits)),
            Word::MonthName => steps.push(Step::MonthName {
                is_point_a_step: after == Some(Word::Literal(b'.')),
            }),
            Word::Day { is_padded } => padded(&mut steps, is_padded, Step::Day(digits)),
            Word::Hour { is_padded } => padded(&mut steps, is_padded, Step::Hour(digits)),
            Word::HourOfTwelve { is_padded } => {
                padded(&mut steps, is_padded, Step::HourOfTwelve(digits));
            }
            Word::Minute => {
                steps.push(Step::Minute);
                let (seconds, used) = seconds(&words, index - 1);
                steps.extend(seconds);
                index += used;
            }
            Word::Second | Word::Fraction => return None,
            Word::Meridiem => padded(&mut steps, true, Step::Meridiem),
            Word::Offset => padded(&mut steps, true, Step::Offset),
        }
    }
    Some(Program {
        layout: Layout::of(&steps),
        steps: steps.into(),
        holds,
    })
}

fn padded(steps: &mut Vec<Step>, is_padded: bool, step: Step) {
    if is_padded {
        steps.push(Step::SpacesOrNone);
    }
    steps.push(step);
}

/// Whether the word at `index` stands between a date and a time of day.
fn parts_date_and_time(words: &[Word], index: usize) -> bool {
    let is_sign = |word: &&Word| !matches!(word, Word::Literal(_) | Word::Space);
    let before = words[..index].iter().rev().find(is_sign);
    let after = words[index + 1..].iter().find(is_sign);
    before.zip(after).is_some_and(|(before, after)| {
        (before.is_of_date() && after.is_of_time()) || (before.is_of_time() && after.is_of_date())
    })
}

/// The step of a space: spaces before `am` and an offset may be left out.
fn space(words: &[Word], index: usize) -> Step {
    match words.get(index + 1) {
        Some(Word::Meridiem | Word::Offset) => Step::SpacesOrNone,
        _ if parts_date_and_time(words, index) => Step::DateFromTime,
        _ => Step::Spaces,
    }
}

/// The step for the seconds after the minute at `index`, and how many words belong to it.
fn seconds(words: &[Word], index: usize) -> (Option<Step>, usize) {
    let after = &words[index + 1..];
    let (separator, mut used) = match after {
        [Word::Literal(separator), Word::Second, ..] => (Some(*separator), 2),
        [Word::Second, ..] => (None, 1),
        // The form has no seconds, but cells may: behind the sign that stands before the minute.
        _ => match words[..index] {
            [.., Word::Hour { .. } | Word::HourOfTwelve { .. }] => (None, 0),
            [
                ..,
                Word::Hour { .. } | Word::HourOfTwelve { .. },
                Word::Literal(separator),
            ] => (Some(separator), 0),
            _ => (Some(b':'), 0),
        },
    };
    if used == 0 {
        // What follows must not be taken for seconds.
        let is_taken = match (separator, after.first()) {
            (Some(separator), Some(Word::Literal(next))) => separator == *next,
            (None, Some(next)) => next.is_number(),
            _ => false,
        };
        return ((!is_taken).then_some(Step::Seconds(separator)), 0);
    }
    if let [Word::Literal(b'.' | b','), Word::Fraction, ..] = after[used..] {
        used += 2;
    }
    (Some(Step::Seconds(separator)), used)
}

/// The words of a form; `None` at the first that is not common. Repeated spaces are one.
fn words(form: &str) -> Option<Vec<Word>> {
    let mut words = Vec::new();
    let mut rest = form.bytes().peekable();
    while let Some(byte) = rest.next() {
        if byte.is_ascii_whitespace() {
            if words.last() != Some(&Word::Space) {
                words.push(Word::Space);
            }
            continue;
        }
        // A `Z` behind a time of day says UTC, also where it was meant as a mere letter.
        if byte == b'Z'
            && matches!(
                words.last(),
                Some(Word::Minute | Word::Second | Word::Fraction)
            )
        {
            words.push(Word::Offset);
            continue;
        }
        if byte != b'%' {
            words.push(Word::Literal(byte));
            continue;
        }
        // How a number is padded when it is written is of no account when it is read.
        while rest.next_if(|flag| b"-_0^#".contains(flag)).is_some() {}
        while rest.next_if(u8::is_ascii_digit).is_some() {}
        let is_of_fraction = rest.next_if_eq(&b'.').is_some();
        while is_of_fraction && rest.next_if(u8::is_ascii_digit).is_some() {}
        let is_of_offset = rest.next_if_eq(&b':').is_some();
        while is_of_offset && rest.next_if_eq(&b':').is_some() {}
        let letter = rest.next()?;
        if (is_of_fraction && letter != b'f') || (is_of_offset && letter != b'z') {
            return None;
        }
        match letter {
            b'Y' => words.push(Word::Year),
            b'y' => words.push(Word::ShortYear),
            b'm' => words.push(Word::Month),
            b'b' | b'B' | b'h' => words.push(Word::MonthName),
            b'd' => words.push(Word::Day { is_padded: false }),
            b'e' => words.push(Word::Day { is_padded: true }),
            b'H' => words.push(Word::Hour { is_padded: false }),
            b'k' => words.push(Word::Hour { is_padded: true }),
            b'I' => words.push(Word::HourOfTwelve { is_padded: false }),
            b'l' => words.push(Word::HourOfTwelve { is_padded: true }),
            b'M' => words.push(Word::Minute),
            b'S' => words.push(Word::Second),
            b'f' | b'N' => {
                if is_of_fraction {
                    words.push(Word::Literal(b'.'));
                }
                words.push(Word::Fraction);
            }
            b'n' | b't' => words.push(Word::Space),
            b'p' | b'P' => words.push(Word::Meridiem),
            b'z' => words.push(Word::Offset),
            b'%' => words.push(Word::Literal(b'%')),
            b'F' => words.extend(self::words("%Y-%m-%d")?),
            b'D' => words.extend(self::words("%m/%d/%y")?),
            b'R' => words.extend(self::words("%H:%M")?),
            b'T' => words.extend(self::words("%H:%M:%S")?),
            _ => return None,
        }
    }
    Some(words)
}
