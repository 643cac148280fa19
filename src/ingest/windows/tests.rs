use super::table::parse;
use super::*;
use crate::domain::fields::Field;
use std::collections::BTreeSet;

const TABLE: &str = include_str!("../../../sql/urgency_windows.csv");

/// Cases by hand: what is known of each, what a site switched on, and the window that fits.
const CASES: &str = include_str!("../../../tests/data/windows/cases.csv");

/// The windows of a site that switched on these.
fn with(on: &str) -> Windows {
    let built_in = built_in().into_iter();
    let chosen = built_in.map(|window| {
        let is_switched_on = on.split(' ').any(|id| id == window.window.words.id);
        window.chosen(is_switched_on.then_some(true))
    });
    Windows::new(chosen.collect())
}

fn id_and_minutes(window: Option<&Window>) -> (&str, Option<i64>) {
    window.map_or(("", None), |window| {
        let length = window.words.length;
        let minutes = length.map(crate::domain::window::WindowLength::longest_minutes);
        (window.words.id.as_str(), minutes)
    })
}

#[test]
fn cases_have_the_window_that_a_reader_of_the_guidelines_gives_them() {
    let mut reader = csv::Reader::from_reader(CASES.as_bytes());
    let header = reader.headers().unwrap().clone();
    let mut wrong = Vec::new();
    let mut tried = BTreeSet::new();
    for row in reader.records() {
        let row = row.unwrap();
        let cell = |name: &str| {
            let place = header.iter().position(|heading| heading == name);
            Some(&row[place.expect(name)]).filter(|cell| !cell.is_empty())
        };
        let number = |name| cell(name).map(|cell| cell.parse::<i64>().unwrap());
        let traits = Traits {
            age_years: number("age_years"),
            codes: CODED.map(|(field, list)| {
                let code = cell(field.name());
                assert!(code.is_none_or(|code| list.position(code).is_some()));
                code
            }),
            length_mm: number("length_mm"),
            width_mm: number("width_mm"),
        };
        let windows = with(cell("on").unwrap_or_default());
        let found = id_and_minutes(windows.first_fit(&traits));
        let id = cell("id").unwrap_or_default();
        if found != (id, number("longest_minutes")) {
            wrong.push(format!("{}: {found:?}", &row[0]));
        }
        tried.insert(id.to_string());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for window in built_in() {
        let id = window.window.words.id;
        assert!(tried.contains(&id), "no case by hand for `{id}`");
    }
}

/// Some case that a window is for, by its own conditions.
fn case_of(conditions: &Conditions) -> Traits<'static> {
    let within = |bounds: Bounds| bounds.from.or(bounds.under.map(|under| under - 1));
    let codes = CODED.map(|(field, _)| {
        let place = CODED.iter().position(|(coded, _)| *coded == field);
        let codes = conditions.codes[place.unwrap()].as_ref();
        codes.map(|codes| *codes.last().unwrap())
    });
    Traits {
        age_years: within(conditions.age_years).or(match conditions.population {
            Population::Adult => Some(40),
            Population::Child => Some(10),
            Population::Any => None,
        }),
        codes,
        length_mm: within(conditions.length_mm),
        width_mm: within(conditions.width_mm),
    }
}

#[test]
fn every_row_is_reached_by_a_case_that_has_just_what_it_asks_for() {
    for window in built_in() {
        let id = window.window.words.id;
        let windows = with(&id);
        let case = case_of(&window.window.conditions);
        assert_eq!(id_and_minutes(windows.first_fit(&case)).0, id);
    }
}

#[test]
fn a_row_never_fits_a_case_without_a_value_that_it_asks_for() {
    for window in built_in() {
        let windows = Windows::new(vec![window.window.clone()]);
        let whole = case_of(&window.window.conditions);
        assert!(windows.first_fit(&whole).is_some());
        let mut without_age = whole;
        without_age.age_years = None;
        assert!(windows.first_fit(&without_age).is_none());
        for (place, (field, _)) in CODED.iter().enumerate() {
            let mut without = whole;
            without.codes[place] = None;
            let is_asked_for = window.window.conditions.codes[place].is_some();
            // A class that counts as sharp stands in for the flag.
            let stands_in = *field == CaseField::Sharp
                && SHARP_CLASSES
                    .iter()
                    .any(|class| whole.codes[1] == Some(class.code()));
            let is_lost = is_asked_for && !stands_in;
            let id = &window.window.words.id;
            assert_eq!(
                windows.first_fit(&without).is_none(),
                is_lost,
                "{id} without {}",
                field.name()
            );
        }
    }
}

/// Every combination of values of the fields that decide between windows.
fn many_cases() -> Vec<Traits<'static>> {
    let values = |place: usize| -> Vec<Option<&'static str>> {
        let words = CODED[place].1.words.iter();
        words.map(|word| Some(word.code)).chain([None]).collect()
    };
    let mut cases = Vec::new();
    for age_years in [Some(4), Some(5), Some(17), Some(18), None] {
        for presentation in values(0) {
            for object_type in values(1) {
                for object_location in values(2) {
                    for obstruction in values(3) {
                        for symptoms in values(5) {
                            for width_mm in [Some(19), Some(20), Some(25), None] {
                                cases.push(Traits {
                                    age_years,
                                    codes: [
                                        presentation,
                                        object_type,
                                        object_location,
                                        obstruction,
                                        Some("no"),
                                        symptoms,
                                        None,
                                    ],
                                    length_mm: None,
                                    width_mm,
                                });
                            }
                        }
                    }
                }
            }
        }
    }
    cases
}

