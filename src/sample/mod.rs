//! A seeded generator of invented cases with planted truths, to try the tool and to test it.
//!
//! The hospitals, the cases and their words are invented. What is true of them stands in
//! `truths.rs`, and for readers in `sample_data/README.md`. Cases come in order of the call, one
//! at a time, so any number of them needs the same memory; roster and cart checks grow with the months
//! only. Knows the domain only.

mod bleed;
mod calendar;
mod calls;
mod care;
mod cart_checks;
mod case;
mod details;
mod draws;
mod duty_plan;
mod faults;
mod mapping;
mod object;
mod passes;
mod patient;
mod release;
mod roster;
mod rows;
mod scope_care;
mod site;
mod timeline;
mod truths;
mod wording;

pub use cart_checks::write_cart_checks;
pub use duty_plan::DUTY_TOML;
pub use faults::Fault;
pub use mapping::mapping_toml;
pub use roster::write_roster;

use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::month::Month;
use calendar::Calendar;
use case::Case;
use draws::Draws;
use faults::Faults;
use rows::Rows;
use std::fmt::Write as _;
use std::io::{self, Write};

/// What to invent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Number of cases: so many case numbers, each once (a planted fault repeats one row).
    pub cases: u64,
    /// Number of months, at least 1.
    pub months: u32,
    /// The first month.
    pub first_month: Month,
    /// The same seed gives the same bytes, on every machine.
    pub seed: u64,
}

impl Default for Plan {
    /// The sample in `sample_data`.
    fn default() -> Plan {
        Plan {
            cases: 900,
            months: 24,
            first_month: Month::new(2024, 10).expect("a month in 1900 to 2200"),
            seed: 1,
        }
    }
}

impl Plan {
    fn last_month(&self) -> Month {
        let steps = i32::try_from(self.months).unwrap_or(i32::MAX) - 1;
        self.first_month.plus(steps)
    }

    /// The months of the roster and of the checks: the last twelve, or all where there are fewer.
    fn duty_months(&self) -> (Month, Month) {
        let steps = i32::try_from(self.months.min(12)).unwrap_or(12) - 1;
        (self.last_month().plus(-steps), self.last_month())
    }
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Summary {
    /// Rows below the header of the cases export.
    pub case_rows: u64,
    /// Rows below the header of the passes export.
    pub pass_rows: u64,
    /// Planted faults that found no suitable case.
    pub faults_left_out: Vec<Fault>,
}

/// Writes the two exports of `plan`.
///
/// # Errors
/// When an output cannot be written, or the plan has no month or ends after the year 2200.
pub fn write(
    plan: &Plan,
    cases_output: impl Write,
    passes_output: impl Write,
) -> io::Result<Summary> {
    let calendar = Calendar::new(plan.first_month, plan.months)?;
    let case_headings = CaseField::ALL
        .iter()
        .copied()
        .filter_map(wording::case_heading);
    let pass_headings = PassField::ALL.iter().copied().map(wording::pass_heading);
    let mut case_rows = Rows::new(cases_output, &calendar, case_headings)?;
    let mut pass_rows = Rows::new(passes_output, &calendar, pass_headings)?;
    let mut faults = Faults::new(plan.cases);
    let numbers = CaseNumbers::new(plan.cases);
    let mut number = String::new();

    for (index, mut case) in (0..).zip(cases(plan, &calendar)) {
        let fault = faults.next_for(index, &case);
        numbers.write(index, &mut number);
        if fault == Some(Fault::ScopeOutTooEarly) {
            case.times.scope_out = case.times.scope_out.map(|minute| minute - 60);
        }
        case_rows.add_case(&number, &case, fault)?;
        if fault == Some(Fault::RepeatedRow) {
            case_rows.add_case(&number, &case, fault)?;
        }
        for (place, pass) in (1..).zip(&case.passes) {
            pass_rows.add_pass(&number, place, *pass, fault)?;
        }
        if fault == Some(Fault::StrayPass) {
            numbers.write(plan.cases, &mut number);
            pass_rows.add_pass(&number, 1, passes::STRAY, fault)?;
        }
    }
    let summary = Summary {
        case_rows: case_rows.count,
        pass_rows: pass_rows.count,
        faults_left_out: faults.left_out(),
    };
    case_rows.finish()?;
    pass_rows.finish()?;
    Ok(summary)
}

/// The cases of a plan without the faults, in order of the call. Calls and cases draw from streams
/// of their own, so what happens in a case moves no later call.
fn cases(plan: &Plan, calendar: &Calendar) -> impl Iterator<Item = Case> {
    let mut draws = Draws::new(plan.seed, 1);
    let mut care_draws = Draws::new(plan.seed, care::STREAM);
    let mut detail_draws = Draws::new(plan.seed, details::STREAM);
    let mut scope_care_draws = Draws::new(plan.seed, scope_care::STREAM);
    let mut bleed_draws = Draws::new(plan.seed, bleed::STREAM);
    let mut release_draws = Draws::new(plan.seed, release::STREAM);
    calls::calls(calendar, plan.cases, Draws::new(plan.seed, 0)).map(move |call| {
        let mut case = case::draw(&mut draws, &call);
        case.care = care::draw(&mut care_draws, &case);
        case.details = details::draw(&mut detail_draws, &case);
        scope_care::add(&mut scope_care_draws, &call, &mut case);
        case.bleed = bleed::draw(&mut bleed_draws, &case);
        release::add(&mut release_draws, &mut case);
        case
    })
}

/// Case numbers that tell neither order nor date: `E-` and the digits of a shuffled counter.
struct CaseNumbers {
    /// Digits of each half of a number.
    digits: usize,
    /// How many values a half has.
    half: u64,
}

impl CaseNumbers {
    /// Enough numbers for `cases` cases and one that no case has; six digits or more.
    fn new(cases: u64) -> CaseNumbers {
        let digits = cases.to_string().len().max(6).div_ceil(2);
        let exponent = u32::try_from(digits).expect("at most 10 digits");
        CaseNumbers {
            digits,
            half: 10_u64.pow(exponent),
        }
    }

    /// Puts the number of case `index` (from 0) into `text`. Each round of this Feistel network
    /// can be taken back, so no two cases have the same number.
    fn write(&self, index: u64, text: &mut String) {
        const ROUNDS: u64 = 4;
        let (mut left, mut right) = (index / self.half, index % self.half);
        for round in 1..=ROUNDS {
            let mixed = (right + 77 * round).wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 24;
            (left, right) = (right, (left + mixed) % self.half);
        }
        text.clear();
        write!(text, "E-{left:0width$}{right:0width$}", width = self.digits)
            .expect("a string takes everything");
    }
}

#[cfg(test)]
mod tests;
