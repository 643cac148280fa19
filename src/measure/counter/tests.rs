use super::*;
use crate::domain::fields::{Kind, PassField};
use crate::measure::built_in;
use crate::measure::engine::tests::records;
use proptest::prelude::*;

const TWO: NonZeroUsize = NonZeroUsize::new(2).unwrap();
const HARM: [&str; 2] = ["adverse_event", "perforation"];

/// A draw that decides which of a few values a cell holds, and whether it holds one.
fn value(kind: Kind, draw: u32) -> Option<String> {
    let place = draw as usize / 4;
    match kind {
        _ if draw.is_multiple_of(4) => None,
        Kind::Code(list) => Some(list.words[place % list.words.len()].code.to_owned()),
        Kind::Month => Some(format!("2026-0{}", 1 + place % 4)),
        Kind::Text => Some(["Alder", "Birch", "not_recorded"][place % 3].to_owned()),
        _ => Some((place % 97).to_string()),
    }
}

/// Cases with up to three passes each, every cell drawn.
fn drawn(draws: &[(u32, u32)]) -> (Vec<RecordBatch>, Vec<RecordBatch>) {
    let (mut cases, mut passes) = (Vec::new(), Vec::new());
    for (number, (seed, passes_of_case)) in draws.iter().enumerate() {
        let id = format!("case {number}");
        let cell = |place: u32, column: &'static str, kind| {
            // A cheap way to make one draw many that differ.
            let mixed = seed.wrapping_mul(2_654_435_761).rotate_left(place % 31);
            (column, value(kind, mixed ^ place.wrapping_mul(40_503)))
        };
        let mut cells: Vec<_> = CaseField::ALL
            .iter()
            .map(|field| cell(place_of(*field), field.column(), field.kind()))
            .collect();
        set(&mut cells, "case_id", &id);
        set(&mut cells, "called_minute", &(seed % 1000).to_string());
        set(
            &mut cells,
            "month",
            &format!("2026-0{}", 1 + seed % 1000 / 250),
        );
        cases.push(batch::<CaseField>(&cells));
        for pass in 0..passes_of_case % 4 {
            let mut cells: Vec<_> = PassField::ALL
                .iter()
                .map(|field| cell(place_of(*field) + 7 * pass, field.column(), field.kind()))
                .collect();
            set(&mut cells, "case_id", &id);
            set(&mut cells, "pass_number", &(pass + 1).to_string());
            passes.push(batch::<PassField>(&cells));
        }
    }
    (cases, passes)
}

fn place_of<F: Field>(field: F) -> u32 {
    u32::try_from(field.index()).unwrap()
}

fn set(cells: &mut [(&'static str, Option<String>)], column: &str, value: &str) {
    for cell in cells.iter_mut().filter(|cell| cell.0 == column) {
        cell.1 = Some(value.to_owned());
    }
}

fn batch<F: Field>(cells: &[(&'static str, Option<String>)]) -> RecordBatch {
    let known = cells
        .iter()
        .filter_map(|(column, value)| Some((0, *column, value.as_deref()?)));
    records::<F>(1, &known.collect::<Vec<_>>())
}

fn counted(
    (cases, passes): &(Vec<RecordBatch>, Vec<RecordBatch>),
    at_once: usize,
) -> (CountTables, BTreeMap<String, EventSequence>) {
    let mut counter = Counter::of_chunks(&built_in(), &HARM, TWO, at_once);
    counter.add_all(cases, passes);
    let last_month = "2026-03".parse().ok();
    counter
        .finish()
        .tables(&Exposure::default(), last_month)
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3))]

    #[test]
    fn counts_of_chunks_add_up_to_those_of_all_cases(
        draws in prop::collection::vec((any::<u32>(), any::<u32>()), 8..16),
    ) {
        let mut drawn = drawn(&draws);
        let whole = counted(&drawn, usize::MAX);
        prop_assert!(!whole.0.passes.is_empty());
        for at_once in [1, 7] {
            prop_assert!(counted(&drawn, at_once) == whole, "{at_once} at once");
        }
        // The passes of a chunk are found wherever they stand.
        drawn.1.reverse();
        prop_assert!(counted(&drawn, 7).0 == whole.0);
    }
}

#[test]
fn a_measure_that_compares_cases_sees_all_of_them() {
    let mut definition = built_in().remove(0);
    definition.id = "first_of_all".to_owned();
    definition.kind = MeasureKind::Share;
    definition.sql = "select cases.case_id as case_id, 1 as eligible, \
        case when called_minute = firsts.first then 1 else 0 end as hit \
        from cases join (select month, min(called_minute) as first from cases group by month) \
        as firsts on cases.month = firsts.month"
        .to_owned();
    let drawn = drawn(&[(5, 0), (4, 0), (9, 0)]);
    let mut counter = Counter::new(&[definition.clone()], &[], TWO);
    for cases in drawn.0 {
        counter.add(cases, None);
    }
    let (tables, _) = counter.finish().tables(&Exposure::default(), None).unwrap();
    let key = crate::domain::counts::Key::of_all(&definition, None);
    let count = tables.shares[&key];
    assert_eq!((count.eligible, count.hit), (3, 1));
}

#[test]
fn the_text_of_a_case_number_can_be_asked_for() {
    let mut definition = built_in().remove(0);
    definition.kind = MeasureKind::Share;
    definition.sql = "select case_id, site, 1 as eligible, \
        case when case_id = 'case 1' then 1 else 0 end as hit from cases where case_id <> 'case 0'"
        .to_owned();
    let mut counter = Counter::of_chunks(&[definition.clone()], &[], TWO, 2);
    let drawn = drawn(&[(5, 0), (4, 0), (9, 0)]);
    counter.add_all(&drawn.0, &drawn.1);
    let (tables, _) = counter.finish().tables(&Exposure::default(), None).unwrap();
    let key = crate::domain::counts::Key::of_all(&definition, None);
    let count = tables.shares[&key];
    assert_eq!((count.eligible, count.hit), (2, 1));
}

#[test]
fn a_number_that_stands_twice_is_found_in_any_order() {
    assert!(!has_repeats(&[]) && !has_repeats(&[1, 2, 5]) && !has_repeats(&[5, 1, 2]));
    assert!(has_repeats(&[1, 1]) && has_repeats(&[5, 1, 5]));
}
