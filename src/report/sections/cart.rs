//! Whether everything was on the cart, and whether it worked.

use super::{by_group, by_month, by_shift, by_site, section_of};
use crate::domain::codes::{MissingItem, NOT_RECORDED};
use crate::domain::fields::{CaseField, Field, value_label};
use crate::findings::finding::{Address, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};
use crate::report::{format, series, words};

pub(super) const CART_COMPLETE: &str = "cart_complete";
pub(super) const STOCK_OUTS: &str = "stock_outs";
pub(super) const CASE_MALFUNCTION: &str = "case_malfunction";
pub(super) const DEVICE_MALFUNCTION: &str = "device_malfunction";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let by_device = by_group(review, DEVICE_MALFUNCTION, "device");
    let beside = by_device.is_some().then(|| {
        Block::Caution(
            "Failures by device, in 100 uses, are no ranking: a device that is used for the hard \
             cases fails more often, and what counts as a failure is for the person who writes it \
             down to say. Uses in one case are counted as belonging together."
                .to_owned(),
        )
    });
    section_of(
        "cart",
        "Cart",
        vec![Block::Text(
            "A cart is complete when it was recorded as complete and nothing as missing from it. \
             Where nobody recorded whether it was, the case is not judged, whatever was missing."
                .to_owned(),
        )],
        [
            by_month(review, CART_COMPLETE),
            by_shift::table(
                review,
                "Cart and equipment by shift",
                &[
                    CART_COMPLETE,
                    STOCK_OUTS,
                    CASE_MALFUNCTION,
                    DEVICE_MALFUNCTION,
                ],
            ),
            by_site(review, CART_COMPLETE),
            items(review),
            by_month(review, CASE_MALFUNCTION),
            beside,
            by_device,
        ],
    )
}

/// What was missing, class by class; `None` when that was not counted.
fn items(review: &Review) -> Option<Block> {
    review.definition(STOCK_OUTS)?;
    let by = CaseField::MissingItem.column();
    let at = |group| {
        review.findings.at(Address {
            measure: STOCK_OUTS,
            by,
            group,
            month: None,
            statistic: Statistic::Rate,
        })
    };
    let interval = format!("{} interval", format::level(review.level));
    let mut table = Table::new(
        format!(
            "What was missing from the cart, {}; one class a case",
            series::whole_period(review)
        ),
        &["Missing", "Cases", "Per 30 site-days", &interval, "Method"],
    );
    let classes = MissingItem::ALL
        .iter()
        .filter(|item| **item != MissingItem::NothingMissing)
        .map(|item| item.code())
        .chain([NOT_RECORDED]);
    for class in classes {
        if let Some(finding) = at(class) {
            let [rate, limits] = format::rare_rate(finding);
            table.push(vec![
                value_label(by, class).into(),
                format::unless_withheld(finding, finding.events).into(),
                rate.into(),
                limits.into(),
                words::method_name(finding.method).into(),
            ]);
        }
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}
