//! Tables of kit coverage: what each item adds, and the lists of each site.

use super::super::cart_words::{items, share, site};
use super::heading;
use crate::domain::duty::item_counts::KitTask;
use crate::findings::finding::Unit;
use crate::findings::staffing::kit::{ItemGain, Kit, KitOfCases};
use crate::report::content::Table;
use crate::report::format;

/// What each item adds.
pub(super) fn gains(kit: &Kit, group: &KitOfCases) -> Table {
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
pub(super) fn by_site(kit: &Kit, task: KitTask) -> Option<Table> {
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
            "{} by site, by name: judged cases, and the lists of that site. The smallest lists are no \
             lists to carry: the floor and local policy ask for more",
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
