//! The table `cart_stock`: every item of the cart by site, how often it was used and how many to
//! carry.
//!
//! Knows the columns. Computes no number.

use crate::domain::counts::ALL;
use crate::export::columns::{Column, batch, number, optional_text, optional_whole, text};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::stock::{Expiry, ItemRate, ItemStock, Par, Rate, Stock, Today};

/// An item of one site, or of all together, of which there are rates alone.
struct Row<'a> {
    site: &'a str,
    days: f64,
    rate: ItemRate,
    par: Option<Par>,
    today: Option<Today>,
}

/// One row per site and item, in the order of the sites and of the list of items; all sites together
/// first, under `all`.
///
/// # Errors
/// When a count does not fit INT64.
pub fn cart_stock_table(stock: &Stock) -> Result<Table, TableError> {
    let together = stock.all.iter().map(|rate| Row {
        site: ALL,
        days: stock.days,
        rate: *rate,
        par: None,
        today: None,
    });
    let each = stock.sites.iter().flat_map(|site| {
        site.items.iter().map(|item: &ItemStock| Row {
            site: &site.site,
            days: site.days,
            rate: item.rate,
            par: item.par,
            today: item.today,
        })
    });
    let rows: Vec<Row<'_>> = together.chain(each).collect();
    let mut columns = use_columns(&rows)?;
    columns.extend(par_columns(stock, &rows)?);
    columns.extend(today_columns(&rows)?);
    Ok(Table {
        name: "cart_stock",
        batch: batch(columns),
    })
}

/// Where, what, and how often it was used.
fn use_columns(rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let rows = || rows.iter();
    let per_30_days =
        |pick: fn(&Rate) -> f64| rows().map(move |row| row.rate.per_30_days.as_ref().map(pick));
    Ok(vec![
        text(
            "site",
            "the site; all for all together",
            rows().map(|row| row.site),
        ),
        text(
            "item",
            "code of the item",
            rows().map(|row| row.rate.item.code()),
        ),
        number(
            "days",
            "days observed",
            "days",
            rows().map(|row| Some(row.days)),
        ),
        optional_whole(
            "cases",
            "cases in which the item was used; empty where that is not known",
            "cases",
            rows().map(|row| Some(row.rate.used?.cases)),
        )?,
        optional_whole(
            "passes",
            "passes made with it; one for a case in which it was used without a pass",
            "passes",
            rows().map(|row| Some(row.rate.used?.passes)),
        )?,
        number(
            "cases_per_30_days",
            "cases with a use per 30 days of one site",
            "per 30 site-days",
            per_30_days(|rate| rate.rate),
        ),
        number(
            "low",
            "lower limit of it, exact Poisson (Garwood)",
            "per 30 site-days",
            per_30_days(|rate| rate.low),
        ),
        number(
            "high",
            "upper limit of it; above 0 also without a use",
            "per 30 site-days",
            per_30_days(|rate| rate.high),
        ),
    ])
}

/// How many to carry, and why.
fn par_columns(stock: &Stock, rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let rows = || rows.iter();
    Ok(vec![
        number(
            "dispersion",
            "variance over mean of the monthly cases; empty with too few months or cases",
            "",
            rows().map(|row| row.par?.by_use?.dispersion),
        ),
        optional_whole(
            "par_by_use",
            "pieces that last for the lead time with the service level, by use alone; empty where \
             nothing is said by use",
            "pieces",
            rows().map(|row| Some(row.par?.by_use?.pieces)),
        )?,
        optional_text(
            "par_method",
            "predictive_negative_binomial, or negative_binomial_of_months for uses in bursts",
            rows().map(|row| Some(row.par?.by_use?.method.code())),
        ),
        optional_text(
            "floor",
            "class of the floor that asks for the item where use does not ask for enough",
            rows().map(|row| Some(stock.floor.get(row.par?.floor?)?.class)),
        ),
        optional_whole(
            "carry",
            "pieces to carry: by use, or for the floor where that is more",
            "pieces",
            rows().map(|row| Some(row.par?.pieces)),
        )?,
        number(
            "carry_unused",
            "of these the pieces that expire unused in one shelf life, on average",
            "pieces",
            rows().map(|row| unused(row.par?.expiry)),
        ),
    ])
}

