//! The invented checks of the carts: one each morning, when it was done and what it found.
//!
//! Made day by day, so their number depends on the months and not on the cases. Draws from a stream
//! of its own and knows no case.

use super::Plan;
use super::calendar;
use super::draws::Draws;
use super::rows::as_io;
use super::site::Site;
use super::truths::{
    CHECK_FAULT, CHECK_FAULT_CLUSTERED, CHECK_FAULT_FROM, CHECK_LATE, CHECK_LATE_BIRCH_WEEKEND,
    has_begun,
};
use crate::domain::codes::CartFault;
use jiff::ToSpan as _;
use jiff::civil::Date;
use std::io::{self, Write};

/// Number of the stream.
const STREAM: u64 = 32;

/// The hour at which a check is due.
const DUE_HOUR: i8 = 8;
/// Share of checks that are not done, or not written down.
const NOT_DONE: f64 = 0.03;
/// Share of checks that are done without a word on what they found.
const FINDING_LOST: f64 = 0.01;
/// Share of checks with a fault that find another one.
const SECOND_FAULT: f64 = 0.15;

const CARTS: [(Site, &str); 4] = [
    (Site::Alder, "cart_1"),
    CLUSTERED,
    (Site::Birch, "cart_1"),
    (Site::Cedar, "cart_1"),
];
/// The cart with more faults from one month on.
const CLUSTERED: (Site, &str) = (Site::Alder, "cart_2");

/// Faults by how often they are found.
const FAULTS: [(CartFault, f64); 8] = [
    (CartFault::ItemMissing, 30.0),
    (CartFault::BelowPar, 25.0),
    (CartFault::Expired, 15.0),
    (CartFault::FoundOpen, 10.0),
    (CartFault::DeviceFailure, 6.0),
    (CartFault::NotCharged, 8.0),
    (CartFault::WrongScope, 3.0),
    (CartFault::OtherFault, 3.0),
];

/// Writes the checks of the last twelve months of `plan`, or of all where there are fewer. Gives the
/// number of rows below the header.
///
/// # Errors
/// When the output cannot be written.
pub fn write_cart_checks(plan: &Plan, output: impl Write) -> io::Result<u64> {
    let (first, last) = plan.duty_months();
    let mut writer = csv::Writer::from_writer(output);
    let header = ["site", "cart", "due_at", "checked_at", "complete", "faults"];
    writer.write_record(header).map_err(as_io)?;
    let mut draws = Draws::new(plan.seed, STREAM);
    let mut count = 0;
    for (site, cart) in CARTS {
        for day in calendar::days(first, last) {
            let check = draw(&mut draws, site, cart, day);
            let faults: Vec<_> = check.faults.iter().map(|fault| fault.code()).collect();
            let clock = |minutes: i64| {
                let moment = day.at(DUE_HOUR, 0, 0, 0) + minutes.minutes();
                moment.strftime("%Y-%m-%d %H:%M").to_string()
            };
            let complete = match check.is_complete {
                Some(true) => "yes",
                Some(false) => "no",
                None => "",
            };
            let checked = check.minutes_after_due.map(clock).unwrap_or_default();
            let row = [
                site.name(),
                cart,
                &clock(0),
                &checked,
                complete,
                &faults.join("+"),
            ];
            writer.write_record(row).map_err(as_io)?;
            count += 1;
        }
    }
    writer.flush()?;
    Ok(count)
}

/// What became of one check; all blank where it was not done.
#[derive(Default)]
struct Check {
    /// Below zero before it was due.
    minutes_after_due: Option<i64>,
    is_complete: Option<bool>,
    faults: Vec<CartFault>,
}

fn draw(draws: &mut Draws, site: Site, cart: &str, day: Date) -> Check {
    if draws.chance(NOT_DONE) {
        return Check::default();
    }
    let is_late = draws.chance(if site == Site::Birch && calendar::is_weekend(day) {
        CHECK_LATE_BIRCH_WEEKEND
    } else {
        CHECK_LATE
    });
    // Late ones are late by any measure, and still of the same day.
    let minutes_after_due = if is_late {
        90 + draws.minutes(90.0, 0.5).min(600)
    } else {
        -draws.minutes(25.0, 0.6).min(110)
    };
    let is_clustered =
        (site, cart) == CLUSTERED && has_begun(CHECK_FAULT_FROM, calendar::month_of(day));
    let share = if is_clustered {
        CHECK_FAULT_CLUSTERED
    } else {
        CHECK_FAULT
    };
    let mut faults = Vec::new();
    if draws.chance(share) {
        faults.push(draws.pick(&FAULTS));
        if draws.chance(SECOND_FAULT) {
            faults.push(draws.pick(&FAULTS));
        }
        faults.sort_unstable();
        faults.dedup();
    }
    let is_lost = draws.chance(FINDING_LOST) && faults.is_empty();
    Check {
        minutes_after_due: Some(minutes_after_due),
        is_complete: (!is_lost).then_some(faults.is_empty()),
        faults,
    }
}
