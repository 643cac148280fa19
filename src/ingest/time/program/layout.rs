//! The places of the numbers in a cell that is written in full, so that nearly every cell of a form
//! with numbers only is read without a step. Says nothing of cells that are written otherwise.

use super::{Parts, Step};

/// Where the parts of a form stand when every number has all its digits and nothing is left out.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    /// Bytes of the cell.
    length: usize,
    /// Bytes between the numbers and their places; [`BEFORE_TIME`] for a space or a `T`.
    signs: Box<[(usize, u8)]>,
    century: Option<usize>,
    /// Two digits of the year.
    year: Option<usize>,
    month: Option<usize>,
    day: Option<usize>,
    hour: Option<usize>,
    minute: Option<usize>,
}

/// Stands for the byte between a date and a time of day.
const BEFORE_TIME: u8 = 0;

impl Layout {
    /// The layout of a form; `None` where some part has no fixed length.
    pub(super) fn of(steps: &[Step]) -> Option<Layout> {
        let mut layout = Layout {
            length: 0,
            signs: Box::default(),
            century: None,
            year: None,
            month: None,
            day: None,
            hour: None,
            minute: None,
        };
        let mut signs = Vec::new();
        for step in steps {
            let place = layout.length;
            let length = match step {
                Step::Literal(byte) => {
                    signs.push((place, *byte));
                    1
                }
                Step::DateFromTime => {
                    signs.push((place, BEFORE_TIME));
                    1
                }
                Step::Year => {
                    layout.century = Some(place);
                    layout.year = Some(place + 2);
                    4
                }
                Step::Month(_) => {
                    layout.month = Some(place);
                    2
                }
                Step::Day(_) => {
                    layout.day = Some(place);
                    2
                }
                Step::Hour(_) => {
                    layout.hour = Some(place);
                    2
                }
                Step::Minute => {
                    layout.minute = Some(place);
                    2
                }
                // Without them, which most cells are; a cell with seconds is longer.
                Step::Seconds(_) => 0,
                _ => return None,
            };
            layout.length += length;
        }
        layout.signs = signs.into();
        Some(layout)
    }

    /// What a cell says that is written in full. `None` says nothing: the steps may read it still.
    pub(super) fn read(&self, cell: &[u8]) -> Option<Parts> {
        if cell.len() != self.length {
            return None;
        }
        for (place, sign) in &self.signs {
            let byte = cell[*place];
            let is_it = match *sign {
                BEFORE_TIME => matches!(byte, b' ' | b'T' | b't'),
                sign => byte == sign,
            };
            if !is_it {
                return None;
            }
        }
        let number = |place: Option<usize>| match place {
            Some(place) => two_digits(cell, place),
            None => Some(0),
        };
        let (hour, minute) = (number(self.hour)?, number(self.minute)?);
        if hour >= 24 || minute >= 60 {
            return None;
        }
        Some(Parts {
            year: i16::from(number(self.century)?) * 100 + i16::from(number(self.year)?),
            month: number(self.month)?,
            day: number(self.day)?,
            hour,
            minute,
            offset_minutes: None,
        })
    }
}

fn two_digits(cell: &[u8], place: usize) -> Option<u8> {
    let tens = cell[place].wrapping_sub(b'0');
    let ones = cell[place + 1].wrapping_sub(b'0');
    (tens < 10 && ones < 10).then(|| tens * 10 + ones)
}

#[cfg(test)]
mod tests {
    use super::super::Program;
    use proptest::prelude::*;

    const FORMS: [&str; 7] = [
        "%Y-%m-%d %H:%M",
        "%Y-%m-%dT%H:%M:%S",
        "%d.%m.%Y %H:%M",
        "%m/%d/%Y %H:%M",
        "%Y%m%d%H%M",
        "%H:%M",
        "%Y-%m-%d",
    ];

    #[test]
    fn forms_of_numbers_have_a_layout_and_others_have_none() {
        for form in FORMS {
            let program = Program::new(form).expect("a common form");
            assert!(program.layout.is_some(), "{form}");
        }
        for form in [
            "%m/%d/%Y %I:%M %p",
            "%d-%b-%Y %H:%M",
            "%Y-%m-%d %H:%M%z",
            "%d/%m/%y",
        ] {
            let program = Program::new(form).expect("a common form");
            assert!(program.layout.is_none(), "{form}");
        }
    }

    #[test]
    fn a_cell_in_full_is_read_by_its_layout() {
        let program = Program::new(FORMS[0]).expect("a common form");
        let layout = program.layout.as_ref().expect("a layout");
        let parts = layout.read(b"2026-09-30 23:50").expect("in full");
        let date = (parts.year, parts.month, parts.day);
        assert_eq!((date, parts.hour, parts.minute), ((2026, 9, 30), 23, 50));
        assert!(layout.read(b"2026-09-30 24:50").is_none());
        assert!(layout.read(b"2026-9-30  23:50").is_none());
    }

    proptest! {
        #[test]
        fn what_a_layout_reads_the_steps_read_alike(
            form in 0..FORMS.len(),
            // Cells of the usual length that are nearly right.
            cell in "[0-3][0-9]{1,3}[-./ 0-9]?[0-9]{1,2}[-./ 0-9]?[0-9]{2,4}[ Tt0-9]?[0-2][0-9]:?[0-6][0-9]",
        ) {
            let program = Program::new(FORMS[form]).expect("a common form");
            let layout = program.layout.as_ref().expect("a layout");
            if let Some(parts) = layout.read(cell.as_bytes()) {
                prop_assert!(program.read_steps(&cell) == Some(parts));
            }
        }

        #[test]
        fn whatever_is_written_in_full_has_the_layout(
            form in 0..FORMS.len(),
            (year, month, day) in (1900..2200_u32, 0..100_u32, 0..100_u32),
            (hour, minute) in (0..24_u32, 0..60_u32),
        ) {
            let cell = FORMS[form]
                .replace("%Y", &format!("{year:04}"))
                .replace("%m", &format!("{month:02}"))
                .replace("%d", &format!("{day:02}"))
                .replace("%H", &format!("{hour:02}"))
                .replace("%M", &format!("{minute:02}"))
                .replace(":%S", "");
            let program = Program::new(FORMS[form]).expect("a common form");
            let layout = program.layout.as_ref().expect("a layout");
            let parts = layout.read(cell.as_bytes());
            prop_assert!(parts.is_some() && parts == program.read_steps(&cell));
        }
    }
}
