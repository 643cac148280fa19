use super::*;
use crate::domain::codes::Shift;
use crate::domain::counts::PassesCount;
use crate::domain::duty::item_counts::{ItemInMonth, UnknownInMonth};
use crate::domain::exposure::ExposureCell;

const SITE: &str = "Alder";

fn month(number: u8) -> Month {
    Month::new(2026, number).unwrap()
}

fn named(code: &str) -> CartItem {
    CartItem::named(code).unwrap()
}

fn item_use(cases: u64, passes: u64) -> ItemUse {
    ItemUse { cases, passes }
}

/// Days of one site from January on.
fn watched(days: &[u64]) -> Exposure {
    let mut exposure = Exposure::new();
    for (number, days) in (1..).zip(days) {
        for shift in [Shift::InHours, Shift::AfterHours] {
            let cell = ExposureCell {
                site: SITE.to_owned(),
                month: month(number),
                shift,
            };
            exposure.by_shift.insert(cell, days * 12 * 60);
        }
    }
    exposure
}

/// Cases that used an item, month by month from January on, with two passes each.
fn with_uses(uses: &[(&str, &[u64])]) -> ItemCounts {
    let mut counts = ItemCounts::default();
    for (code, months) in uses {
        for (number, cases) in (1..).zip(*months) {
            let key = ItemInMonth {
                item: named(code),
                site: SITE.to_owned(),
                month: month(number),
            };
            let passes = 2 * cases;
            counts.uses.insert(key, item_use(*cases, passes));
        }
    }
    counts
}

fn rules(items: &[(&str, u16, Option<u32>)]) -> CartRules {
    let carried = |(code, carried, shelf_life_days): &(&str, u16, Option<u32>)| {
        let item = CarriedItem {
            carried: *carried,
            shelf_life_days: *shelf_life_days,
        };
        (named(code), item)
    };
    CartRules {
        lead_days: 42,
        service_level: 0.99,
        items: items.iter().map(carried).collect(),
    }
}

fn made(counts: &ItemCounts, exposure: &Exposure, rules: &CartRules) -> Stock {
    let tables = CountTables::default();
    stock(counts, exposure, &tables, rules, Settings::default())
}

#[track_caller]
fn of_item(stock: &Stock, code: &str) -> ItemStock {
    let items = &stock.sites[0].items;
    let found = items.iter().find(|stock| stock.rate.item == named(code));
    *found.unwrap()
}

#[track_caller]
fn by_use(item: &ItemStock) -> u64 {
    item.par.unwrap().by_use.unwrap().pieces
}

#[track_caller]
fn close(found: Option<f64>, expected: f64, tolerance: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() < tolerance, "{found}");
}

