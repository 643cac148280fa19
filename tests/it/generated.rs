//! Made-up records for comparing engines: every code, a null in every column that may be null, and
//! times at and one minute beside every limit of `sql/interval_limits.csv` and of the windows.
//!
//! They are not lifelike. Lifelike records would hardly ever touch the edges where engines differ.

use crate::records::{Records, Row};
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use scopetally::domain::fields::{CaseField, Field, Kind, PassField};

/// Cases of one seed.
const CASES: usize = 2500;
const SEED: u64 = 20_260_901;
const LIMITS: &str = include_str!("../../sql/interval_limits.csv");
const WINDOW_LIMITS: [i64; 4] = [0, 720, 1440, 43_200];

/// Numbers about bleeds: days at and one beside every limit of a measure, and any three of others.
const NUMBERS_OF_BLEEDS: &[(&str, &[i64])] = &[
    ("transfused_units", &[0, 1, 2]),
    ("followed_days", &[2, 3, 4, 6, 7, 8, 29, 30, 31]),
    ("rebleed_days", &[0, 2, 3, 4, 6, 7, 8, 29, 30, 31]),
    ("death_days", &[0, 2, 3, 4, 6, 7, 8, 29, 30, 31]),
    ("urea_umol_l", &[6_499, 6_500, 25_000]),
    ("hemoglobin_mg_dl", &[9_999, 12_000, 13_000]),
    ("albumin_mg_dl", &[2_999, 3_000, 4_000]),
    ("inr_thousandths", &[1_500, 1_501, 3_000]),
    ("systolic_mmhg", &[89, 90, 100]),
    ("pulse_bpm", &[99, 100, 110]),
    ("exported_glasgow_blatchford", &[0, 9, 23]),
    ("exported_rockall", &[0, 7, 11]),
    ("exported_aims65", &[0, 2, 5]),
    ("exported_oakland", &[0, 8, 35]),
    ("glasgow_blatchford_low", &[0, 9, 19]),
    ("glasgow_blatchford_high", &[1, 9, 23]),
    ("rockall_low", &[0, 4, 11]),
    ("rockall_high", &[2, 7, 11]),
    ("aims65_low", &[0, 2, 5]),
    ("aims65_high", &[1, 3, 5]),
    ("oakland_low", &[0, 8, 23]),
    ("oakland_high", &[6, 23, 35]),
];

/// The minutes from one column to another that are worth trying.
pub(crate) struct Interval {
    pub(crate) from: &'static str,
    pub(crate) to: &'static str,
    pub(crate) edges: Vec<i64>,
}

/// The same records at every run.
pub(crate) fn records() -> Records {
    let (cases, passes) = rows(SEED);
    Records::new(&cases, &passes)
}

/// Cases and passes, the same for the same seed.
pub(crate) fn rows(seed: u64) -> (Vec<Row>, Vec<Row>) {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let intervals = intervals();
    let (mut cases, mut passes) = (Vec::new(), Vec::new());
    for number in 0..CASES {
        let case_id = format!("case {number}");
        let mut case = case(&mut rng, &intervals);
        case.insert("case_id".into(), case_id.clone());
        // Without a draw, so that the other values stay as they are.
        if number % 10 != 0 {
            case.insert("hour".into(), (number % 24).to_string());
        }
        cases.push(case);
        // A third of the cases without a pass, and many with one only.
        let pass_count: i64 = *[0, 0, 0, 1, 1, 2, 3, 4, 6].choose(&mut rng).unwrap();
        for pass_number in 1..=pass_count {
            let mut pass = coded::<PassField>(&mut rng);
            pass.insert("case_id".into(), case_id.clone());
            if rng.random_bool(0.95) {
                pass.insert("pass_number".into(), pass_number.to_string());
            }
            // Else nearly no case would keep to one device.
            if let Some(device) = passes.last().and_then(|pass: &Row| pass.get("device"))
                && rng.random_bool(0.6)
            {
                pass.insert("device".into(), device.clone());
            }
            // Else hardly any food would be pushed first.
            if pass_number == 1 && rng.random_bool(0.2) {
                pass.insert("device".into(), "push".into());
            }
            passes.push(pass);
        }
    }
    (cases, passes)
}

