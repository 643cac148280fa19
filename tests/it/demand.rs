//! Demand from records: of the sample, of its sites counted apart and added up, and of records that
//! bear no dates.

use crate::run::{Run, inputs, repository};
use scopetally::domain::counts::{Additive, CountTables};
use scopetally::findings::estimate::Settings;
use scopetally::findings::staffing::demand::{Demand, demand};
use scopetally::ingest::{Ingested, Mapping, ingest};
use scopetally::measure;
use std::path::Path;

fn read(directory: &Path) -> Ingested {
    let cases = [directory.join("cases.csv")];
    let inputs = inputs(&cases, &[]);
    let mapping = Mapping::read(&directory.join("mapping.toml")).unwrap();
    ingest(&inputs, &mapping).unwrap()
}

fn count(ingested: &Ingested) -> CountTables {
    let mut measures = measure::built_in();
    measures.retain(|measure| measure.id == "calls");
    measure::count(&ingested.cases, &[], &ingested.exposure, &measures).unwrap()
}

fn demand_of(counts: &CountTables, ingested: &Ingested) -> Demand {
    let (first, last) = ingested.observed.unwrap();
    let measures = measure::built_in();
    demand(counts, &measures, first, last, Settings::default()).unwrap()
}

#[test]
fn counts_of_sites_that_are_added_up_give_the_demand_of_all_records() {
    let directory = repository("sample_data");
    let whole = read(&directory);
    let of_all = demand_of(&count(&whole), &whole);
    assert_eq!(of_all.all.months.len(), 24);
    let names: Vec<_> = of_all
        .sites
        .iter()
        .filter_map(|site| site.site.clone())
        .collect();
    assert_eq!(names, ["Alder", "Birch", "Cedar"]);
    assert_eq!(of_all.without_site, 0);
    let calls: u64 = of_all.all.months.iter().map(|(_, rate)| rate.events).sum();
    assert_eq!(calls, whole.cases_accounting.accepted);
    let sums = of_all.sites.iter().flat_map(|site| &site.months);
    assert_eq!(sums.map(|(_, rate)| rate.events).sum::<u64>(), calls);

    let apart: Vec<_> = names
        .iter()
        .map(|site| count(&read(&directory).of_site(site)))
        .collect();
    assert_eq!(demand_of(&CountTables::sum(&apart), &whole), of_all);
}

/// The worked number: 24 calls in 12 months give 2 to 12 in the next quarter of 92 days.
#[test]
fn records_without_dates_give_demand_too() {
    let run = Run::new();
    run.file(
        "mapping.toml",
        r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "id"
site = "place"
presentation = "why"
month = "month"
weekday = "day"
hour = "hour"
scope_in_at = "in"
"#,
    );
    let mut rows = "id,place,why,month,day,hour,in\n".to_owned();
    let months = (7..=12).map(|month| (2024, month));
    for (year, month) in months.chain((1..=6).map(|month| (2025, month))) {
        for (day, hour) in [("mon", 10), ("sat", 20)] {
            let id = format!("{year}{month:02}{day}");
            rows += &format!("{id},Alder,food_impaction,{year}-{month:02},{day},{hour},60\n");
        }
    }
    run.file("cases.csv", rows);
    let ingested = read(&run.path("."));
    let found = demand_of(&count(&ingested), &ingested);
    let ahead = found.all.prediction.as_ref().unwrap();
    assert_eq!((ahead.low, ahead.high, ahead.days), (2, 12, 92));
    let after = found.all.by_shift.unwrap().after.unwrap();
    assert_eq!((after.events, after.calls), (12, 24));
    // 261 weekdays of 9 hours among the 8,760 hours of the year.
    assert!((after.clock_share - (1.0 - 261.0 * 9.0 / 8760.0)).abs() < 1e-12);
    let week = found.week.unwrap();
    assert_eq!((week.rows.len(), week.all.events), (2, 24));
    let monday_morning = week.rows[0].blocks[2].unwrap();
    // 261 weekdays, 4 hours each.
    assert_eq!(
        (monday_morning.events, monday_morning.exposure_minutes),
        (12, 261 * 4 * 60)
    );
}
