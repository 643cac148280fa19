use super::*;
use crate::domain::counts::Key;
use crate::findings::drift::tests::calls;

/// Counts of one measure: site, months before September 2026, judged cases, cases that meet it.
fn counts(rows: &[(&str, i32, u64, u64)]) -> CountTables {
    let mut counts = CountTables::default();
    for (site, months_before, eligible, hit) in rows {
        let key = Key {
            measure: "retrieval_success".to_owned(),
            version: 1,
            by: "site".to_owned(),
            group: (*site).to_owned(),
            month: Some(month().plus(-months_before)),
        };
        let count = ShareCount {
            eligible: *eligible,
            hit: *hit,
            excluded: 1,
        };
        counts.shares.insert(key, count);
    }
    counts
}

fn month() -> Month {
    "2026-09".parse().unwrap()
}

fn of(rows: &[(&str, i32, u64, u64)]) -> Vec<Funnel> {
    funnels(&counts(rows), &definitions(), month().plus(-40), month())
}

fn definitions() -> [Definition; 1] {
    let id = "retrieval_success".to_owned();
    [Definition { id, ..calls() }]
}

const FIVE: [(&str, i32, u64, u64); 5] = [
    ("Elm", 0, 40, 32),
    ("Alder", 0, 40, 32),
    ("Dogwood", 0, 40, 32),
    ("Birch", 0, 40, 32),
    ("Cedar", 0, 40, 32),
];

#[test]
fn five_sites_with_five_judged_cases_each_make_a_funnel() {
    assert!(of(&FIVE[..4]).is_empty());
    let mut rows = FIVE.to_vec();
    rows[4].2 = 4;
    rows[4].3 = 4;
    assert!(of(&rows).is_empty(), "the fifth has too few");
    rows.push(("Fir", 0, 5, 4));
    let funnels = of(&rows);
    let names: Vec<_> = funnels[0].sites.iter().map(|site| &site.site).collect();
    assert_eq!(
        names,
        ["Alder", "Birch", "Dogwood", "Elm", "Fir"],
        "by name"
    );
    let few = Counted {
        events: 4,
        cases: 4,
    };
    assert_eq!(funnels[0].too_few, [("Cedar".to_owned(), few)]);
    // 4 * 32 + 4 + 4 of 4 * 40 + 4 + 5: all sites are in the target.
    let pooled = Counted {
        events: 136,
        cases: 169,
    };
    assert_eq!(funnels[0].pooled, pooled);
    assert!((funnels[0].target - 136.0 / 169.0).abs() < 1e-15);
}

#[test]
fn the_twelve_months_up_to_the_month_in_view_count() {
    let mut rows = FIVE.to_vec();
    rows.extend([
        ("Alder", 11, 10, 8),
        ("Alder", 12, 1000, 0),
        ("Alder", -1, 1000, 0),
        ("not_recorded", 0, 1000, 0),
    ]);
    let funnel = &of(&rows)[0];
    assert_eq!((funnel.first, funnel.last), (month().plus(-11), month()));
    let alder = Counted {
        events: 40,
        cases: 50,
    };
    assert_eq!(
        (funnel.sites[0].counted, funnel.sites[0].excluded),
        (alder, 2)
    );
    assert!((funnel.target - 0.8).abs() < 1e-15);
    let short = funnels(&counts(&FIVE), &definitions(), month().plus(-2), month());
    let [mut later] = definitions();
    later.version = 2;
    let of_another_version = funnels(&counts(&FIVE), &[later], month().plus(-2), month());
    assert!(of_another_version.is_empty());
    assert_eq!(
        short[0].first,
        month().plus(-2),
        "no month before the records"
    );
}

#[test]
fn limits_are_those_of_the_size_and_sites_lie_within_or_beyond() {
    // 32 of 40 each; worked out in fractions: at 4/5 and 40 cases the 95 % limits
    // are 0.655866... and 1 - 0.070782... (Python, fractions.Fraction and math.comb).
    let funnel = &of(&FIVE)[0];
    assert_eq!(funnel.method, FunnelMethod::Exact);
    let site = &funnel.sites[0];
    assert!((site.inner.low.unwrap() - 0.655_866_169_758_19).abs() < 1e-10);
    assert!((site.inner.high.unwrap() - 0.929_217_960_140_637_1).abs() < 1e-10);
    assert!((site.outer.low.unwrap() - 0.575_115_426_178_119_3).abs() < 1e-10);
    assert!((site.outer.high.unwrap() - 0.983_692_090_386_843_4).abs() < 1e-10);
    assert_eq!(site.position(), Position::Within);
    let at = |share| {
        let site = SiteInFunnel {
            share,
            ..site.clone()
        };
        site.position()
    };
    assert_eq!(at(26.0 / 40.0), Position::BeyondInner(Side::Below));
    assert_eq!(at(23.0 / 40.0), Position::BeyondOuter(Side::Below));
    assert_eq!(at(38.0 / 40.0), Position::BeyondInner(Side::Above));
    assert_eq!(at(1.0), Position::BeyondOuter(Side::Above));
    assert_eq!(
        at(site.inner.low.unwrap()),
        Position::Within,
        "on the limit"
    );
    let last = funnel.lines.last().unwrap();
    assert_eq!(
        (last.cases, last.inner, last.outer),
        (40, site.inner, site.outer)
    );
}

#[test]
fn sites_that_differ_by_more_than_counting_explains_widen_the_limits() {
    let mut rows = FIVE.to_vec();
    for (index, row) in rows.iter_mut().enumerate() {
        row.2 = 400;
        row.3 = [240, 280, 320, 360, 400][index];
    }
    let funnel = &of(&rows)[0];
    assert_eq!(funnel.method, FunnelMethod::Widened);
    assert!(funnel.phi.unwrap() > 10.0);
    // By counting alone the inner limit is 0.8 - 1.96 * 0.02; nobody lies beyond the widened ones.
    assert!(funnel.sites[0].inner.low.unwrap() < 0.6);
    assert!(
        funnel
            .sites
            .iter()
            .all(|site| site.position() == Position::Within)
    );
}

#[test]
fn without_a_failure_anywhere_there_are_no_limits() {
    let mut rows = FIVE.to_vec();
    for row in &mut rows {
        row.3 = row.2;
    }
    let funnel = &of(&rows)[0];
    assert_eq!(funnel.phi, None);
    assert!(funnel.lines.iter().all(|line| line.inner == Bounds::NONE));
    assert!(
        funnel
            .sites
            .iter()
            .all(|site| site.position() == Position::Within)
    );
}

#[test]
fn lines_are_worked_out_from_five_cases_to_the_largest_site() {
    let few: Vec<_> = sizes(8).collect();
    assert_eq!(few, [5, 6, 7, 8]);
    let many: Vec<_> = sizes(1_000_000).collect();
    assert_eq!((many[0], many.last()), (5, Some(&1_000_000)));
    assert!(many.len() <= 81 && many.windows(2).all(|pair| pair[0] < pair[1]));
    assert_eq!(sizes(u64::MAX).last(), Some(u64::MAX));
}
