//! How often the items of the cart are used, and how many of each to carry.

mod brief;
mod by_site;

use super::cart_words::WHO_DECIDES;
use crate::domain::duty::item_counts::{ItemUse, UnknownItem};
use crate::findings::finding::Unit;
use crate::findings::staffing::stock::{
    BURSTS_FROM, FEWEST_CASES, FEWEST_DAYS, FEWEST_MONTHS, ItemRate, Stock,
};
use crate::report::chart::{Chart, Line, Plot};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::{format, words};

pub(crate) use brief::in_words;

/// The section.
pub(super) fn section(stock: &Stock) -> Section {
    let mut blocks = vec![Block::Text(ABOUT.to_owned())];
    let Some((first, last)) = stock.months else {
        blocks.push(Block::Text(
            "No month was observed, so nothing is said of the stock.".to_owned(),
        ));
        return titled(blocks);
    };
    let period = if first == last {
        format::month_name(first)
    } else {
        format!(
            "{} to {}",
            format::month_name(first),
            format::month_name(last)
        )
    };
    if stock.lacks_passes {
        blocks.push(Block::Caution(WITHOUT_PASSES.to_owned()));
    }
    if stock.all.iter().any(|rate| rate.cases() > 0) {
        blocks.push(Block::Figure(Box::new(figure(stock, &period))));
    } else {
        blocks.push(Block::Text(format!(
            "No use of any item is recorded, {period}. Passes come from a file of passes; overtube, \
             hood, cap and the treatment of a bleed are fields of a case."
        )));
    }
    blocks.extend(unknown(stock).map(Block::Text));
    blocks.extend(by_site::blocks(stock));
    blocks.push(Block::Table(floor(stock)));
    blocks.push(Block::Heading("What these numbers assume".to_owned()));
    blocks.push(Block::List(assumptions(stock)));
    blocks.push(Block::Caution(WHO_DECIDES.to_owned()));
    titled(blocks)
}

fn titled(blocks: Vec<Block>) -> Section {
    Section {
        id: "stock",
        heading: "What the cart must carry".to_owned(),
        blocks,
    }
}

const ABOUT: &str = "How often each item was used, and how many of it a cart must carry so that it \
    seldom runs out before it is filled up again. A cart belongs to a site, so the numbers to carry \
    are given site by site.";

const WITHOUT_PASSES: &str = "There is not one pass in the records. Which devices were used is not known \
    without passes: for devices no uses, no rate, no number by use and no risk are given, and only the \
    floor asks for some. Overtube, hood, cap and the treatment of a bleed are fields of a case and stay.";

/// The probability that a stock shall last: `99%`.
fn service(stock: &Stock) -> String {
    format::as_chosen(Unit::Fraction, stock.rules.service_level)
}

fn figure(stock: &Stock, period: &str) -> Figure {
    let used = || stock.all.iter().filter(|rate| rate.cases() > 0);
    let lines = used().map(|rate| {
        let per_30_days = rate.per_30_days;
        Line::Group {
            label: rate.item.label().to_owned(),
            value: per_30_days.map(|rate| rate.rate),
            limits: (
                per_30_days.map(|rate| rate.low),
                per_30_days.map(|rate| rate.high),
            ),
            quartiles: None,
            p90: None,
            drawn: None,
            text: format!("{}, {}", rate_text(rate), cases(rate)),
        }
    });
    let interval = format!("{} interval (Garwood)", format::level(stock.level));
    let words: Vec<_> = used()
        .map(|rate| format!("{} {}", rate.item.label(), rate_text(rate)))
        .collect();
    Figure {
        stem: "cart_item_uses".to_owned(),
        chart: Chart {
            title: "Items of the cart: in how many cases was each used?".to_owned(),
            axis_label: "cases with a use per 30 days of one site".to_owned(),
            unit: None,
            plot: Plot::Rows(lines.collect()),
        },
        caption: format!(
            "Point: cases in which the item was used per 30 days of one site, all sites together, \
             {period}, with its exact Poisson {interval} as a line. A case counts once for an item, \
             however many passes were made with it. Items stand in the order of the list."
        ),
        alternative: format!(
            "Cases with a use per 30 days of one site: {}.",
            words.join("; ")
        ),
        table: uses(stock, period, &interval),
    }
}

fn uses(stock: &Stock, period: &str, interval: &str) -> Table {
    let mut table = Table::new(
        format!(
            "Uses of the items of the cart, all sites together, {period}, in {} days of sites. Passes \
             of one case go together, so an interval is given for the cases alone. Failed: passes in \
             which the device failed, of those of which it is recorded",
            format::signed_whole(stock.days)
        ),
        &[
            "Item",
            "Cases",
            "Passes",
            "Passes for each case",
            "Cases per 30 days of one site",
            interval,
            "Failed",
        ],
    );
    for rate in &stock.all {
        let failed = stock
            .malfunctions
            .iter()
            .find(|(item, _)| *item == rate.item);
        table.push(vec![
            rate.item.label().into(),
            known(rate, |used| format::whole(used.cases)),
            known(rate, |used| format::whole(used.passes)),
            match rate.used.and_then(ItemUse::passes_per_case) {
                Some(passes) => format::ratio(passes).into(),
                None => format::NOTHING.into(),
            },
            rate_text(rate).into(),
            limits(rate).into(),
            match failed {
                None => format::NOTHING.into(),
                Some((_, finding)) => Cell {
                    text: format::estimate_with_counts(finding),
                    details: vec![format::interval(finding)],
                },
            },
        ]);
    }
    table
}