/// Six cases in 30 weeks, filled up in six: quantiles of scipy's `nbinom(6.5, 5 / 6)`, as in the
/// tests of the par levels; Erlang's loss with a load of 1.2; sums by `CPython`'s `math.lgamma`.
#[test]
fn pars_risks_and_expiry_come_from_cases_in_the_days_observed() {
    let counts = with_uses(&[("net", &[6])]);
    let plan = rules(&[("net", 4, Some(42)), ("basket", 0, None)]);
    let stock = made(&counts, &watched(&[210]), &plan);
    let net = of_item(&stock, "net");
    assert_eq!(
        (net.rate.used.unwrap().cases, net.rate.used.unwrap().passes),
        (6, 12)
    );
    close(
        net.rate.per_30_days.map(|rate| rate.rate),
        6.0 / 210.0 * 30.0,
        1e-12,
    );
    // Garwood's printed limits for 6 events: 2.20 and 13.06.
    close(
        net.rate.per_30_days.map(|rate| rate.low),
        2.202 / 210.0 * 30.0,
        1e-3,
    );
    close(
        net.rate.per_30_days.map(|rate| rate.high),
        13.06 / 210.0 * 30.0,
        1e-2,
    );
    let par = net.par.unwrap();
    assert_eq!((by_use(&net), par.pieces), (5, 5));
    let found = par.by_use.unwrap();
    let expected = (ParMethod::Predictive, None);
    assert_eq!((found.method, found.dispersion), expected);
    let today = net.today.unwrap();
    close(today.shortage, 0.019_648_483_879_567, 1e-12);
    close(today.found_none, 0.026, 0.000_5);
    let expiry = today.expiry.unwrap();
    close(Some(expiry.expected_uses), 1.2, 1e-12);
    close(Some(expiry.unused), 2.728_202_598_370_486, 1e-12);
    // The par, one piece more, leaves more unused.
    assert!(par.expiry.unwrap().unused > expiry.unused);
    // On the list with no piece: nothing is there.
    let basket = of_item(&stock, "basket").today.unwrap();
    assert!(basket.shortage.is_some() && basket.expiry.is_none());
    // Without a use the rate of the records is 0, and so would any risk from it be.
    assert_eq!(basket.found_none, None);
    // An item that the list does not name is not carried; without a list nothing is known.
    let snare = of_item(&stock, "snare").today.unwrap();
    assert_eq!((snare.carried.carried, snare.found_none), (0, None));
    let without_list = made(&counts, &watched(&[210]), &rules(&[]));
    assert_eq!(of_item(&without_list, "snare").today, None);
    assert_eq!(without_list.sites[0].short().len(), 0);
    // Short are the net, four for five, and what the floor asks for and nobody carries: of eleven
    // classes all but that of the net.
    assert_eq!(stock.sites[0].short().len(), 1 + 10);
    // Six weeks need one of what was never used likelier than a fifth net.
    assert_eq!(stock.sites[0].short()[10].rate.item, named("net"));
}

#[test]
fn zero_use_is_not_zero_need() {
    let stock = made(&ItemCounts::default(), &watched(&[210]), &rules(&[]));
    let prong = of_item(&stock, "prong");
    // 3.689 is Garwood's upper limit for no event.
    close(
        prong.rate.per_30_days.map(|rate| rate.high),
        3.689 / 210.0 * 30.0,
        1e-3,
    );
    // Half a use in 30 weeks, by the prior: nbinom(0.5, 5 / 6) holds 99 % up to 2.
    assert_eq!(by_use(&prong), 2);
    assert_eq!(stock.all.len(), CartItem::all().count());
    assert_eq!(stock.months, Some((month(1), month(1))));
}

/// An item that no use asks for, and the row of the floor that does.
#[track_caller]
fn check(stock: &Stock, code: &str, floor: Option<usize>) {
    let item = of_item(stock, code);
    let par = item.par.unwrap();
    assert_eq!(by_use(&item), 0, "{code}");
    assert_eq!(
        (par.floor, par.pieces),
        (floor, u64::from(floor.is_some())),
        "{code}"
    );
}

#[test]
fn what_a_window_may_need_is_carried_without_any_use() {
    // Ten months of 365 days each, so that no use asks for no stock.
    let years = watched(&[365; 10]);
    let place = |class: &str| cart_floor().iter().position(|row| row.class == class);
    let unused = made(&ItemCounts::default(), &years, &rules(&[]));
    check(&unused, "hood", place("protector hood"));
    check(&unused, "balloon", None);
    // Of forceps that will do as well, the first one.
    check(&unused, "forceps_combo", place("grasping forceps"));
    check(&unused, "forceps_rat", None);
    // Or the one that is carried today.
    let mut plan = rules(&[
        ("forceps_alligator", 1, Some(730)),
        ("forceps_rat", 0, None),
    ]);
    // Filled up in a week, so that a single use asks for no stock either.
    plan.lead_days = 7;
    let carried = made(&ItemCounts::default(), &years, &plan);
    check(&carried, "forceps_alligator", place("grasping forceps"));
    check(&carried, "forceps_combo", None);
    // Eleven classes of the floor, one piece each; what use asks nothing of is no kind to carry.
    assert_eq!(
        (carried.sites[0].kinds(), carried.sites[0].pieces()),
        (11, 11)
    );
    // The floor stays although its piece expires unused.
    let expiry = of_item(&carried, "forceps_alligator").par.unwrap().expiry;
    assert!(expiry.unwrap().unused > 0.8);
    // Or the one that is used most.
    let counts = with_uses(&[("forceps_rat", &[1])]);
    let rat = made(&counts, &years, &plan);
    check(&rat, "forceps_rat", place("grasping forceps"));
    check(&rat, "forceps_alligator", None);
}

