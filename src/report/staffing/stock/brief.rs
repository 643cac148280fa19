//! What the first page says of the stock: what use asks for, and where today's list is lower.

use super::super::cart_words::{self, chance};
use super::service;
use crate::findings::staffing::stock::{FEWEST_DAYS, ItemStock, SiteStock, Stock};
use crate::report::{format, words};

/// Sites that the first page names one by one.
const SITES_NAMED: usize = 3;

/// What stands on the first page: two sentences, or none where nothing was observed.
pub(crate) fn in_words(stock: &Stock) -> Vec<String> {
    let Some(carts) = carts(stock) else {
        return Vec::new();
    };
    vec![asked(stock, &carts), today(stock)]
}

/// What use and the floor ask for.
fn asked(stock: &Stock, carts: &str) -> String {
    let few = stock.sites.iter().filter(|site| site.has_few_days());
    let is_floor_alone = few.count() == stock.sites.len();
    let lead = lead(stock);
    match (is_floor_alone, stock.lacks_passes) {
        (true, _) => format!(
            "Fewer than {} days are recorded, too few to say how many pieces use asks for; the floor for \
             rare emergencies alone asks for {carts}.",
            format::signed_whole(FEWEST_DAYS)
        ),
        (false, true) => format!(
            "Use of devices is not known without passes; use of the rest, with a floor for rare \
             emergencies, asks for {carts}."
        ),
        (false, false) => format!(
            "Recorded use, with a floor for rare emergencies, asks for {carts}, so that each item lasts \
             {lead} with a probability of {}; what a cart holds is not counted here.",
            service(stock)
        ),
    }
}

fn lead(stock: &Stock) -> String {
    format::counted(u64::from(stock.rules.lead_days), "day", "days")
}

/// `28 pieces of 15 items at Alder and 25 pieces of 14 items at Birch`; `None` without a site.
fn carts(stock: &Stock) -> Option<String> {
    let few = stock.sites.iter().filter(|site| site.has_few_days());
    let few = few.count();
    let is_mixed = few > 0 && few < stock.sites.len();
    if stock.sites.len() <= SITES_NAMED {
        let carts: Vec<_> = stock
            .sites
            .iter()
            .map(|site| cart(site, is_mixed && site.has_few_days()))
            .collect();
        return words::listed(&carts);
    }
    let pieces = stock.sites.iter().map(SiteStock::pieces);
    let (least, most) = pieces.clone().min().zip(pieces.max())?;
    let mixed = if is_mixed {
        format!(
            " (by the floor alone at {}, of fewer than {} days)",
            format::whole(few as u64),
            format::signed_whole(FEWEST_DAYS)
        )
    } else {
        String::new()
    };
    Some(format!(
        "{} to {} pieces at each of {} sites{mixed}",
        format::whole(least),
        format::whole(most),
        format::whole(stock.sites.len() as u64)
    ))
}

fn cart(site: &SiteStock, is_floor_alone: bool) -> String {
    let floor = if is_floor_alone {
        format!(
            " (by the floor alone, of fewer than {} days)",
            format::signed_whole(FEWEST_DAYS)
        )
    } else {
        String::new()
    };
    format!(
        "{} of {} at {}{floor}",
        format::counted(site.pieces(), "piece", "pieces"),
        format::counted(site.kinds(), "item", "items"),
        cart_words::site(&site.site)
    )
}

fn today(stock: &Stock) -> String {
    if stock.rules.items.is_empty() {
        return "The plan does not say what the cart carries today, so nothing is said of the risk to \
                run out."
            .to_owned();
    }
    let short = stock.sites.iter().map(|site| (site, site.short()));
    let short: Vec<_> = short.filter(|(_, items)| !items.is_empty()).collect();
    if short.is_empty() {
        return "Today’s list is lower for no item at any site.".to_owned();
    }
    if short.len() > SITES_NAMED {
        return format!(
            "Today’s list is lower for one item or more at {} of {} sites.",
            format::whole(short.len() as u64),
            format::whole(stock.sites.len() as u64)
        );
    }
    let lead = lead(stock);
    let mut is_told = false;
    let sites: Vec<_> = short
        .iter()
        .map(|(site, items)| lower(site, items, &lead, &mut is_told))
        .collect();
    format!(
        "Today’s list is lower for {}.",
        words::listed(&sites).unwrap_or_default()
    )
}

/// `4 items at Alder (retrieval net: 1 for 3, chance that 7 days need more 16.1%)`: the item that is
/// likeliest to run out. What the chance is of is told once.
fn lower(site: &SiteStock, items: &[&ItemStock], lead: &str, is_told: &mut bool) -> String {
    let mut first = String::new();
    if let Some(stock) = items.first()
        && let Some((par, today)) = stock.par.zip(stock.today)
    {
        let risk = today.shortage.map_or_else(String::new, |shortage| {
            let of_what = if *is_told {
                String::new()
            } else {
                format!("chance that {lead} need more ")
            };
            *is_told = true;
            format!(", {of_what}{}", chance(shortage))
        });
        first = format!(
            " ({}: {} for {}{risk})",
            stock.rate.item.label(),
            format::whole(u64::from(today.carried.carried)),
            format::whole(par.pieces)
        );
    }
    format!(
        "{} at {}{first}",
        format::counted(items.len() as u64, "item", "items"),
        cart_words::site(&site.site)
    )
}
