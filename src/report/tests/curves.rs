//! The sections of curves and of sites side by side, from counts made by hand.

use super::{check_page, invented};
use crate::domain::codes::Urgency;
use crate::domain::counts::{CountTables, Key, MinutesCount, ShareCount};
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};
use crate::findings::curves::Curves;
use crate::findings::estimate::Settings;
use crate::findings::funnel::funnels;
use crate::findings::review::Review;
use crate::report::page;

fn key(measure: &str, by: &str, group: &str) -> Key {
    Key {
        measure: measure.to_owned(),
        version: 1,
        by: by.to_owned(),
        group: group.to_owned(),
        month: None,
    }
}

/// The invented review with the curves of these counts: measure, urgency, cases by minutes.
fn with_curves(rows: &[(&str, &str, &[(i64, bool, u64)])]) -> Review {
    let mut counts = CountTables::default();
    for (measure, group, cases) in rows {
        let by = if *group == "all" { "all" } else { "urgency" };
        let cases = cases.iter().map(|&(at, end, n)| ((at, end), n));
        let count = MinutesCount {
            cases: cases.collect(),
            excluded: 0,
        };
        counts.minutes.insert(key(measure, by, group), count);
    }
    Review {
        curves: Curves::new(&counts, Settings::default()),
        ..invented::review()
    }
}

fn window(id: &str, population: &str, urgency: Urgency, minutes: i64) -> GuidelineWindow {
    GuidelineWindow {
        id: id.to_owned(),
        applies_to: format!("{population}; food impaction"),
        urgency,
        length: Some(WindowLength {
            minutes,
            is_inclusive: true,
        }),
        preferred_minutes: None,
        clock_start: ClockStart::NotStated,
        source: "ESGE 2016".to_owned(),
        status: "verified".to_owned(),
        note: String::new(),
        choice: WindowChoice::Default,
    }
}

/// The invented review with the funnel of one measure over sites with these counts in the month.
fn with_sites(measure: &str, sites: &[(String, u64, u64)]) -> Review {
    let review = invented::review();
    let mut counts = CountTables::default();
    for (site, eligible, hit) in sites {
        let key = Key {
            month: Some(review.month),
            ..key(measure, "site", site)
        };
        let count = ShareCount {
            eligible: *eligible,
            hit: *hit,
            excluded: 0,
        };
        counts.shares.insert(key, count);
    }
    Review {
        funnels: funnels(&counts, review.first_month, review.month),
        ..review
    }
}

#[test]
fn zz_look() {
    let text = std::fs::read_to_string("reports/sample/counts/minutes.csv").unwrap();
    let mut counts = CountTables::default();
    for line in text.lines().skip(1) {
        let f: Vec<_> = line.split(',').collect();
        if f[4] != "all" || f[5].is_empty() {
            continue;
        }
        let count = counts.minutes.entry(key(f[0], f[2], f[3])).or_default();
        let at = (f[5].parse().unwrap(), f[6] == "1");
        *count.cases.entry(at).or_default() += f[7].parse::<u64>().unwrap();
    }
    let mut review = invented::review();
    review.curves = Curves::new(&counts, Settings::default());
    review.window_start = "arrival".to_owned();
    review.windows = vec![
        window("a", "adults", Urgency::Emergent, 360),
        window("b", "children", Urgency::Emergent, 120),
        window("c", "children", Urgency::Urgent, 1440),
        window("d", "adults", Urgency::Urgent, 1440),
    ];
    let mut state = 7_u64;
    let mut chance = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let mut make = |n: usize, size: f64, p: f64, spread: f64| -> Vec<(String, u64, u64)> {
        (0..n)
            .map(|i| {
                let cases = (size * (0.2 + 2.0 * chance() * chance())) as u64 + 3;
                let own = p + if i % 9 == 4 { -spread } else { 0.0 };
                let hits = (0..cases).filter(|_| chance() < own).count() as u64;
                (format!("Hospital of the Invented Saint Number {i:02}, North"), cases, hits)
            })
            .collect()
    };
    let fifty = make(50, 60.0, 0.86, 0.25);
    let seven = make(7, 60.0, 0.9, 0.3);
    let rare = make(50, 60.0, 0.03, -0.1);
    let mut uneven = make(12, 60.0, 0.7, 0.3);
    uneven.push(("Huge".to_owned(), 120_000, 84_500));
    for (name, review) in [
        ("curves", review),
        ("fifty", with_sites("retrieval_success", &fifty)),
        ("seven", with_sites("retrieval_success", &seven)),
        ("rare", with_sites("adverse_event", &rare)),
        ("uneven", with_sites("airway_secured", &uneven)),
    ] {
        let page = page(&review);
        for chart in &page.charts {
            if chart.stem().contains("curves") || chart.stem().contains("funnel") {
                std::fs::write(format!("/tmp/look_{name}_{}.png", chart.stem()), chart.png()).unwrap();
                std::fs::write(format!("/tmp/look_{name}_{}.svg", chart.stem()), chart.svg()).unwrap();
            }
        }
        std::fs::write(format!("/tmp/look_{name}.html"), &page.html).unwrap();
    }
}
