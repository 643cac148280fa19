//! The invented roster: who, by place on the roster, is at work and who is on call, day by day.
//!
//! On-call lines of a site cover all its hours after hours, day shifts the staffed hours. Made day by
//! day, so its length depends on the months and not on the cases. Draws from a stream of its own and
//! knows no case.

use super::Plan;
use super::calendar::{self, Calendar, STAFFED_HOURS};
use super::draws::Draws;
use super::rows::as_io;
use super::site::Site;
use super::truths::{SHIFT_AFTER_CALL, SHIFT_AFTER_CALL_BIRCH};
use jiff::civil::Date;
use std::io::{self, Write};

/// Number of the stream.
const STREAM: u64 = 31;

/// One kind of place on the roster.
struct Group {
    role: &'static str,
    /// Places of the kind at each site.
    places: usize,
    /// How many of them are at work on a working day.
    on_shift: usize,
}

/// One of each kind is on call.
const GROUPS: [Group; 2] = [
    Group {
        role: "nurse",
        places: 6,
        on_shift: 2,
    },
    Group {
        role: "endoscopist",
        places: 3,
        on_shift: 1,
    },
];

/// Writes the roster of the last twelve months of `plan`, or of all where there are fewer. Gives the
/// number of rows below the header.
///
/// # Errors
/// When the output cannot be written, or the plan has no month or ends after the year 2200.
pub fn write_roster(plan: &Plan, output: impl Write) -> io::Result<u64> {
    let calendar = Calendar::new(plan.first_month, plan.months)?;
    let (first, last) = plan.duty_months();
    let mut lines = Lines::new(output)?;
    let mut draws = Draws::new(plan.seed, STREAM);
    for site in Site::ALL {
        let mut was_on_call = GROUPS.map(|_| None);
        let mut days = calendar::days(first, last).peekable();
        // Whoever is on call when the first day begins came on duty on the day before.
        if let Some(eve) = days.peek().and_then(|day| day.yesterday().ok()) {
            for (group, was_on_call) in GROUPS.iter().zip(&mut was_on_call) {
                let place = draw_on_call(&mut draws, group, None);
                lines.add_on_call(&calendar, site, group, place, eve)?;
                *was_on_call = Some(place);
            }
        }
        for day in days {
            for (group, was_on_call) in GROUPS.iter().zip(&mut was_on_call) {
                if !calendar.is_day_off(day) {
                    for place in draw_shift(&mut draws, site, group, *was_on_call) {
                        lines.add_shift(site, group, place, day)?;
                    }
                }
                let place = draw_on_call(&mut draws, group, *was_on_call);
                lines.add_on_call(&calendar, site, group, place, day)?;
                *was_on_call = Some(place);
            }
        }
    }
    lines.finish()
}

/// Nobody is on call twice in a row.
fn draw_on_call(draws: &mut Draws, group: &Group, was_on_call: Option<usize>) -> usize {
    draw_place(draws, group, |place| Some(place) != was_on_call)
}

/// The places with the day shift, in order.
fn draw_shift(
    draws: &mut Draws,
    site: Site,
    group: &Group,
    was_on_call: Option<usize>,
) -> Vec<usize> {
    let share = match site {
        Site::Birch => SHIFT_AFTER_CALL_BIRCH,
        Site::Alder | Site::Cedar => SHIFT_AFTER_CALL,
    };
    let stays = draws.chance(share);
    let mut at_work: Vec<usize> = was_on_call.filter(|_| stays).into_iter().collect();
    while at_work.len() < group.on_shift {
        let is_free = |place| Some(place) != was_on_call && !at_work.contains(&place);
        let place = draw_place(draws, group, is_free);
        at_work.push(place);
    }
    at_work.sort_unstable();
    at_work
}

fn draw_place(draws: &mut Draws, group: &Group, is_free: impl Fn(usize) -> bool) -> usize {
    let free = (1..=group.places).filter(|place| is_free(*place));
    let choices: Vec<_> = free.map(|place| (place, 1.0)).collect();
    draws.pick(&choices)
}

/// The file as far as it is written.
struct Lines<W: Write> {
    writer: csv::Writer<W>,
    count: u64,
}

impl<W: Write> Lines<W> {
    fn new(output: W) -> io::Result<Lines<W>> {
        let mut writer = csv::Writer::from_writer(output);
        writer
            .write_record(["site", "role", "duty", "from", "until"])
            .map_err(as_io)?;
        Ok(Lines { writer, count: 0 })
    }

    fn add_shift(&mut self, site: Site, group: &Group, place: usize, day: Date) -> io::Result<()> {
        let (from, until) = STAFFED_HOURS;
        self.add(site, group, place, "shift", (day, from), (day, until))
    }

    /// On call from the end of the staffed hours, or in the morning of a day off, to the next morning.
    fn add_on_call(
        &mut self,
        calendar: &Calendar,
        site: Site,
        group: &Group,
        place: usize,
        day: Date,
    ) -> io::Result<()> {
        let (morning, evening) = STAFFED_HOURS;
        let from = if calendar.is_day_off(day) {
            morning
        } else {
            evening
        };
        let next = day.tomorrow().map_err(io::Error::other)?;
        self.add(site, group, place, "on_call", (day, from), (next, morning))
    }

    fn add(
        &mut self,
        site: Site,
        group: &Group,
        place: usize,
        duty: &str,
        from: (Date, i8),
        until: (Date, i8),
    ) -> io::Result<()> {
        self.count += 1;
        let role = format!("{}_{place}", group.role);
        let clock = |(day, hour): (Date, i8)| format!("{day} {hour:02}:00");
        self.writer
            .write_record([site.name(), &role, duty, &clock(from), &clock(until)])
            .map_err(as_io)
    }

    fn finish(mut self) -> io::Result<u64> {
        self.writer.flush()?;
        Ok(self.count)
    }
}
