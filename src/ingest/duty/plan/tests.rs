use super::*;
use crate::domain::codes::Device;
use crate::domain::duty::plan::{Place, WEEK_HOURS};

mod scenarios;

const WHOLE: &str = r#"[calls]
merge_minutes = 45
wrap_up_minutes = 0
night = "23:00-06:30"
min_rest_hours = 11
[cart]
lead_days = 14
service_level = 0.95
[cart.items]
snare = { carried = 3, shelf_life_days = 1095 }
overtube = { carried = 1 }
bleed_clip = { carried = 0 }
[simulation]
years = 250
seed = 7
arrivals = "weeks"
[[scenario]]
name = "Second team on weekends"
site = " Alder "
[[scenario.team]]
on_duty = ["always"]
place = "in_house"
minutes = 10
[[scenario.team]]
on_duty = ["sat-sun", "mon-fri 17:00-08:00"]
place = "home"
[[scenario]]
name = "One team"
[[scenario.team]]
on_duty = ["always"]
place = "home"
minutes = 0
"#;

fn read(text: &str) -> Result<DutyPlan, (Option<u64>, MappingFault)> {
    plan(text.as_bytes())
}

/// Line, fault and hint of a plan that is refused.
#[track_caller]
fn refused(text: &str) -> (u64, String, String) {
    let (line, fault) = read(text).expect_err("a plan that is refused");
    (line.unwrap_or(0), fault.what, fault.hint)
}

#[test]
fn a_whole_plan_is_read_key_by_key() {
    let plan = read(WHOLE).expect("a plan");
    assert_eq!(
        plan.rules,
        DutyRules {
            merge_minutes: 45,
            wrap_up_minutes: 0,
            night_from: 1380,
            night_until: 390,
            min_rest_minutes: 660,
        }
    );
    assert_eq!((plan.cart.lead_days, plan.cart.service_level), (14, 0.95));
    let snare = CarriedItem {
        carried: 3,
        shelf_life_days: Some(1095),
    };
    let none = |carried| CarriedItem {
        carried,
        shelf_life_days: None,
    };
    let items: Vec<_> = plan.cart.items.into_iter().collect();
    assert_eq!(
        items,
        [
            (CartItem::Device(Device::Snare), snare),
            (CartItem::Overtube, none(1)),
            (CartItem::named("bleed_clip").expect("an item"), none(0)),
        ]
    );
    assert_eq!(
        plan.simulation,
        SimulationRules {
            years: 250,
            seed: 7,
            arrivals: Arrivals::Weeks,
        }
    );
    let [weekends, one] = &plan.scenarios[..] else {
        panic!("two scenarios");
    };
    assert_eq!(weekends.name, "Second team on weekends");
    assert_eq!(weekends.site.as_deref(), Some("Alder"));
    assert_eq!(weekends.teams[0].place, Place::InHouse { minutes: 10 });
    assert_eq!(weekends.teams[0].on_duty, [true; WEEK_HOURS]);
    assert_eq!(weekends.teams[1].place, Place::Home { minutes: None });
    let hours = weekends.teams[1].on_duty.iter().filter(|is_on| **is_on);
    assert_eq!(hours.count(), 48 + 4 * 15 + 7);
    assert_eq!(one.site, None);
    assert_eq!(one.teams[0].place, Place::Home { minutes: Some(0) });
}

#[test]
fn what_a_plan_leaves_out_is_the_default() {
    let default = DutyPlan::default();
    for text in [
        "",
        "# nothing\n",
        "[calls]\n",
        "\u{feff}[cart]\n[simulation]\r\n",
    ] {
        assert_eq!(read(text).expect("a plan"), default, "{text:?}");
    }
    let plan = read("[calls]\nmerge_minutes = 720\n[cart.items]\n").expect("a plan");
    assert_eq!(plan.rules.merge_minutes, 720);
    assert_eq!(plan.rules.wrap_up_minutes, default.rules.wrap_up_minutes);
    assert_eq!(
        (plan.cart, plan.scenarios),
        (default.cart, default.scenarios)
    );
    let plan = read("calls.night = \"20:00-24:00\"\n").expect("a plan");
    assert_eq!((plan.rules.night_from, plan.rules.night_until), (1200, 0));
}

