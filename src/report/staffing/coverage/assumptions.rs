//! What the simulation assumes, in plain words.

use crate::domain::duty::plan::Arrivals;
use crate::findings::staffing::coverage::fit::{BLOCK_CALLS, BLOCK_HOURS};
use crate::findings::staffing::coverage::{Coverage, SiteCoverage, WARM_UP_WEEKS};
use crate::report::format;

/// One sentence or more for each assumption; those of the fit with the numbers of each site.
pub(super) fn list(coverage: &Coverage) -> Vec<String> {
    let mut list = vec![arrivals(coverage.rules.arrivals)];
    list.extend(coverage.sites.iter().map(fit));
    list.extend(ALWAYS.map(str::to_owned));
    list.push(format!(
        "Each block of years begins without a call; its first {WARM_UP_WEEKS} weeks are not counted. \
         A year has 52 weeks, without holidays and changes of the clock. Seed {}: the same seed gives \
         the same numbers.",
        coverage.rules.seed
    ));
    list
}

/// What holds for every site and every arrangement.
const ALWAYS: [&str; 7] = [
    "A team takes one call at a time. Calls are taken in the order in which they come, urgent or not. \
     A call goes to the first team, in the order of the arrangement, that is on duty and free.",
    "A call that finds no team waits until one is free or comes on duty; none is moved elsewhere or \
     put off to the day.",
    "A team is bound from the moment it takes a call, its way included, until it is free again. What \
     it has begun it ends, also beyond its duty.",
    "A team that goes straight from one call to a waiting one has no way to go. Otherwise its way takes \
     the minutes of the arrangement, or those of the recorded call where it comes as recorded. These \
     may hold waits of the past for a bound team.",
    "The time a call takes depends on nothing but its shift: not on the team, the hour within the \
     shift, the calls before it or how long it waited.",
    "A call-back is a call that a team takes after hours, unless it had been free for no longer than \
     the minutes by which call-backs are merged.",
    "The 95% interval for the records, not for the model, repeats the simulation with 100 other sets of records: the \
     rate of each block of hours from a gamma distribution with as many calls (or other recorded \
     weeks), and recorded calls drawn anew. It holds simulation error too, but not how far these \
     assumptions are off, nor that next year may be unlike the records. There is none where all these \
     sets give the same, such as that no call waits.",
];

fn arrivals(arrivals: Arrivals) -> String {
    match arrivals {
        Arrivals::Fitted => format!(
            "Calls come independently of each other (a Poisson process), at a rate for each of the 168 \
             hours of the week. Hours with few calls lean on their block of {BLOCK_HOURS} hours, from \
             Monday to Friday or at the weekend: {BLOCK_CALLS:.0} calls at the rate of the block are \
             added to those of each hour. Seasons and trends are left out."
        ),
        Arrivals::Weeks => "Calls come as in whole recorded weeks, Monday to Sunday, drawn with \
                            replacement; each call brings its recorded minutes along where they are \
                            known. What none of these weeks held, such as three calls at once, cannot \
                            come, so rare waits show less well than with fitted rates. Nothing \
                            carries over from one week to the next."
            .to_owned(),
    }
}

fn fit(site: &SiteCoverage) -> String {
    let fit = &site.fit;
    let pool = if fit.is_pool_shared {
        "in-hours and after-hours calls are drawn from all of them, since one of the two has too few"
            .to_owned()
    } else {
        let [in_hours, after_hours] = fit.pool_sizes;
        format!(
            "in-hours calls are drawn from {}, after-hours calls from {}",
            format::whole(in_hours as u64),
            format::whole(after_hours as u64)
        )
    };
    let travel = if fit.knows_travel {
        ""
    } else {
        " Too few records say when the team came: its way is part of the minutes of a call wherever it \
         comes from, so where teams come from changes nothing here."
    };
    format!(
        "{}: how often calls come is known from {} in {} observed weeks. What they take is known of {}, \
         of which {} say when the team was free again (for the others the end of the case and a fixed \
         time after it stand in); {pool}.{travel}",
        site.site,
        format::counted(fit.calls, "call", "calls"),
        format::distance(fit.observed_weeks()),
        format::whole(fit.usable),
        format::whole(fit.released),
    )
}