/// What is carried today, and what it comes to.
fn today_columns(rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let rows = || rows.iter();
    Ok(vec![
        optional_whole(
            "carried",
            "pieces on the list of today; empty without a list",
            "pieces",
            rows().map(|row| Some(row.today?.carried.carried)),
        )?,
        number(
            "shortage",
            "probability that the lead time needs more pieces than are carried, when none is filled up \
             before; empty where nothing is said by use",
            "fraction",
            rows().map(|row| row.today?.shortage),
        ),
        number(
            "found_none",
            "probability that a case finds no piece, when each is ordered as it is used (Erlang's loss \
             formula); empty also without a use",
            "fraction",
            rows().map(|row| row.today?.found_none),
        ),
        optional_whole(
            "shelf_life_days",
            "days from delivery until the item expires; empty where the plan does not say",
            "days",
            rows().map(|row| row.today?.carried.shelf_life_days),
        )?,
        number(
            "carried_unused",
            "of the pieces carried those that expire unused in one shelf life, on average",
            "pieces",
            rows().map(|row| unused(row.today?.expiry)),
        ),
    ])
}

fn unused(expiry: Option<Expiry>) -> Option<f64> {
    expiry.map(|expiry| expiry.unused)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::duty::cart_item::CartItem;
    use crate::domain::duty::item_counts::ItemUse;
    use crate::domain::duty::plan::{CarriedItem, DutyPlan};
    use crate::export::table::Format;
    use crate::findings::staffing::cart_floor::cart_floor;
    use crate::findings::staffing::stock::{ParByUse, ParMethod, SiteStock};
    use std::collections::BTreeMap;

    #[test]
    fn each_item_of_a_site_has_a_row_and_all_sites_have_no_par() {
        let rate = ItemRate {
            item: CartItem::Hood,
            used: Some(ItemUse {
                cases: 3,
                passes: 4,
            }),
            per_30_days: None,
        };
        let expiry = Expiry {
            shelf_life_days: 730,
            expected_uses: 1.5,
            unused: 0.75,
        };
        let hood = cart_floor()
            .iter()
            .position(|row| row.class == "protector hood");
        let item = ItemStock {
            rate,
            par: Some(Par {
                by_use: Some(ParByUse {
                    pieces: 0,
                    method: ParMethod::Predictive,
                    dispersion: Some(1.25),
                }),
                floor: hood,
                pieces: 1,
                expiry: Some(expiry),
            }),
            today: Some(Today {
                carried: CarriedItem {
                    carried: 2,
                    shelf_life_days: Some(730),
                },
                shortage: Some(0.25),
                found_none: Some(0.125),
                expiry: None,
            }),
        };
        let not_known = ItemStock {
            rate: ItemRate {
                item: CartItem::Overtube,
                used: None,
                per_30_days: None,
            },
            par: Some(Par {
                by_use: None,
                floor: hood.map(|place| place - 1),
                pieces: 1,
                expiry: None,
            }),
            today: None,
        };
        let stock = Stock {
            rules: DutyPlan::default().cart,
            level: 0.95,
            months: None,
            sites: vec![SiteStock {
                site: "Alder".to_owned(),
                days: 30.5,
                items: vec![item, not_known],
            }],
            all: vec![rate],
            days: 61.0,
            unknown: BTreeMap::new(),
            malfunctions: Vec::new(),
            floor: cart_floor(),
            lacks_passes: false,
        };
        let csv = cart_stock_table(&stock)
            .unwrap()
            .encode(Format::Csv)
            .unwrap();
        assert_eq!(
            String::from_utf8(csv).unwrap(),
            "site,item,days,cases,passes,cases_per_30_days,low,high,dispersion,par_by_use,par_method,\
             floor,carry,carry_unused,carried,shortage,found_none,shelf_life_days,carried_unused\n\
             all,hood,61,3,4,,,,,,,,,,,,,,\n\
             Alder,hood,30.5,3,4,,,,1.25,0,predictive_negative_binomial,protector hood,1,0.75,2,0.25,\
             0.125,730,\n\
             Alder,overtube,30.5,,,,,,,,,overtube,1,,,,,,\n"
        );
    }
}
