//! The scenarios of a duty plan: teams, when they are on duty, and from where they come.

use super::entries::{Entries, Entry, Fault, Owner};
use super::week::{BLOCKS, WeekHours, add_block};
use crate::domain::duty::plan::{Place, Scenario, ScenarioTeam, WEEK_HOURS};
use crate::ingest::dialect::folded;
use std::collections::BTreeMap;

const MOST_SCENARIOS: usize = 50;
const MOST_TEAMS: usize = 16;

/// Longest way to a bedside, in minutes.
const LONGEST_WAY: i64 = 240;

#[derive(Clone, Copy)]
enum PlaceWord {
    InHouse,
    Home,
}

const PLACES: [(&str, PlaceWord); 2] =
    [("in_house", PlaceWord::InHouse), ("home", PlaceWord::Home)];

/// The scenarios of `[[scenario]]`, in order.
pub(super) fn scenarios(entry: &Entry<'_>) -> Result<Vec<Scenario>, Fault> {
    let tables = entry.list("write `[[scenario]]` on a line of its own, once for each scenario")?;
    if tables.is_empty() {
        return Err(entry.fault(
            "is an empty list",
            "describe a scenario, or take the list out: then one team and two teams at all hours are compared",
        ));
    }
    if tables.len() > MOST_SCENARIOS {
        return Err(tables[MOST_SCENARIOS].fault(
            &format!("has more than {MOST_SCENARIOS} scenarios"),
            "each is simulated by itself: keep those between which you choose",
        ));
    }
    let mut numbers_by_name = BTreeMap::new();
    let mut scenarios = Vec::new();
    for (number, table) in (1..).zip(&tables) {
        let scenario = scenario(number, table)?;
        if let Some(earlier) = numbers_by_name.insert(folded(&scenario.name), number) {
            return Err(table.fault(
                &format!("number {number} has the name of number {earlier}"),
                "give each scenario a name of its own: it stands in tables and charts",
            ));
        }
        scenarios.push(scenario);
    }
    Ok(scenarios)
}

fn scenario(number: usize, entry: &Entry<'_>) -> Result<Scenario, Fault> {
    let keys = entries(
        entry,
        format!("scenario {number}"),
        &["name", "site", "team"],
    )?;
    let what_name =
        "say in a few words what is different, for example name = \"Second team on weekends\"";
    let name = required(&keys, "name", what_name)?.text(what_name)?;
    let site = keys.get("site");
    let site = site.map(|site| site.text("write the name of the site as in the records, or take it out: then each site is simulated by itself"));
    let what_team =
        "write `[[scenario.team]]` below it, with `on_duty` and `place`, once for each team";
    let tables = required(&keys, "team", what_team)?.list(what_team)?;
    if tables.is_empty() {
        return Err(keys.fault("has no team", what_team));
    }
    if tables.len() > MOST_TEAMS {
        return Err(tables[MOST_TEAMS].fault(
            &format!("has more than {MOST_TEAMS} teams"),
            "each table is one team that takes one call at a time",
        ));
    }
    let teams = (1..).zip(&tables).map(|(team_number, table)| {
        let words = format!("team {team_number} of scenario {number}");
        team(words, table)
    });
    Ok(Scenario {
        name: name.to_owned(),
        site: site.transpose()?.map(str::to_owned),
        teams: teams.collect::<Result<_, _>>()?,
    })
}

fn team(words: String, entry: &Entry<'_>) -> Result<ScenarioTeam, Fault> {
    let keys = entries(entry, words, &["on_duty", "place", "minutes"])?;
    let on_duty = on_duty(&required(&keys, "on_duty", BLOCKS)?)?;
    let what_place = "write place = \"in_house\" or place = \"home\"";
    let place = required(&keys, "place", what_place)?.word(&PLACES)?;
    let minutes = keys.get("minutes").map(|minutes| {
        let hint = "how long does the team need from the call to the bedside?";
        let minutes = minutes.whole(0..=LONGEST_WAY, hint)?;
        Ok(u16::try_from(minutes).expect("at most 240"))
    });
    let place = match (place, minutes.transpose()?) {
        (PlaceWord::Home, minutes) => Place::Home { minutes },
        (PlaceWord::InHouse, Some(minutes)) => Place::InHouse { minutes },
        (PlaceWord::InHouse, None) => {
            return Err(keys.fault(
                "is in the house and has no `minutes`",
                "say how many minutes it needs from the call to the bedside, for example minutes = 10; only for a team that comes from home the recorded times can be taken",
            ));
        }
    };
    Ok(ScenarioTeam { on_duty, place })
}

fn on_duty(entry: &Entry<'_>) -> Result<WeekHours, Fault> {
    let blocks = entry.list(BLOCKS)?;
    if blocks.is_empty() {
        return Err(entry.fault("holds no block, so the team is never on duty", BLOCKS));
    }
    let mut hours = [false; WEEK_HOURS];
    for block in blocks {
        let text = block.text(BLOCKS)?;
        add_block(text, &mut hours)
            .ok_or_else(|| block.fault("holds a text that is no block of the week", BLOCKS))?;
    }
    Ok(hours)
}

/// The keys of one of several tables.
fn entries<'a>(entry: &Entry<'a>, words: String, known: &[&str]) -> Result<Entries<'a>, Fault> {
    let table = entry.table().ok_or_else(|| {
        entry.fault(
            "holds something that is not a table",
            "write `[[scenario]]` and `[[scenario.team]]` on lines of their own, and keys below them",
        )
    })?;
    Entries::of(Owner::OneOf(words), table, entry.offset(), known)
}

fn required<'a>(keys: &Entries<'a>, key: &str, hint: &str) -> Result<Entry<'a>, Fault> {
    keys.get(key)
        .ok_or_else(|| keys.fault(&format!("has no `{key}`"), hint))
}
