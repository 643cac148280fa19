//! Guideline windows as data: which urgency and how many minutes a case has, by the first row of
//! `sql/urgency_windows.csv` that fits it. A row that asks for a value never fits a case without it,
//! so an unrecorded obstruction is "not assignable" and never the laxer window.

use crate::domain::codes::{ObjectLocation, ObjectType, Urgency, YesNo};
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::window::GuidelineWindow;

const TABLE: &str = include_str!("../../sql/urgency_windows.csv");

/// One row of the table that is switched on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Window {
    /// What a reader sees of it.
    pub(super) words: GuidelineWindow,
    population: Population,
    presentation: Condition,
    object_type: Condition,
    object_location: Condition,
    obstruction: Condition,
    sharp: Condition,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Population {
    /// 18 years and over.
    Adult,
    /// Under 18 years.
    Child,
}

/// The codes that fit; `None` for any, recorded or not.
type Condition = Option<Vec<String>>;

/// What the windows look at.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Traits<'a> {
    pub(super) age_years: Option<i64>,
    pub(super) presentation: Option<&'a str>,
    pub(super) object_type: Option<&'a str>,
    pub(super) object_location: Option<&'a str>,
    pub(super) obstruction: Option<&'a str>,
    pub(super) sharp: Option<&'a str>,
}

/// Age from which the windows for adults hold.
pub(super) const ADULT_YEARS: i64 = 18;

/// The rows of the built-in table that are switched on, in order.
pub(super) fn built_in() -> Vec<Window> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

/// The windows in words, in the order in which they are tried.
pub fn guideline_windows() -> Vec<GuidelineWindow> {
    built_in().into_iter().map(|window| window.words).collect()
}

/// The first window that fits; `None` when none does.
pub(super) fn first_fit<'a>(windows: &'a [Window], traits: Traits<'_>) -> Option<&'a Window> {
    let population = traits.age_years.map(|age| {
        if age >= ADULT_YEARS {
            Population::Adult
        } else {
            Population::Child
        }
    })?;
    // Guidelines count these classes as sharp-pointed; they stand in where nobody ticked the flag.
    let sharp_classes = [ObjectType::SharpObject.code(), ObjectType::FishBone.code()];
    let of_sharp_class = || {
        traits
            .object_type
            .filter(|class| sharp_classes.contains(class))
    };
    let sharp = traits
        .sharp
        .or_else(|| of_sharp_class().map(|_| YesNo::Yes.code()));
    windows.iter().find(|window| {
        window.population == population
            && fits(&window.presentation, traits.presentation)
            && fits(&window.object_type, traits.object_type)
            && fits(&window.object_location, traits.object_location)
            && fits(&window.obstruction, traits.obstruction)
            && fits(&window.sharp, sharp)
    })
}

fn fits(condition: &Condition, value: Option<&str>) -> bool {
    match (condition, value) {
        (None, _) => true,
        (Some(codes), Some(value)) => codes.iter().any(|code| code == value),
        (Some(_), None) => false,
    }
}

/// Reads the table; the error names line and column.
fn parse(table: &str) -> Result<Vec<Window>, String> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?.clone();
    let mut windows = Vec::new();
    for (index, row) in reader.records().enumerate() {
        let row = row.map_err(|error| error.to_string())?;
        let cell = |name: &str| {
            header
                .iter()
                .position(|heading| heading == name)
                .and_then(|place| row.get(place))
                .ok_or_else(|| format!("line {}: no column `{name}`", index + 2))
        };
        let wrong = |name: &str| format!("line {}: `{name}` is not a word of the list", index + 2);
        let condition = |name: &str| -> Result<Condition, String> {
            let words = cell(name)?;
            Ok((words != "any").then(|| words.split(' ').map(String::from).collect()))
        };
        if cell("on")? != "yes" {
            continue;
        }
        let hours: i64 = cell("hours")?.parse().map_err(|_| wrong("hours"))?;
        let urgency = cell("urgency")?;
        let urgency = Urgency::ALL.iter().find(|known| known.code() == urgency);
        let conditions = CONDITIONS
            .iter()
            .map(|field| condition(field.name()))
            .collect::<Result<Vec<_>, _>>()?;
        let population = match cell("population")? {
            "adult" => Population::Adult,
            "child" => Population::Child,
            _ => return Err(wrong("population")),
        };
        let words = GuidelineWindow {
            id: cell("id")?.to_string(),
            applies_to: applies_to(population, &conditions),
            urgency: *urgency.ok_or_else(|| wrong("urgency"))?,
            minutes: hours * 60,
            source: format!("{} {}", cell("society")?, cell("year")?),
            status: cell("status")?.to_string(),
            note: cell("note")?.to_string(),
        };
        let [
            presentation,
            object_type,
            object_location,
            obstruction,
            sharp,
        ] = <[Condition; 5]>::try_from(conditions).expect("one condition for each of five fields");
        windows.push(Window {
            words,
            population,
            presentation,
            object_type,
            object_location,
            obstruction,
            sharp,
        });
    }
    Ok(windows)
}

/// Columns of the table that are conditions on a field of the same name.
const CONDITIONS: [CaseField; 5] = [
    CaseField::Presentation,
    CaseField::ObjectType,
    CaseField::ObjectLocation,
    CaseField::Obstruction,
    CaseField::Sharp,
];

