//! Scenarios, teams and their hours, and what is wrong with them.

use super::{WHOLE, read, refused};
use crate::ingest::duty::week::BLOCKS;

#[test]
fn a_team_has_a_place_its_minutes_and_hours_on_duty() {
    let (line, what, hint) = refused(&WHOLE.replace("minutes = 10\n", ""));
    assert_eq!(line, 20);
    assert_eq!(
        what,
        "team 1 of scenario 1 is in the house and has no `minutes`"
    );
    assert!(hint.contains("minutes = 10"));
    for beyond in ["241", "-1", "2.5"] {
        let (line, what, _) =
            refused(&WHOLE.replace("minutes = 10", &format!("minutes = {beyond}")));
        assert_eq!(line, 23);
        assert_eq!(
            what,
            "`minutes` of team 1 of scenario 1 is not a whole number from 0 to 240"
        );
    }
    assert!(read(&WHOLE.replace("minutes = 10", "minutes = 240")).is_ok());
    let (line, what, _) = refused(&WHOLE.replacen("[\"always\"]", "[]", 1));
    assert_eq!(line, 21);
    assert_eq!(
        what,
        "`on_duty` of team 1 of scenario 1 holds no block, so the team is never on duty"
    );
    let (line, what, hint) = refused(&WHOLE.replace("\"sat-sun\"", "\"weekends\""));
    assert_eq!(line, 25);
    assert_eq!(
        what,
        "`on_duty` of team 2 of scenario 1 holds a text that is no block of the week"
    );
    assert_eq!(hint, BLOCKS);
    let (_, what, _) = refused(&WHOLE.replace("mon-fri 17:00-08:00", "mon-fri 17:30-08:00"));
    assert!(what.ends_with("no block of the week"), "{what}");
    let (_, what, _) = refused(&WHOLE.replacen("[\"always\"]", "\"always\"", 1));
    assert_eq!(what, "`on_duty` of team 1 of scenario 1 is not a list");
    let (line, what, _) =
        refused(&WHOLE.replace("on_duty = [\"sat-sun\", \"mon-fri 17:00-08:00\"]\n", ""));
    assert_eq!(
        (line, what.as_str()),
        (24, "team 2 of scenario 1 has no `on_duty`")
    );
    let (_, what, _) = refused(&WHOLE.replace("place = \"in_house\"\n", ""));
    assert_eq!(what, "team 1 of scenario 1 has no `place`");
}

const TEAM: &str = "[[scenario.team]]\non_duty = [\"always\"]\nplace = \"home\"\n";

#[test]
fn scenarios_are_named_once_and_have_teams_and_neither_is_without_end() {
    let scenario = |name: &str, teams: usize| {
        format!("[[scenario]]\nname = \"{name}\"\n{}", TEAM.repeat(teams))
    };
    let (line, what, _) = refused(&scenario("a", 0));
    assert_eq!((line, what.as_str()), (1, "scenario 1 has no `team`"));
    let (_, what, _) = refused("[[scenario]]\nname = \"a\"\nteam = []\n");
    assert_eq!(what, "scenario 1 has no team");
    let two = scenario("Two teams", 1) + &scenario(" two  Teams ", 2);
    let (line, what, _) = refused(&two);
    assert_eq!(
        (line, what.as_str()),
        (6, "`scenario` number 2 has the name of number 1")
    );
    assert!(read(&scenario("a", 16)).is_ok());
    let (line, what, _) = refused(&scenario("a", 17));
    assert_eq!(
        (line, what.as_str()),
        (51, "`team` of scenario 1 has more than 16 teams")
    );
    let many = |count: usize| -> String {
        (0..count)
            .map(|number| scenario(&number.to_string(), 1))
            .collect()
    };
    assert_eq!(read(&many(50)).expect("a plan").scenarios.len(), 50);
    let (_, what, _) = refused(&many(51));
    assert_eq!(what, "`scenario` has more than 50 scenarios");
    let (_, what, _) = refused("scenario = []\n");
    assert_eq!(what, "`scenario` is an empty list");
    let (_, what, _) = refused("[scenario]\nname = \"a\"\n");
    assert_eq!(what, "`scenario` is not a list");
    let (_, what, _) = refused("scenario = [1]\n");
    assert_eq!(what, "`scenario` holds something that is not a table");
    let (line, what, _) = refused(&format!("[[scenario]]\n{TEAM}"));
    assert_eq!((line, what.as_str()), (1, "scenario 1 has no `name`"));
    let (_, what, _) = refused(&scenario("  ", 1));
    assert_eq!(what, "`name` of scenario 1 is blank");
    let (_, what, _) = refused(&scenario(&"x".repeat(81), 1));
    assert_eq!(
        what,
        "`name` of scenario 1 is not one line of at most 80 characters"
    );
    let (_, what, _) = refused(&scenario("a\\nb", 1));
    assert_eq!(
        what,
        "`name` of scenario 1 is not one line of at most 80 characters"
    );
}