#[test]
fn an_unknown_key_is_refused_with_its_line_and_what_was_meant() {
    let (line, what, hint) = refused("[calls]\nnight = \"22:00-07:00\"\nmerge_minute = 60\n");
    assert_eq!(line, 3);
    assert_eq!(what, "`calls.merge_minute` is no key that is known here");
    assert_eq!(
        hint,
        "did you mean `merge_minutes`? the keys of `[calls]` are: `merge_minutes`, `wrap_up_minutes`, `night`, `min_rest_hours`"
    );
    let (line, what, hint) = refused("\n[[scenarios]]\nname = \"x\"\n");
    assert_eq!(line, 2);
    assert_eq!(what, "`scenarios` is no key that is known here");
    assert!(hint.starts_with("did you mean `scenario`? the keys of the file are:"));
    let (_, what, hint) = refused("[roster]\n");
    assert_eq!(what, "`roster` is no key that is known here");
    assert!(hint.starts_with("the keys of the file are:"), "{hint}");
    let (line, what, hint) =
        refused("[cart.items]\nsnare = { carried = 1 }\nsnares = { carried = 1 }");
    assert_eq!(line, 3);
    assert_eq!(what, "`cart.items.snares` is no item of a cart");
    assert!(hint.starts_with("did you mean `snare`? the items are: `forceps_rat`,"));
    let (_, _, hint) = refused("[cart.items]\npush = { carried = 1 }");
    assert!(hint.starts_with("the items are:"), "{hint}");
    let (line, what, _) = refused("[cart.items]\nnet = { carried = 1, expires = 3 }");
    assert_eq!(line, 2);
    assert_eq!(
        what,
        "`cart.items.net.expires` is no key that is known here"
    );
    let team = WHOLE.replace(
        "place = \"home\"\nminutes = 0",
        "place = \"home\"\nminuts = 0",
    );
    let (line, what, hint) = refused(&team);
    assert_eq!(line, 32);
    assert_eq!(
        what,
        "`minuts` of team 1 of scenario 2 is no key that is known here"
    );
    assert!(hint.starts_with("did you mean `minutes`? the keys of team 1 of scenario 2 are:"));
    let (_, what, _) = refused("\"Okafor, Ngozi\" = 1\n");
    assert_eq!(what, "`this key` is no key that is known here");
}

#[test]
fn each_number_has_a_range_with_both_ends_in_it() {
    for (table, key, low, high) in [
        ("calls", "merge_minutes", "0", "720"),
        ("calls", "wrap_up_minutes", "0", "720"),
        ("calls", "min_rest_hours", "0", "24"),
        ("cart", "lead_days", "1", "365"),
        ("cart", "service_level", "0.5", "0.9999"),
        ("simulation", "years", "1", "100000"),
        ("simulation", "seed", "0", "9223372036854775807"),
    ] {
        for number in [low, high] {
            let text = format!("[{table}]\n{key} = {number}");
            assert!(read(&text).is_ok(), "{text}");
        }
        let kind = if key == "service_level" {
            "is not a number"
        } else {
            "is not a whole number"
        };
        let expected = format!("`{table}.{key}` {kind} from {low} to {high}");
        for beyond in [
            "-1",
            "100001.5",
            "1e9",
            "nan",
            "inf",
            "\"60\"",
            "true",
            "[]",
            "{}",
            "99999999999999999999",
        ] {
            let text = format!("[{table}]\n\n{key} = {beyond}");
            let (line, what, _) = refused(&text);
            assert_eq!((line, what.as_str()), (3, expected.as_str()), "{text}");
        }
    }
    for (text, key) in [
        ("[calls]\nmerge_minutes = 721", "calls.merge_minutes"),
        ("[calls]\nwrap_up_minutes = 721", "calls.wrap_up_minutes"),
        ("[calls]\nmin_rest_hours = 25", "calls.min_rest_hours"),
        ("[cart]\nlead_days = 0", "cart.lead_days"),
        ("[cart]\nlead_days = 366", "cart.lead_days"),
        ("[cart]\nservice_level = 0.49", "cart.service_level"),
        ("[cart]\nservice_level = 1", "cart.service_level"),
        ("[simulation]\nyears = 0", "simulation.years"),
        ("[simulation]\nyears = 100_001", "simulation.years"),
        (
            "[cart.items]\nnet = { carried = 1000 }",
            "cart.items.net.carried",
        ),
        (
            "[cart.items]\nnet = { carried = -1 }",
            "cart.items.net.carried",
        ),
        (
            "[cart.items]\nnet = { carried = 1, shelf_life_days = 0 }",
            "cart.items.net.shelf_life_days",
        ),
        (
            "[cart.items]\nnet = { carried = 1, shelf_life_days = 7301 }",
            "cart.items.net.shelf_life_days",
        ),
    ] {
        let (line, what, _) = refused(text);
        assert_eq!(line, 2, "{text}");
        assert!(what.starts_with(&format!("`{key}` is not a")), "{what}");
    }
}