/// `adults; food impaction; complete obstruction`.
fn applies_to(population: Population, conditions: &[Condition]) -> String {
    let population = match population {
        Population::Adult => "adults",
        Population::Child => "children",
    };
    let mut parts = vec![population.to_string()];
    for (field, condition) in CONDITIONS.iter().zip(conditions) {
        let Some(codes) = condition else { continue };
        // A row for the whole esophagus lists all its levels; a reader needs the one word.
        let is_whole = codes
            .iter()
            .any(|code| code == ObjectLocation::Esophagus.code());
        let labels: Vec<_> = codes
            .iter()
            .filter(|code| !(is_whole && code.ends_with("_esophagus")))
            .map(|code| match code.as_str() {
                whole if whole == ObjectLocation::Esophagus.code() => whole,
                code => value_label(field.column(), code),
            })
            .collect();
        let labels = labels.join(" or ");
        parts.push(match field {
            CaseField::Sharp => format!("sharp: {labels}"),
            _ => labels,
        });
    }
    parts.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::{Obstruction, Presentation};

    #[track_caller]
    fn check(traits: Traits<'_>, expected: Option<(&str, i64)>) {
        let windows = built_in();
        let found = first_fit(&windows, traits)
            .map(|window| (window.words.id.as_str(), window.words.minutes));
        assert_eq!(found, expected);
    }

    fn food(obstruction: Option<&'static str>) -> Traits<'static> {
        Traits {
            age_years: Some(54),
            presentation: Some("food_impaction"),
            object_type: Some("food_bolus"),
            obstruction,
            ..Traits::default()
        }
    }

    #[test]
    fn food_goes_by_the_obstruction_and_an_unrecorded_one_is_never_the_laxer_window() {
        check(
            food(Some("complete")),
            Some(("complete_obstruction_food", 360)),
        );
        check(food(Some("partial")), Some(("food_not_complete", 1440)));
        check(food(None), None);
        check(
            Traits {
                age_years: None,
                ..food(Some("complete"))
            },
            None,
        );
        check(
            Traits {
                age_years: Some(11),
                ..food(Some("complete"))
            },
            None,
        );
    }

    #[test]
    fn objects_go_by_place_class_and_sharpness() {
        let object = |object_type, object_location, obstruction, sharp| Traits {
            age_years: Some(30),
            presentation: Some("foreign_body"),
            object_type: Some(object_type),
            object_location,
            obstruction,
            sharp,
        };
        let esophagus = Some("upper_esophagus");
        check(
            object("disc_battery", esophagus, None, None),
            Some(("battery_esophagus", 360)),
        );
        check(
            object("fish_bone", esophagus, None, None),
            Some(("sharp_object_esophagus", 360)),
        );
        check(
            object("dental", esophagus, None, Some("yes")),
            Some(("sharp_object_esophagus", 360)),
        );
        check(object("fish_bone", esophagus, None, Some("no")), None);
        check(object("dental", esophagus, Some("none"), None), None);
        check(
            object("coin", esophagus, Some("none"), Some("no")),
            Some(("object_esophagus_not_obstructing", 1440)),
        );
        check(object("coin", None, Some("none"), Some("no")), None);
        check(
            object("magnet", Some("stomach"), None, None),
            Some(("magnet_stomach", 1440)),
        );
    }

    #[test]
    fn a_window_reads_as_words() {
        let words = guideline_windows();
        let find = |id: &str| {
            words
                .iter()
                .find(|window| window.id == id)
                .expect("a window")
        };
        let battery = find("battery_esophagus");
        assert_eq!(
            battery.applies_to,
            "adults; foreign body; disc battery or cylindrical battery; esophagus"
        );
        assert_eq!(
            (battery.minutes, battery.source.as_str()),
            (360, "ESGE 2016")
        );
        let bone = find("sharp_bone_in_food");
        assert_eq!(bone.applies_to, "adults; food impaction; sharp: yes");
    }

    #[test]
    fn every_word_of_the_table_is_a_code() {
        let lists = [
            ("presentation", Presentation::LIST),
            ("object_type", ObjectType::LIST),
            ("object_location", ObjectLocation::LIST),
            ("obstruction", Obstruction::LIST),
            ("sharp", YesNo::LIST),
        ];
        let mut reader = csv::Reader::from_reader(TABLE.as_bytes());
        let header = reader.headers().expect("a header").clone();
        for row in reader.records() {
            let row = row.expect("a row");
            for (name, list) in lists {
                let place = header
                    .iter()
                    .position(|heading| heading == name)
                    .expect(name);
                for word in row[place].split(' ').filter(|word| *word != "any") {
                    assert!(list.position(word).is_some(), "{word} is no {name}");
                }
            }
            let place = |name: &str| {
                header
                    .iter()
                    .position(|heading| heading == name)
                    .expect(name)
            };
            let (on, status) = (&row[place("on")], &row[place("status")]);
            assert!(
                on == "no" || ["verified", "secondary"].contains(&status),
                "{}",
                &row[0]
            );
        }
        assert!(parse(TABLE).is_ok());
    }
}
