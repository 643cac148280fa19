//! The events of a share in the order of the calls: what count tables cannot hold. What leaves here
//! names no case.

use super::chunk::Chunk;
use super::grouped::Rows;
use super::judged::{Flag, Judged};
use crate::domain::fields::CaseField;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use foldhash::quality::FixedState;
use hashbrown::HashMap;

/// Whether a measure can be put in order, and is one of these.
pub(super) fn is_in_order(definition: &Definition, measures: &[&str]) -> bool {
    definition.kind == MeasureKind::Share && measures.contains(&definition.id.as_str())
}

/// Judged cases by the minute of the call. Of calls at the same minute those without the event stand
/// first, so that the order is always the same; so how many of either there were in each minute is
/// all that the order rests on, and takes no more room the more cases there are.
#[derive(Default)]
pub(super) struct CallOrder {
    /// By minute, whether it is an event, and month. Listed only once it is sorted.
    cases: HashMap<(i64, bool, Month), u64, FixedState>,
}

impl CallOrder {
    /// Adds the rows of a share, each with the number of its case; `None` when a case lacks its call.
    pub(super) fn add(&mut self, chunk: &Chunk<'_>, rows: &Rows) -> Option<()> {
        let Judged::Flags(flags) = &rows.judged else {
            return None;
        };
        let words = chunk.words(CaseField::Month);
        let months: Vec<Option<Month>> = (0..words.count())
            .map(|number| words.value(number)?.parse().ok())
            .collect();
        let (calls, labels) = (chunk.calls(), chunk.labels(CaseField::Month));
        for (number, flag) in rows.cases.iter().zip(flags) {
            let place = *number as usize;
            // A row of no case has no place in the order.
            if *flag == Flag::Excluded || place >= chunk.height() {
                continue;
            }
            let month = months[labels[place] as usize]?;
            let minute = calls[place]?;
            let case = (minute, *flag == Flag::Hit, month);
            *self.cases.entry(case).or_insert(0) += 1;
        }
        Some(())
    }

    /// The events, those called after the last month left out.
    pub(super) fn sequence(&self, last_month: Option<Month>) -> EventSequence {
        let is_asked = |month: &Month| last_month.is_none_or(|last| *month <= last);
        let asked = self.cases.iter().filter(|((.., month), _)| is_asked(month));
        let mut cases: Vec<_> = asked.map(|(case, count)| (*case, *count)).collect();
        cases.sort_unstable();
        let mut sequence = EventSequence::default();
        for ((minute, is_event, month), count) in cases {
            for _ in 0..count {
                sequence.push(month, minute, is_event);
            }
        }
        sequence
    }
}
