//! The cart of each site: how many of each item to carry, beside what is carried today.

use super::super::cart_words::{self, chance};
use super::{NOT_KNOWN, known, limits, rate_text, service};
use crate::findings::staffing::stock::{
    Expiry, FEWEST_DAYS, ItemStock, Par, ParMethod, SiteStock, Stock, Today,
};
use crate::report::content::{Block, Cell, Table};
use crate::report::{format, words};

/// A table for each site, and the items of which it says nothing.
pub(super) fn blocks(stock: &Stock) -> Vec<Block> {
    let mut blocks = Vec::new();
    if stock.rules.items.is_empty() {
        blocks.push(Block::Text(
            "The plan does not say what the cart carries today, so nothing is said of the risk to run \
             out and of what would expire. It is given in duty.toml below [cart.items], item by item: \
             net = { carried = 3, shelf_life_days = 1095 }."
                .to_owned(),
        ));
    }
    let has_risks = stock.sites.iter().any(|site| !site.has_few_days());
    if !stock.rules.items.is_empty() && has_risks {
        blocks.extend(two_risks(stock));
    }
    for site in &stock.sites {
        blocks.push(Block::Table(table(stock, site)));
        blocks.extend(not_listed(site).map(Block::Text));
        blocks.extend(not_known(site).map(Block::Text));
    }
    blocks
}

/// Two numbers of one cell, which look as if they said the same.
fn two_risks(stock: &Stock) -> [Block; 2] {
    let lead = lead(stock);
    [
        Block::Text(
            "Two risks stand below the number that is carried today. They ask different things, and \
             the answers in brief use the first."
                .to_owned(),
        ),
        Block::List(vec![
            format!(
                "“{lead} need more”: the chance that within {lead} more cases need the item than there \
                 are pieces, when nothing is filled up before. “Need one” where none is carried."
            ),
            format!(
                "“Finds none”: of the cases that need the item, the share that find no piece, when each \
                 use is ordered at once and is there again {lead} later. It is told only of items that \
                 were used."
            ),
        ]),
    ]
}

fn lead(stock: &Stock) -> String {
    format::counted(u64::from(stock.rules.lead_days), "day", "days")
}

fn table(stock: &Stock, site: &SiteStock) -> Table {
    let has_list = !stock.rules.items.is_empty();
    let lead = lead(stock);
    let name = cart_words::site(&site.site);
    let days = format::signed_whole(site.days);
    let mut caption = if site.has_few_days() {
        format!(
            "The cart of {name}, from {days} days: fewer than {} are too few to say how many pieces use \
             asks for and how likely one runs out (a limit of this project), so what to carry is the \
             floor alone.",
            format::signed_whole(FEWEST_DAYS)
        )
    } else {
        format!(
            "The cart of {name}: how many of each item last for {lead} with a probability of {}, from \
             {days} days.",
            service(stock)
        )
    };
    if has_list {
        caption.push_str(
            " Today’s list is the same for every site, and an item that it does not name is not carried.",
        );
        if !site.has_few_days() {
            caption.push_str(" The two risks below its number are explained above.");
        }
    }
    let mut table = Table::new(caption, &["Item", "Cases", "Cases per 30 days", "Carry"]);
    if has_list {
        table
            .columns
            .extend(["Today", "Expires unused"].map(str::to_owned));
    }
    for item in site.listed() {
        let mut row = vec![
            item.rate.item.label().into(),
            Cell {
                details: match item.rate.used {
                    Some(used) if used.passes != used.cases => {
                        vec![format::counted(used.passes, "pass", "passes")]
                    }
                    _ => Vec::new(),
                },
                ..known(&item.rate, |used| format::whole(used.cases))
            },
            Cell {
                text: rate_text(&item.rate),
                details: match item.rate.cases() {
                    0 => Vec::new(),
                    _ => vec![limits(&item.rate)],
                },
            },
            to_carry(stock, item),
        ];
        if has_list {
            row.push(item.today.map_or_else(
                || format::NOTHING.into(),
                |today| carried(item, today, &lead),
            ));
            row.push(expires(item));
        }
        table.push(row);
    }
    table
}

