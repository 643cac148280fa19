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
                &[CART_COMPLETE, CASE_MALFUNCTION, DEVICE_MALFUNCTION],
            ),
            by_shift::share_table(
                review,
                "Stock-outs in 100 judged carts, by shift",
                ("Something missing, in 100 judged carts", STOCK_OUTS),
                &review.missing,
            ),
            stock_out_rate(review),
            by_site(review, CART_COMPLETE),
            items(review),
            by_month(review, CASE_MALFUNCTION),
            beside,
            by_device,
        ],
    )
}

/// Stock-outs over time, for all hours together: calls come more densely in some hours than in others,
/// so by shift a rate over time would speak of the calls.
fn stock_out_rate(review: &Review) -> Option<Block> {
    let definition = review.definition(STOCK_OUTS)?;
    let finding = review.findings.overall(STOCK_OUTS, None, Statistic::Rate)?;
    Some(Block::Text(format!(
        "{}, all hours together, {}: {}.",
        definition.title,
        series::whole_period(review),
        words::finding_words(finding)
    )))
}

/// What was missing, class by class; `None` when that was not counted.
fn items(review: &Review) -> Option<Block> {
    review.definition(STOCK_OUTS)?;
    let by = CaseField::MissingItem.column();
    let at = |group| {
        review.missing.at(Address {
            measure: STOCK_OUTS,
            by,
            group,
            month: None,
            statistic: Statistic::Share,
        })
    };
    let interval = format!("{} interval", format::level(review.level));
    let mut table = Table::new(
        format!(
            "What was missing from the cart, {}; one class a case",
            series::whole_period(review)
        ),
        &[
            "Missing",
            "Cases",
            "In 100 judged carts",
            &interval,
            "Method",
        ],
    );
    let classes = MissingItem::ALL
        .iter()
        .filter(|item| **item != MissingItem::NothingMissing)
        .map(|item| item.code())
        .chain([NOT_RECORDED]);
    for class in classes {
        if let Some(finding) = at(class) {
            let share = if format::is_empty(finding) {
                format::NOTHING.to_owned()
            } else {
                format::estimate(finding)
            };
            table.push(vec![
                value_label(by, class).into(),
                format::unless_withheld(finding, finding.events).into(),
                share.into(),
                format::interval(finding).into(),
                words::method_name(finding.method).into(),
            ]);
        }
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}
