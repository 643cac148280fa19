//! Kit coverage: which finished cases a cart with a given list could have finished at the bedside.

mod tables;

use super::cart_words::{WHO_DECIDES, counts, interval, items, percent, plain_share, share};
use crate::domain::codes::CaseEnding;
use crate::domain::duty::item_counts::KitTask;
use crate::findings::finding::Unit;
use crate::findings::staffing::kit::{Kit, KitOfCases, ListShare, PARTS, SmallestList, is_judged};
use crate::report::chart::{Chart, Line, Plot};
use crate::report::content::{Block, Figure, Section, Table};
use crate::report::{format, words};
use tables::{by_site, gains};

/// The section.
pub(super) fn section(kit: &Kit) -> Section {
    let mut blocks = vec![Block::Text(ABOUT.to_owned())];
    if kit.groups.is_empty() {
        blocks.push(Block::Text("There is no case.".to_owned()));
    }
    if kit.today.is_none() {
        blocks.push(Block::Text(
            "The plan does not say what the cart carries today. With the items below [cart.items] in \
             duty.toml, this part says which cases that list could have finished, and what each item \
             adds to it."
                .to_owned(),
        ));
    }
    for group in kit.groups.iter().filter(|group| group.site.is_none()) {
        blocks.extend(together(kit, group));
    }
    for task in KitTask::ALL {
        blocks.extend(by_site(kit, task).map(Block::Table));
    }
    blocks.push(Block::Heading("What kit coverage assumes".to_owned()));
    blocks.push(Block::List(ASSUMPTIONS.map(str::to_owned).into()));
    blocks.push(Block::Caution(WHO_DECIDES.to_owned()));
    Section {
        id: "kit",
        heading: "Which cases the cart could have finished".to_owned(),
        blocks,
    }
}

const ABOUT: &str = "A case is covered by a list when every item that finished it is on the list: for \
    an object each device that brought it or a piece of it out or pushed it on, with the overtube, \
    hood and cap that were used; for a bleed its treatment. Pushing and suction by the scope need no \
    item. A case that rigid endoscopy finished has left the cart and is covered by no list.";

const ASSUMPTIONS: [&str; 6] = [
    "Another item might have done as well: what was used is what is known. So a short list could do \
     more than is said here, and a long one no more.",
    "An item that failed may have been worth its try. Coverage asks only what finished the case, not \
     how long it took or what it spared the patient.",
    "Coverage asks whether an item is on the list, not whether enough of it was left: that is a matter \
     of the stock.",
    "Items that a floor asks for stay on the cart, though no case of these months was finished with \
     them.",
    "Every possible list was looked at, so that no list of the same length covers more. Of several \
     that cover the same number of cases, the one whose items come first in the order of the items \
     is shown.",
    "A list chosen by some cases does better for these than for others. So the list is chosen anew \
     from all months but a part of them, and judged by the cases of that part; months are dealt in \
     turn into up to ten parts.",
];

const WITHOUT_PASSES: &str = "There is not one pass in the records, and without passes it is not known \
    with what a case of objects or food was finished: nothing can be judged. With --passes FILE this \
    part says it.";

/// What stands on the first page.
pub(crate) fn in_words(kit: &Kit) -> Vec<String> {
    let together = kit.groups.iter().filter(|group| group.site.is_none());
    together
        .filter_map(|group| one_sentence(kit, group))
        .collect()
}

fn one_sentence(kit: &Kit, group: &KitOfCases) -> Option<String> {
    if lacks_passes(kit, group) {
        return Some(
            "Without passes it is not known which cases of objects and food the cart could have \
             finished."
                .to_owned(),
        );
    }
    let every = group.every.as_ref()?;
    let words = |list: &ListShare| {
        let what = judged_words(group.task);
        plain_share(list.tally, list.interval, kit.level, what)
    };
    Some(match &group.today {
        Some(today) => format!(
            "Counting kinds of items and not their number, today’s list could have finished {}.",
            words(today)
        ),
        None => format!(
            "Counting kinds of items and not their number, all items that were ever used could have \
             finished {}.",
            words(every)
        ),
    })
}

/// Whether nothing is known of these cases since there are no passes.
fn lacks_passes(kit: &Kit, group: &KitOfCases) -> bool {
    kit.lacks_passes && group.task == KitTask::Object
}

const fn judged_words(task: KitTask) -> &'static str {
    match task {
        KitTask::Object => "judged cases of objects and food",
        KitTask::Bleed => "judged bleeds",
    }
}

const fn heading(task: KitTask) -> &'static str {
    match task {
        KitTask::Object => "Objects and food",
        KitTask::Bleed => "Bleeds",
    }
}

/// `95%`.
fn goal(found: &SmallestList) -> String {
    format::as_chosen(Unit::Fraction, found.goal as f64 / 1000.0)
}

/// All sites together.
fn together(kit: &Kit, group: &KitOfCases) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading(heading(group.task).to_owned()),
        Block::Text(accounting(group)),
    ];
    let Some(every) = &group.every else {
        let why = if lacks_passes(kit, group) {
            WITHOUT_PASSES
        } else {
            "No case is judged."
        };
        blocks.push(Block::Text(why.to_owned()));
        return blocks;
    };
    let mut lines = Vec::new();
    if let Some(today) = &group.today {
        lines.push(format!(
            "Today’s list: {} covered, counting kinds of items; how many pieces of each were left is \
             not asked.",
            share(today.tally, today.interval, kit.level)
        ));
    }
    lines.push(format!(
        "All items that finished a case: {} covered.",
        share(every.tally, every.interval, kit.level)
    ));
    lines.extend(
        group
            .smallest
            .iter()
            .map(|found| smallest_words(kit, found)),
    );
    blocks.push(Block::List(lines));
    blocks.push(Block::Figure(Box::new(curve(kit, group))));
    blocks.push(Block::Table(gains(kit, group)));
    blocks
}