/// The number to carry, and why.
fn to_carry(stock: &Stock, item: &ItemStock) -> Cell {
    let Some(par) = item.par else {
        return by_use_words(item, None).into();
    };
    let mut details = Vec::new();
    if let Some(row) = par.floor.and_then(|place| stock.floor.get(place)) {
        details.push(format!(
            "floor: {}; by use {}",
            row.class,
            by_use_words(item, Some(par))
        ));
    }
    let method = par.by_use.map(|found| found.method);
    if method == Some(ParMethod::Bursts) {
        details.push("uneven by month".to_owned());
    }
    Cell {
        text: format::whole(par.pieces),
        details,
    }
}

/// The number by use, or that there is none.
fn by_use_words(item: &ItemStock, par: Option<Par>) -> String {
    match par.and_then(|par| par.by_use) {
        Some(found) => format::whole(found.pieces),
        None if item.rate.used.is_none() => NOT_KNOWN.to_owned(),
        None => "not told".to_owned(),
    }
}

fn carried(item: &ItemStock, today: Today, lead: &str) -> Cell {
    let mut details = Vec::new();
    if item.is_short() {
        details.push("below".to_owned());
    }
    let is_there = today.carried.carried > 0;
    if let Some(shortage) = today.shortage {
        let more = if is_there { "more" } else { "one" };
        details.push(format!("{lead} need {more}: {}", chance(shortage)));
    }
    if item.rate.used.is_none() {
        details.push("risk not known".to_owned());
    }
    if let Some(found_none) = today.found_none.filter(|_| is_there) {
        details.push(format!("finds none: {}", chance(found_none)));
    }
    Cell {
        text: format::whole(u64::from(today.carried.carried)),
        details,
    }
}

/// Of today's stock what expires; of the number to carry too, where that is another and some would.
fn expires(item: &ItemStock) -> Cell {
    let Some(today) = item.today else {
        return format::NOTHING.into();
    };
    let Some(expiry) = today.expiry else {
        return format::NOTHING.into();
    };
    let carried = u64::from(today.carried.carried);
    let unused = |expiry: Expiry| match expiry.unused {
        unused if unused < LEAST_SHOWN => format!("below {}", 2.0 * LEAST_SHOWN),
        unused => format::distance(unused),
    };
    let of_par = item.par.and_then(|par| {
        let expiry = par.expiry.filter(|expiry| expiry.unused >= LEAST_SHOWN)?;
        (par.pieces != carried).then(|| {
            format!(
                "of {} to carry: {}",
                format::whole(par.pieces),
                unused(expiry)
            )
        })
    });
    Cell {
        text: format!(
            "{} of {} in {} days",
            unused(expiry),
            format::whole(carried),
            format::whole(u64::from(expiry.shelf_life_days))
        ),
        details: of_par.into_iter().collect(),
    }
}

/// What would round to no tenth of a piece.
const LEAST_SHOWN: f64 = 0.05;

/// The items of which the table says nothing; `None` when it holds all.
fn not_listed(site: &SiteStock) -> Option<String> {
    let rest = not_in_table(site).filter(|item| item.rate.used.is_some());
    let rest: Vec<&ItemStock> = rest.collect();
    let at_most = rest
        .first()?
        .rate
        .per_30_days
        .map_or_else(String::new, |rate| {
            format!(
                " In {} days without a use, each may still be needed up to {} times per 30 days.",
                format::signed_whole(site.days),
                format::ratio(rate.high)
            )
        });
    Some(format!(
        "Never used at {}, not carried and asked for by no floor: {}.{at_most}",
        cart_words::site(&site.site),
        labels(&rest)?
    ))
}

/// Those of which uses are not known; `None` without one.
fn not_known(site: &SiteStock) -> Option<String> {
    let rest = not_in_table(site).filter(|item| item.rate.used.is_none());
    let rest: Vec<&ItemStock> = rest.collect();
    Some(format!(
        "Use not known without passes at {}, not carried and asked for by no floor: {}.",
        cart_words::site(&site.site),
        labels(&rest)?
    ))
}

fn not_in_table(site: &SiteStock) -> impl Iterator<Item = &ItemStock> {
    site.items.iter().filter(|item| !item.is_listed())
}

fn labels(items: &[&ItemStock]) -> Option<String> {
    let labels = items.iter().map(|item| item.rate.item.label().to_owned());
    words::listed(&labels.collect::<Vec<_>>())
}
