//! Kit coverage: which finished cases a cart with a given list could have finished at the bedside.

use super::cart_words::{WHO_DECIDES, counts, interval, items, percent, share, site};
use crate::domain::codes::CaseEnding;
use crate::domain::duty::item_counts::KitTask;
use crate::findings::finding::Unit;
use crate::findings::staffing::kit::{
    ItemGain, Kit, KitOfCases, ListShare, PARTS, SmallestList, is_judged,
};
use crate::report::chart::{Chart, Line, Plot};
use crate::report::content::{Block, Figure, Section, Table};
use crate::report::format;

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

/// What stands on the first page.
pub(crate) fn in_words(kit: &Kit) -> Vec<String> {
    let together = kit.groups.iter().filter(|group| group.site.is_none());
    together
        .filter_map(|group| one_sentence(kit, group))
        .collect()
}

fn one_sentence(kit: &Kit, group: &KitOfCases) -> Option<String> {
    let what = judged_words(group.task);
    let every = group.every.as_ref()?;
    let covered = match &group.today {
        Some(today) => format!(
            "The list of today could have finished {} {what}",
            share(today.tally, today.interval, kit.level)
        ),
        None => format!(
            "All items together finished {} {what}",
            share(every.tally, every.interval, kit.level)
        ),
    };
    let smallest = group.smallest.first().map(|found| match &found.list {
        None => format!("no list reaches {}", goal(found)),
        Some(list) => {
            let held_out = found.held_out.map_or_else(String::new, |held_out| {
                format!(
                    ", and lists chosen so reach {} in months that did not choose them",
                    percent(held_out.tally)
                )
            });
            let length = format::counted(list.items.len() as u64, "item", "items");
            format!(
                "the smallest list for {} has {length}{held_out}",
                goal(found)
            )
        }
    });
    Some(match smallest {
        None => format!("{covered}."),
        Some(smallest) => format!("{covered}; {smallest}."),
    })
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
        blocks.push(Block::Text("No case is judged.".to_owned()));
        return blocks;
    };
    let mut lines = Vec::new();
    if let Some(today) = &group.today {
        lines.push(format!(
            "Today’s list: {} covered.",
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
        "Smallest list for {goal}: {} ({}), {} covered.{held_out}",
        format::counted(list.items.len() as u64, "item", "items"),
        items(&list.items),
        counts(list.tally)
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

fn gains(kit: &Kit, group: &KitOfCases) -> Table {
    let beside = if kit.today.is_some() {
        "to today’s list: for an item that is not on it the cases covered more, for one that is on it \
         those covered fewer without it"
    } else {
        "beside all other items: the cases covered fewer without it"
    };
    let mut table = Table::new(
        format!(
            "{}: what each item adds {beside}. Gains do not add up where cases need several items",
            heading(group.task)
        ),
        &["Item", "Cases that it finished", "Adds"],
    );
    if kit.today.is_some() {
        table.columns.insert(1, "On today’s list".to_owned());
    }
    let judged = group.judged();
    for gain in &group.gains {
        let ItemGain {
            item,
            is_carried,
            finished,
            gain,
        } = *gain;
        let mut row = vec![
            item.label().into(),
            format::part(finished, judged).into(),
            format::part(gain, judged).into(),
        ];
        if let Some(is_carried) = is_carried {
            row.insert(1, if is_carried { "yes" } else { "no" }.into());
        }
        table.push(row);
    }
    table
}

/// Sites by name; `None` where there is one only.
fn by_site(kit: &Kit, task: KitTask) -> Option<Table> {
    let of_sites = kit.groups.iter().filter(|group| group.task == task);
    let of_sites: Vec<_> = of_sites
        .filter_map(|group| Some((group.site.as_deref()?, group)))
        .collect();
    let goals = of_sites.iter().find_map(|(_, group)| {
        let goals = group.smallest.iter().map(|found| found.goal);
        Some(goals.collect::<Vec<_>>()).filter(|goals| !goals.is_empty())
    })?;
    let mut table = Table::new(
        format!(
            "{} by site, by name: judged cases, and the lists of that site",
            heading(task)
        ),
        &["Site", "Judged", "Left out", "Covered by today’s list"],
    );
    table.columns.extend(goals.iter().map(|goal| {
        let goal = format::as_chosen(Unit::Fraction, *goal as f64 / 1000.0);
        format!("Smallest list for {goal}")
    }));
    for (name, group) in of_sites {
        let mut row = vec![
            site(name).into(),
            format::whole(group.judged()).into(),
            format::whole(group.left_out()).into(),
            match &group.today {
                None => format::NOTHING.into(),
                Some(today) => share(today.tally, today.interval, kit.level).into(),
            },
        ];
        for found in &group.smallest {
            row.push(match &found.list {
                None => "none".into(),
                Some(list) => items(&list.items).into(),
            });
        }
        table.push(row);
    }
    Some(table)
}

const _: () = assert!(PARTS == 10, "the assumptions say ten");

#[cfg(test)]
mod tests;