/// The intervals of `sql/interval_limits.csv`.
pub(crate) fn intervals() -> Vec<Interval> {
    let column = |name: &str| CaseField::named(name).unwrap().column();
    let limits = LIMITS.lines().skip(1).map(|line| {
        let cells: Vec<_> = line.split(',').collect();
        let limits = cells[2..].iter().map(|cell| cell.parse::<i64>().unwrap());
        Interval {
            from: column(cells[0]),
            to: column(cells[1]),
            edges: limits
                .flat_map(|limit| [limit - 1, limit, limit + 1])
                .collect(),
        }
    });
    limits.collect()
}

fn case(rng: &mut ChaCha8Rng, intervals: &[Interval]) -> Row {
    let mut case = coded::<CaseField>(rng);
    for (column, values) in [
        ("site", ["Alder", "Birch", "Cedar"]),
        ("month", ["2025-12", "2026-01", "2026-02"]),
        ("record_version", ["1", "2", "3"]),
        ("amended_minute", ["29400000", "29443211", "0"]),
        ("overtube_pass", ["1", "3", "4"]),
        ("window_minutes", ["119", "360", "1440"]),
        ("object_length_mm", ["1", "60", "61"]),
        ("object_width_mm", ["20", "25", "26"]),
        (
            "window_id",
            ["first_window", "second_window", "third_window"],
        ),
    ] {
        set(
            &mut case,
            column,
            rng.random_bool(0.9).then(|| values[rng.random_range(0..3)]),
        );
    }
    let preferred = match case.get("window_id").map(String::as_str) {
        Some("first_window") => Some("60"),
        Some("second_window") => Some("120"),
        Some(_) => Some("300"),
        None => None,
    };
    set(&mut case, "preferred_minutes", preferred);
    for (column, numbers) in NUMBERS_OF_BLEEDS {
        let number = numbers.choose(rng).unwrap().to_string();
        set(&mut case, column, rng.random_bool(0.6).then_some(&number));
    }
    // Minute 0 as in the elapsed form, or minutes since 1970 as in the clock form.
    let called = *[0, 29_400_000, 29_443_211].choose(rng).unwrap();
    let mut minutes = vec![("called_minute", called)];
    for interval in intervals {
        let length = minutes_near(rng, &interval.edges);
        let known = |wanted| minutes.iter().find(|(column, _)| *column == wanted);
        if let Some((_, from)) = known(interval.from).copied()
            && (known(interval.to).is_none() || rng.random_bool(0.3))
        {
            minutes.retain(|(column, _)| *column != interval.to);
            minutes.push((interval.to, from + length));
        } else if let Some((_, to)) = known(interval.to).copied()
            && known(interval.from).is_none()
        {
            minutes.push((interval.from, to - length));
        }
    }
    if let Some((_, scope_in)) = minutes
        .iter()
        .find(|(column, _)| *column == "scope_in_minute")
    {
        let window = case
            .get("window_minutes")
            .map_or(0, |cell| cell.parse().unwrap());
        let preferred = preferred.map_or(0, |minutes| minutes.parse().unwrap());
        let edges = WINDOW_LIMITS.into_iter().chain([window, window, preferred]);
        let edges: Vec<_> = edges.collect();
        let beside = edges.choose(rng).unwrap() + rng.random_range(-1..=1);
        minutes.push(("window_start_minute", scope_in - beside));
    }
    let is_over_early = case
        .get("outcome")
        .is_some_and(|outcome| ["cancelled", "transferred"].contains(&outcome.as_str()));
    for (column, minute) in minutes {
        let share_of_nulls = match column {
            "scope_in_minute" | "team_minute" | "cart_minute" if is_over_early => 0.7,
            _ => 0.1,
        };
        if !rng.random_bool(share_of_nulls) {
            case.insert(column.into(), minute.to_string());
        }
    }
    case
}

fn minutes_near(rng: &mut ChaCha8Rng, edges: &[i64]) -> i64 {
    if rng.random_bool(0.5) {
        *edges.choose(rng).unwrap()
    } else {
        rng.random_range(0..200)
    }
}

/// A random code, or null, in every coded column.
fn coded<F: Field>(rng: &mut ChaCha8Rng) -> Row {
    let mut row = Row::new();
    for field in F::ALL {
        if let Kind::Code(list) = field.kind() {
            let word = list.words.choose(rng).unwrap();
            set(
                &mut row,
                field.column(),
                rng.random_bool(0.9).then_some(word.code),
            );
        }
    }
    row
}

fn set(row: &mut Row, column: &str, cell: Option<&str>) {
    if let Some(cell) = cell {
        row.insert(column.into(), cell.into());
    }
}