/// Where uses are not known, which is other news than none.
const NOT_KNOWN: &str = "not known";

fn known(rate: &ItemRate, words: impl Fn(ItemUse) -> String) -> Cell {
    let text = rate.used.map(words);
    text.unwrap_or_else(|| NOT_KNOWN.to_owned()).into()
}

/// Cases with a use per 30 days; of none the upper limit, since zero use is not zero need.
fn rate_text(rate: &ItemRate) -> String {
    match rate.per_30_days {
        None if rate.used.is_none() => NOT_KNOWN.to_owned(),
        None => format::NOTHING.to_owned(),
        Some(found) if rate.cases() == 0 => {
            format!("none; at most {}", format::ratio(found.high))
        }
        Some(found) => format::ratio(found.rate),
    }
}

fn limits(rate: &ItemRate) -> String {
    match rate.per_30_days {
        None => format::NOTHING.to_owned(),
        Some(found) => format!(
            "{} to {}",
            format::ratio(found.low),
            format::ratio(found.high)
        ),
    }
}

fn cases(rate: &ItemRate) -> String {
    let used = rate.used.unwrap_or_default();
    let passes = format::counted(used.passes, "pass", "passes");
    match format::counted(used.cases, "case", "cases") {
        cases if used.passes == used.cases => cases,
        cases => format!("{cases}, {passes}"),
    }
}

/// Uses of which the item is not known; `None` without any.
fn unknown(stock: &Stock) -> Option<String> {
    let parts: Vec<_> = stock
        .unknown
        .iter()
        .map(|(what, used)| match what {
            UnknownItem::DeviceOfPass => format!(
                "{} without a recorded device",
                format::counted(used.passes, "pass", "passes")
            ),
            UnknownItem::CombinedTreatment => format!(
                "{} treated in several ways at once, of which the record names none",
                format::counted(used.cases, "case", "cases")
            ),
            UnknownItem::OtherTreatment => format!(
                "{} treated in a way that is in no class",
                format::counted(used.cases, "case", "cases")
            ),
        })
        .collect();
    Some(format!(
        "Not counted for any item, so that real use is higher: {}.",
        words::listed(&parts)?
    ))
}

fn floor(stock: &Stock) -> Table {
    let mut table = Table::new(
        "What a cart carries whatever its use, since a guideline’s window or the protection of a \
         patient may ask for it in any night. A proposal of this project and no standard; of several \
         items any one will do",
        &["Class", "Items", "At least", "For", "Source"],
    );
    for row in &stock.floor {
        let source = if row.source.is_empty() {
            format!("{}, no source", row.status)
        } else {
            format!("{} ({})", row.source, row.status)
        };
        let items: Vec<_> = row.items.iter().map(|item| item.label()).collect();
        table.push(vec![
            format::capitalized(row.class).into(),
            items.join(" or ").into(),
            format::whole(row.least).into(),
            row.needed_for.into(),
            source.into(),
        ]);
    }
    table
}

fn assumptions(stock: &Stock) -> Vec<String> {
    let lead = format::counted(u64::from(stock.rules.lead_days), "day", "days");
    vec![
        format!(
            "What was used is on the cart again {lead} later, and the stock shall last for so long \
             with a probability of {} for each item: both from the plan (lead_days, service_level).",
            service(stock)
        ),
        "A piece is a case: several passes of one case may be made with one piece, and records of \
         passes do not say when a new one was opened. Where each pass takes a new piece, multiply by \
         the passes for each case."
            .to_owned(),
        "Uses come at random and at the steady rate of the months observed. The rate is known only \
         as well as the records tell: the number is a quantile of the predictive negative binomial \
         distribution (Jeffreys’ prior, half a use), which few records make larger."
            .to_owned(),
        format!(
            "Where monthly cases vary more than counting explains (variance over mean above \
             {BURSTS_FROM}, from {FEWEST_MONTHS} months and {FEWEST_CASES} cases on), the negative \
             binomial distribution with that variance is asked too, and the larger number stands; it \
             is then marked as uneven. Chance alone marks about one steady item in 8 with 12 months \
             of records, and one in 17 with 24."
        ),
        "Finds none: probability that a case finds no piece, when each is ordered as it is used and a \
         case that finds none is served from elsewhere (Erlang’s loss formula). It takes the rate of the \
         records as it is, so of an item without a use nothing is told."
            .to_owned(),
        format!(
            "Of a site with fewer than {} days of records neither a number by use nor a risk is told (a \
             limit of this project): what is assumed of an item before any use is seen would ask for \
             pieces of items that were never used.",
            format::signed_whole(FEWEST_DAYS)
        ),
        "Expires: pieces that reach the end of their shelf life unused, on average, when the oldest is \
         used first. A number that a floor asks for stays, though it expires."
            .to_owned(),
        "An item that was never used may be needed all the same: the upper limit says how often, at \
         most, in agreement with no use in so many days."
            .to_owned(),
    ]
}

#[cfg(test)]
mod tests;