/// How many cases are judged, and why the others are not.
fn accounting(group: &KitOfCases) -> String {
    let left_cart = match group.ended(CaseEnding::LeftCart) {
        0 => String::new(),
        left => format!(
            ", of which {} left the cart for rigid endoscopy",
            format::whole(left)
        ),
    };
    let judged = format::counted(group.judged(), "case is", "cases are");
    let mut sentences = vec![format!("{judged} judged{left_cart}.")];
    let left_out = group
        .endings
        .iter()
        .filter(|(ending, _)| !is_judged(**ending));
    let reasons: Vec<_> = left_out
        .map(|(ending, cases)| format!("{}: {}", ending.label(), format::whole(*cases)))
        .collect();
    if !reasons.is_empty() {
        sentences.push(format!(
            "{} left out ({}).",
            format::counted(group.left_out(), "case is", "cases are"),
            reasons.join("; ")
        ));
    }
    if group.ended(CaseEnding::SeveralKinds) > 0 {
        sentences.push(
            "What was treated in several ways at once needed two items or more, which a short list \
             seldom holds: with these cases it would cover less than is said here."
                .to_owned(),
        );
    }
    if group.blank_aids > 0 {
        sentences.push(format!(
            "In {} the use of overtube, hood or cap is not recorded; what is not recorded counts as \
             not used.",
            format::counted(group.blank_aids, "judged case", "judged cases")
        ));
    }
    sentences.join(" ")
}

fn smallest_words(kit: &Kit, found: &SmallestList) -> String {
    let goal = goal(found);
    let Some(list) = &found.list else {
        return format!(
            "Smallest list for {goal}: none, since more cases left the cart than that."
        );
    };
    let held_out = match found.held_out {
        None => " With cases of one month only, it cannot be judged by others.".to_owned(),
        Some(held_out) => format!(
            " Lists chosen in the same way cover {} of the cases that did not choose them ({} parts).",
            share(held_out.tally, held_out.interval, kit.level),
            held_out.parts
        ),
    };
    format!(
        "Smallest list for {goal}: {} ({}), {} covered. {}{held_out}",
        format::counted(list.items.len() as u64, "item", "items"),
        items(&list.items),
        counts(list.tally),
        no_list_to_carry(found)
    )
}

/// It reads as advice to strip the cart, and is none.
fn no_list_to_carry(found: &SmallestList) -> String {
    let classes: Vec<_> = found
        .lacking
        .iter()
        .map(|class| (*class).to_owned())
        .collect();
    let lacks = words::listed(&classes).map_or_else(String::new, |classes| {
        format!("; of the floor for such cases it lacks {classes}")
    });
    format!(
        "It is no list to carry, since the floor and local policy ask for more than the recorded cases \
         do{lacks}."
    )
}

fn curve(kit: &Kit, group: &KitOfCases) -> Figure {
    let length = |list: &ListShare| format::counted(list.items.len() as u64, "item", "items");
    let is_shown = |list: &&ListShare| list.tally.cases() >= format::FEWEST_CASES_FOR_PERCENT;
    let lines = group.best.iter().map(|list| {
        let shown = Some(list).filter(is_shown);
        Line::Group {
            label: length(list),
            value: shown.map(|list| list.tally.share()),
            limits: (
                shown.map(|list| list.interval.low),
                shown.map(|list| list.interval.high),
            ),
            quartiles: None,
            p90: None,
            drawn: None,
            text: match shown {
                None => counts(list.tally),
                Some(list) => format!("{}, {}", percent(list.tally), counts(list.tally)),
            },
        }
    });
    let level = format::level(kit.level);
    let mut table = Table::new(
        format!(
            "{}: the best list of each length, and the judged cases that it covers; Wilson intervals, \
             which do not know that each list was chosen by the same cases",
            heading(group.task)
        ),
        &[
            "Length",
            "Items",
            "Cases",
            "Share",
            &format!("{level} interval"),
        ],
    );
    for list in &group.best {
        table.push(vec![
            length(list).into(),
            items(&list.items).into(),
            counts(list.tally).into(),
            percent(list.tally).into(),
            interval(list.tally, list.interval).into(),
        ]);
    }
    let steps: Vec<_> = group
        .best
        .iter()
        .map(|list| format!("{} {}", length(list), counts(list.tally)))
        .collect();
    Figure {
        stem: format!("kit_{}_by_length", group.task.code()),
        chart: Chart {
            title: format!(
                "{}: how many cases does the best list of each length cover?",
                heading(group.task)
            ),
            axis_label: "percent of judged cases".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Rows(lines.collect()),
        },
        caption: format!(
            "Point: share of the judged cases that the best list of this length covers, all sites \
             together, with its Wilson {level} interval as a line. Which items it has stands in the \
             table; a longer list need not hold all items of a shorter one."
        ),
        alternative: format!("Cases covered by the best list: {}.", steps.join(", ")),
        table,
    }
}

const _: () = assert!(PARTS == 10, "the assumptions say ten");

#[cfg(test)]
mod tests;