#[test]
fn a_night_is_a_stretch_from_one_time_to_another() {
    for night in [
        "\"22:00\"",
        "\"22-07\"",
        "\"22:00-22:00\"",
        "\"22:00-25:00\"",
        "\"08:00-07:59\"",
        "\"16:00-08:01\"",
        "22",
    ] {
        let (line, what, hint) = refused(&format!("[calls]\nnight = {night}"));
        assert_eq!(line, 2);
        assert!(what.starts_with("`calls.night` is not a"), "{what}");
        assert!(hint.contains("22:00-07:00"));
    }
}

#[test]
fn a_word_is_one_of_a_list() {
    let (line, what, hint) = refused("[simulation]\narrivals = \"fited\"");
    assert_eq!(line, 2);
    assert_eq!(what, "`simulation.arrivals` is no word that is known here");
    assert_eq!(
        hint,
        "did you mean `fitted`? the words are: `fitted`, `weeks`"
    );
    let (_, what, hint) = refused(&WHOLE.replace("\"in_house\"", "\"In-House\""));
    assert_eq!(
        what,
        "`place` of team 1 of scenario 1 is no word that is known here"
    );
    assert!(hint.starts_with("did you mean `in_house`?"));
    let (_, what, _) = refused(&WHOLE.replace("place = \"in_house\"", "place = 1"));
    assert_eq!(
        what,
        "`place` of team 1 of scenario 1 is not a text in quotes"
    );
}

#[test]
fn what_is_no_toml_says_so() {
    let (line, what, _) = refused("calls = 1\n");
    assert_eq!((line, what.as_str()), (1, "`calls` is not a table"));
    let (line, what, _) = refused("[cart]\nitems = 3\n");
    assert_eq!((line, what.as_str()), (2, "`cart.items` is not a table"));
    let (line, what, _) = refused("[cart.items]\nnet = 3\n");
    assert_eq!(
        (line, what.as_str()),
        (2, "`cart.items.net` is not a table in braces")
    );
    let (_, what, hint) = refused("[cart.items]\nnet = {}\n");
    assert_eq!(what, "`[cart.items.net]` has no `carried`");
    assert!(hint.contains("net = { carried = 3"));
    let (_, what, hint) = refused("[calls]\nmerge_minutes = \n");
    assert!(what.starts_with("line 2, column "), "{what}");
    assert!(hint.contains("every key may be left out"));
    let (_, what, _) = refused("[calls]\nmerge_minutes = 1\nmerge_minutes = 2\n");
    assert!(what.starts_with("line 3, column "), "{what}");
    let (line, fault) = plan(b"[calls]\n\xff\xfe = 1\n").expect_err("no text");
    assert_eq!(line, Some(2));
    assert_eq!(fault.what, "holds bytes that are not UTF-8 text");
    let folder = tempfile::tempdir().expect("a folder");
    for path in [folder.path().to_path_buf(), folder.path().join("none.toml")] {
        let error = read_plan(&path).expect_err("nothing to read");
        assert!(matches!(error, IngestError::Unreadable { .. }));
    }
}

#[test]
fn the_file_is_kept_for_its_hash_and_named_in_its_faults() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("duty.toml");
    std::fs::write(&path, WHOLE).expect("a file");
    let file = read_plan(&path).expect("a plan");
    assert_eq!(file.bytes, WHOLE.as_bytes());
    assert_eq!(file.plan, read(WHOLE).expect("a plan"));
    std::fs::write(&path, "[calls]\nmerge_minutes = 721\n").expect("a file");
    let error = read_plan(&path).expect_err("a fault");
    let words = error.to_string();
    assert!(
        words.ends_with(
            "duty.toml`, line 2: `calls.merge_minutes` is not a whole number from 0 to 720"
        ),
        "{words}"
    );
    assert!(error.hint().contains("60 without this key"));
}

proptest::proptest! {
    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..200)) {
        let _ = plan(&bytes);
    }

    /// Damage at any place of a plan is a plan or a fault, and never a panic.
    #[test]
    fn no_damage_panics(place in 0..WHOLE.len(), byte in proptest::prelude::any::<u8>(), cut in 0..9_usize) {
        let mut bytes = WHOLE.as_bytes().to_vec();
        bytes[place] = byte;
        bytes.drain(place..(place + cut).min(WHOLE.len()));
        let _ = plan(&bytes);
    }
}