/// A flag that nobody ticked is no flag (sharp, varices), and a class stands in for sizes; all else
/// that is unknown must not give more time than it would if it were known.
#[test]
fn what_is_unknown_never_gives_the_laxer_window() {
    let windows = Windows::by_default();
    // Without any window nothing is judged.
    let lax = |window: Option<&Window>| {
        window.map(|window| {
            window
                .words
                .length
                .map_or(i64::MAX, |length| length.minutes)
        })
    };
    for case in many_cases() {
        let Some(given) = lax(windows.first_fit(&case)) else {
            continue;
        };
        for place in [2, 3, 5] {
            if case.codes[place].is_some() {
                continue;
            }
            for word in CODED[place].1.words {
                let mut known = case;
                known.codes[place] = Some(word.code);
                if let Some(least) = lax(windows.first_fit(&known)) {
                    assert!(given <= least, "{case:?} with {}", word.code);
                }
            }
        }
        assert!(
            case.age_years.is_some(),
            "a window without an age: {case:?}"
        );
    }
}

/// What the bits must say, told with texts: the same rule, written a second time.
fn fits_by_text(conditions: &Conditions, traits: &Traits<'_>) -> bool {
    let population = match conditions.population {
        Population::Any => true,
        Population::Adult => traits.age_years.is_some_and(|age| age >= 18),
        Population::Child => traits.age_years.is_some_and(|age| age < 18),
    };
    let codes = conditions.codes.iter().zip(traits.codes);
    let is_large = |class| traits.codes[1] == Some(class);
    population
        && codes.into_iter().all(|(codes, value)| match codes {
            None => true,
            Some(codes) => value.is_some_and(|value| codes.contains(&value)),
        })
        && conditions.age_years.hold(traits.age_years, false)
        && conditions.width_mm.hold(traits.width_mm, is_large("wide"))
        && conditions
            .length_mm
            .hold(traits.length_mm, is_large("long"))
}

#[test]
fn the_bits_say_what_the_words_say() {
    let windows = Windows::new(built_in().into_iter().map(|window| window.window).collect());
    for case in many_cases() {
        let by_text = windows
            .in_force
            .iter()
            .find(|window| fits_by_text(&window.conditions, &case));
        assert_eq!(windows.first_fit(&case), by_text, "{case:?}");
    }
}

#[test]
fn a_window_reads_as_words() {
    let words = |id: &str| {
        let mut windows = built_in().into_iter();
        let window = windows.find(|window| window.window.words.id == id);
        window.expect("a window").window.words
    };
    let battery = words("battery_esophagus");
    assert_eq!(
        battery.applies_to,
        "adults; foreign body; disc battery or cylindrical battery; esophagus"
    );
    assert_eq!(battery.source, "ESGE 2016");
    assert_eq!(
        words("sharp_bone_in_food").applies_to,
        "adults; food impaction; sharp: yes"
    );
    assert_eq!(
        words("child_large_battery_stomach").applies_to,
        "children; under 5 years; foreign body; disc battery; stomach; symptoms: no; 20 mm wide or wider"
    );
    assert_eq!(
        words("object_esophagus_not_obstructing").applies_to,
        "adults; foreign body; most kinds of blunt object; esophagus; partial obstruction or \
         no obstruction; sharp: no"
    );
}

#[test]
fn what_is_on_was_checked_and_what_was_not_checked_says_so() {
    let mut ids = BTreeSet::new();
    for window in built_in() {
        let words = window.window.words;
        let is_checked = ["verified", "secondary"].contains(&words.status.as_str());
        assert!(is_checked || words.status == "from memory", "{}", words.id);
        assert!(is_checked || !window.is_on, "{}", words.id);
        assert!(ids.insert(words.id));
    }
}

#[test]
fn switches_change_one_window_and_tell_of_it() {
    let switched = |is_on, switched| {
        let mut window = built_in().swap_remove(0);
        window.is_on = is_on;
        window.chosen(switched).words.choice
    };
    assert_eq!(switched(true, None), WindowChoice::Default);
    assert_eq!(switched(true, Some(true)), WindowChoice::Default);
    assert_eq!(switched(true, Some(false)), WindowChoice::SwitchedOff);
    assert_eq!(switched(false, Some(true)), WindowChoice::SwitchedOn);
    assert_eq!(switched(false, None), WindowChoice::OffByDefault);
    assert_eq!(switched(false, Some(false)), WindowChoice::OffByDefault);
}

#[test]
fn a_slip_in_the_table_is_told_with_its_line() {
    let row = |line: &str| {
        let (header, _) = TABLE.split_once('\n').unwrap();
        parse(&format!("{header}\n{line}\n")).map(|windows| windows.len())
    };
    let good = "x,yes,adult,,,foreign_body,coin,any,any,any,any,any,,,,,urgent,24,,yes,arrival,A,2026,verified,";
    assert_eq!(row(good), Ok(1));
    for (from, to, column) in [
        ("adult", "adults", "population"),
        ("coin", "koin", "object_type"),
        ("urgent", "soon", "urgency"),
        ("urgent", "no_window", "hours"),
        ("24,,yes", ",,", "hours"),
        ("24,,yes", "24,,perhaps", "inclusive"),
        ("24,,yes", "24,24,yes", "preferred_hours"),
        ("urgent,24,", "no_window,,2", "preferred_hours"),
        ("24", "a day", "hours"),
        ("arrival", "door", "clock_start"),
        ("x,yes", "x,1", "on"),
    ] {
        let fault = row(&good.replacen(from, to, 1)).expect_err(to);
        assert!(
            fault.starts_with("line 2") && fault.contains(column),
            "{fault}"
        );
    }
}
