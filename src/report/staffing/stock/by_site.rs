//! The cart of each site: how many of each item to carry, beside what is carried today.

use super::super::cart_words::{self, chance};
use super::{limits, rate_text, service};
use crate::findings::staffing::stock::{
    Expiry, ItemStock, Par, ParMethod, SiteStock, Stock, Today,
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
    for site in &stock.sites {
        blocks.push(Block::Table(table(stock, site)));
        blocks.extend(not_listed(site).map(Block::Text));
    }
    blocks
}

fn table(stock: &Stock, site: &SiteStock) -> Table {
    let has_list = !stock.rules.items.is_empty();
    let lead = format::counted(u64::from(stock.rules.lead_days), "day", "days");
    let today = if has_list {
        " Today’s list is the same for every site, and an item that it does not name is not carried."
    } else {
        ""
    };
    let mut table = Table::new(
        format!(
            "The cart of {}: how many of each item last for {lead} with a probability of {}, from {} \
             days.{today}",
            cart_words::site(&site.site),
            service(stock),
            format::signed_whole(site.days)
        ),
        &["Item", "Cases", "Cases per 30 days", "Carry"],
    );
    if has_list {
        table
            .columns
            .extend(["Today", "Expires unused"].map(str::to_owned));
    }
    for item in site.listed() {
        let mut row = vec![
            item.rate.item.label().into(),
            Cell {
                text: format::whole(item.rate.used.cases),
                details: match item.rate.used.passes {
                    passes if passes == item.rate.used.cases => Vec::new(),
                    passes => vec![format::counted(passes, "pass", "passes")],
                },
            },
            Cell {
                text: rate_text(&item.rate),
                details: match item.rate.used.cases {
                    0 => Vec::new(),
                    _ => vec![limits(&item.rate)],
                },
            },
            item.par
                .map_or_else(|| format::NOTHING.into(), |par| to_carry(stock, par)),
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
fn to_carry(stock: &Stock, par: Par) -> Cell {
    let mut details = Vec::new();
    if let Some(row) = par.floor.and_then(|place| stock.floor.get(place)) {
        details.push(format!(
            "floor: {}; by use {}",
            row.class,
            format::whole(par.by_use)
        ));
    }
    if par.method == ParMethod::Bursts {
        details.push("uneven by month".to_owned());
    }
    Cell {
        text: format::whole(par.pieces),
        details,
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
    let rest: Vec<&ItemStock> = site.items.iter().filter(|item| !item.is_listed()).collect();
    let labels: Vec<_> = rest
        .iter()
        .map(|item| item.rate.item.label().to_owned())
        .collect();
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
        words::listed(&labels)?
    ))
}