#[test]
fn a_class_whose_items_use_asks_for_needs_no_floor() {
    let stock = made(
        &with_uses(&[("forceps_rat", &[6])]),
        &watched(&[210]),
        &rules(&[]),
    );
    let par = of_item(&stock, "forceps_rat").par.unwrap();
    assert_eq!((par.floor, par.pieces), (None, 5));
    assert_eq!(of_item(&stock, "forceps_combo").par.unwrap().floor, None);
}

/// Twelve months of 30 days with 2 cases on average, all 24 in one: Pearson's chi-square is
/// 11 * 2 + 22^2 / 2 = 264 with 11 degrees of freedom. Quantiles by `CPython`'s `math.lgamma`.
#[test]
fn uses_in_bursts_ask_for_more() {
    let mut plan = rules(&[]);
    plan.lead_days = 30;
    let mut months = [0; 12];
    months[4] = 24;
    let year = watched(&[30; 12]);
    let par = |counts: &ItemCounts| {
        let stock = made(counts, &year, &plan);
        of_item(&stock, "net").par.unwrap().by_use.unwrap()
    };
    let bursts = par(&with_uses(&[("net", &months)]));
    close(bursts.dispersion, 24.0, 1e-9);
    assert_eq!((bursts.method, bursts.pieces), (ParMethod::Bursts, 35));
    let even = par(&with_uses(&[("net", &[2; 12])]));
    close(even.dispersion, 0.0, 1e-9);
    assert_eq!((even.method, even.pieces), (ParMethod::Predictive, 6));
    // Nine cases in one month of twelve are too few to speak of bursts.
    let mut few = [0; 12];
    few[0] = 9;
    assert_eq!(par(&with_uses(&[("net", &few)])).dispersion, None);
    few[0] = 10;
    assert!(par(&with_uses(&[("net", &few)])).dispersion.is_some());
}

#[test]
fn of_few_days_only_counts_rates_and_the_floor_are_told() {
    let counts = with_uses(&[("net", &[6]), ("basket", &[2])]);
    let plan = rules(&[("net", 4, Some(42)), ("basket", 1, Some(42))]);
    let few = made(&counts, &watched(&[179]), &plan);
    assert!(few.sites[0].has_few_days());
    let net = of_item(&few, "net");
    assert_eq!(net.rate.cases(), 6);
    close(
        net.rate.per_30_days.map(|rate| rate.rate),
        6.0 / 179.0 * 30.0,
        1e-12,
    );
    let par = net.par.unwrap();
    let place = cart_floor()
        .iter()
        .position(|row| row.class == "retrieval net");
    assert_eq!(
        (par.by_use, par.floor, par.pieces, par.expiry),
        (None, place, 1, None)
    );
    let today = net.today.unwrap();
    assert_eq!(
        (today.shortage, today.found_none, today.expiry),
        (None, None, None)
    );
    // What no floor asks for has no number, and is listed since it was used.
    let basket = of_item(&few, "basket");
    assert!(basket.par.is_none() && basket.is_listed() && !basket.is_short());
    // Each of the eleven classes of the floor, one piece.
    assert_eq!((few.sites[0].kinds(), few.sites[0].pieces()), (11, 11));
    let enough = made(&counts, &watched(&[180]), &plan);
    assert!(!enough.sites[0].has_few_days());
    assert!(of_item(&enough, "basket").par.unwrap().by_use.is_some());
}

#[test]
fn without_passes_devices_are_not_known_and_aids_and_treatments_stay() {
    let mut counts = with_uses(&[("overtube", &[3]), ("bleed_clip", &[6])]);
    counts.lacks_passes = true;
    let plan = rules(&[("net", 4, Some(42)), ("basket", 1, Some(42))]);
    let stock = made(&counts, &watched(&[210]), &plan);
    assert!(stock.lacks_passes);
    for code in ["net", "basket", "cap"] {
        let item = of_item(&stock, code);
        assert_eq!((item.rate.used, item.rate.per_30_days), (None, None));
        assert!(
            item.par
                .is_none_or(|par| par.by_use.is_none() && par.expiry.is_none())
        );
        let today = item.today.unwrap();
        assert_eq!(
            (today.shortage, today.found_none, today.expiry),
            (None, None, None)
        );
    }
    // The floor asks for a net all the same, and for no basket.
    assert_eq!(of_item(&stock, "net").par.map(|par| par.pieces), Some(1));
    assert_eq!(of_item(&stock, "basket").par, None);
    let net = stock.all.iter().find(|rate| rate.item == named("net"));
    assert_eq!(net.unwrap().used, None);
    // Six in 30 weeks, as in the first test of this file.
    assert_eq!(by_use(&of_item(&stock, "bleed_clip")), 5);
    assert_eq!(of_item(&stock, "hood").rate.used, Some(item_use(0, 0)));
    assert_eq!(of_item(&stock, "overtube").rate.cases(), 3);
    // A cap is a field of a case too.
    let mut with_cap = with_uses(&[("cap", &[6])]);
    with_cap.lacks_passes = true;
    let stock = made(&with_cap, &watched(&[210]), &plan);
    assert_eq!(by_use(&of_item(&stock, "cap")), 5);
}

#[test]
fn a_site_without_observed_time_has_counts_alone() {
    let stock = made(&with_uses(&[("net", &[6])]), &Exposure::new(), &rules(&[]));
    assert!(stock.sites.is_empty() && stock.all.is_empty());
    assert_eq!(stock.months, None);
}

#[test]
fn unknown_items_and_failures_of_devices_stand_beside() {
    let mut counts = ItemCounts::default();
    for number in [1, 2] {
        let key = UnknownInMonth {
            what: UnknownItem::CombinedTreatment,
            site: SITE.to_owned(),
            month: month(number),
        };
        counts.unknown.insert(key, item_use(3, 3));
    }
    let mut tables = CountTables::default();
    let key = |group: &str, by: &str| Key {
        measure: DEVICE_MALFUNCTION.to_owned(),
        version: 1,
        by: by.to_owned(),
        group: group.to_owned(),
        month: None,
    };
    let passes = PassesCount {
        cases: BTreeMap::from([((1, 3), 2), ((0, 1), 4)]),
        excluded: 0,
    };
    for (group, by) in [("net", "device"), ("push", "device"), ("Alder", "site")] {
        tables.passes.insert(key(group, by), passes.clone());
    }
    let none = PassesCount {
        excluded: 3,
        ..PassesCount::default()
    };
    tables.passes.insert(key("snare", "device"), none);
    let exposure = watched(&[30, 30]);
    let stock = stock(
        &counts,
        &exposure,
        &tables,
        &rules(&[]),
        Settings::default(),
    );
    assert_eq!(stock.unknown[&UnknownItem::CombinedTreatment].cases, 6);
    let [(item, finding)] = &stock.malfunctions[..] else {
        panic!("{:?}", stock.malfunctions);
    };
    assert_eq!(*item, named("net"));
    assert_eq!((finding.events, finding.attempts), (2, Some(10)));
}
