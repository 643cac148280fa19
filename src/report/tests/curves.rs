//! The sections of curves and of sites side by side, from counts made by hand.

use super::{check_page, invented};
use crate::domain::codes::Urgency;
use crate::domain::counts::{CountTables, Key, MinutesCount, ShareCount};
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};
use crate::findings::curves::Curves;
use crate::findings::estimate::Settings;
use crate::findings::finding::{Finding, Findings};
use crate::findings::funnel::funnels;
use crate::findings::review::Review;
use crate::findings::tests::group_key as key;
use crate::report::page;

/// Cases as minutes, whether the end was reached, and how many.
type Cases<'a> = &'a [(i64, bool, u64)];

/// The invented review with the curves of these counts: measure, urgency, cases by minutes.
fn with_curves(rows: &[(&str, &str, Cases<'_>)]) -> Review {
    let review = invented::review();
    let mut counts = CountTables::default();
    for (measure, group, cases) in rows {
        let by = if *group == "all" { "all" } else { "urgency" };
        let cases = cases.iter().map(|&(at, end, n)| ((at, end), n));
        let count = MinutesCount {
            cases: cases.collect(),
            excluded: 2,
        };
        counts.minutes.insert(key(measure, by, group), count);
    }
    Review {
        curves: Curves::new(&counts, &review.definitions, Settings::default()),
        ..review
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
        funnels: funnels(
            &counts,
            &review.definitions,
            review.first_month,
            review.month,
        ),
        ..review
    }
}

/// Ten cases ten minutes apart, and one that left after a quarter of an hour.
const TEN: [(i64, bool, u64); 11] = [
    (10, true, 1),
    (15, false, 1),
    (20, true, 1),
    (30, true, 1),
    (40, true, 1),
    (50, true, 1),
    (60, true, 1),
    (70, true, 1),
    (80, true, 1),
    (90, true, 1),
    (100, true, 1),
];

#[test]
fn a_curve_says_half_and_nine_of_ten_and_ends_with_few_at_risk() {
    let mut review = with_curves(&[
        ("call_to_scope", "urgent", &TEN),
        ("call_to_scope", "emergent", &[(10, true, 3)]),
        ("call_to_scope", "all", &TEN),
    ]);
    review.windows = vec![window("a", "adults", Urgency::Urgent, 60)];
    let html = check_page(&review);
    for part in [
        "Call to scope: how many were scoped by when, by urgency?",
        "percent scoped, by the time since the call",
        // 1 - 10/11 * 8/9 * ... : (10/11)(1 - k/9) is at or below a half at k = 5, after 60 minutes,
        // where 5 are at risk; nine of ten are not seen with so many.
        "11 cases; half by 60 min<",
        "Too few for a curve: emergent (3 cases).",
        "Windows are counted from arrival at this hospital, so that none can stand here.",
        "What had become of 11 judged calls by then",
        "2 more calls could not be judged and are not among them.",
        "of scoped and of left before the scope",
    ] {
        assert!(html.contains(part), "{part}");
    }
    let page = page(&review);
    let curves: Vec<_> = page
        .charts()
        .filter(|chart| chart.stem().contains("curves"))
        .collect();
    assert_eq!(curves.len(), 1, "nothing counts from arrival");
    assert_eq!(curves[0].stem(), "call_to_scope_curves_by_urgency");
    // One line, one tick for the case that left, one band: a path however many steps.
    let svg = curves[0].svg();
    assert_eq!(svg.matches("<polygon").count(), 1);
    assert_eq!(svg.matches("stroke-width=\"4\"").count(), 1);
}

#[test]
fn limits_stand_where_the_windows_count_from_the_same_moment() {
    let mut review = with_curves(&[
        ("arrival_to_scope", "emergent", &TEN),
        ("arrival_to_scope", "urgent", &TEN),
        ("call_to_scope", "urgent", &TEN),
    ]);
    let off = GuidelineWindow {
        choice: WindowChoice::OffByDefault,
        ..window("d", "adults", Urgency::Emergent, 45)
    };
    review.windows = vec![
        window("a", "adults", Urgency::Emergent, 90),
        window("b", "children", Urgency::Emergent, 30),
        window("c", "adults", Urgency::Urgent, 1440),
        off,
    ];
    let svg = |review: &Review, measure: &str| {
        let stem = format!("{measure}_curves_by_urgency");
        let page = page(review);
        let chart = page.charts().find(|chart| chart.stem() == stem);
        chart.expect("a chart").svg()
    };
    assert!(!svg(&review, "arrival_to_scope").contains("children"));
    review.window_start = "arrival".to_owned();
    let arrival = svg(&review, "arrival_to_scope");
    assert!(arrival.contains("90 min, adults") && arrival.contains("30 min, children"));
    assert!(!arrival.contains("45 min") && !arrival.contains("24 hours"));
    assert!(!svg(&review, "call_to_scope").contains("adults"));
}

#[test]
fn without_curves_and_with_withheld_numbers_there_is_no_section() {
    assert!(!check_page(&invented::review()).contains("id=\"curves\""));
    let mut review = with_curves(&[("call_to_scope", "urgent", &TEN)]);
    let withheld = review.findings.iter().cloned().map(|finding| Finding {
        suppressed: finding.by == "urgency",
        ..finding
    });
    review.findings = Findings::new(withheld.collect());
    assert!(!check_page(&review).contains("id=\"curves\""));
}

/// `count` sites of 40 cases each, 34 of which meet the definition.
fn alike(count: usize) -> Vec<(String, u64, u64)> {
    let name = |number| format!("Site {number:02} of the invented county, northern wing");
    (1..=count).map(|number| (name(number), 40, 34)).collect()
}

#[test]
fn fifty_sites_stand_by_name_and_only_those_outside_are_named_in_the_chart() {
    let mut sites = alike(50);
    // At a target of 1679 of 2004, 27 or fewer of 40 have a chance of 0.8 %, 20 or fewer one of 10^-6
    // (binomial sums, Python).
    sites[6].2 = 27;
    sites[30].2 = 20;
    sites.push(("Zelkova".to_owned(), 4, 0));
    let review = with_sites("retrieval_success", &sites);
    let html = check_page(&review);
    for part in [
        "Sites stand by name; this is no ranking.",
        "look at recording and case mix first",
        "Not drawn: 1 site with fewer than 5 judged cases, 4 cases in all.",
        "October 2025 to September 2026",
        "Outside the limits: Site 07 of the invented county, northern wing below the 95% limit, Site \
         31 of the invented county, northern wing below the 99.8% limit.",
        "Funnel of sites:",
        "at most about one site in 20 lies outside exact 95% limits",
        "about 95% and 99.8% or more of sites of that size if nothing but counting",
    ] {
        assert!(html.contains(part), "{part}");
    }
    assert!(!html.contains("outside widened"));
    let page = page(&review);
    let chart = page
        .charts()
        .find(|chart| chart.stem() == "retrieval_success_funnel");
    let svg = chart.expect("a funnel").svg();
    assert!(svg.contains("\nSite 07") && svg.contains("\nSite 31") && !svg.contains("\nSite 08"));
    assert_eq!(
        svg.matches("<circle").count(),
        48,
        "one mark for each within"
    );
    assert!(svg.len() < 20_000, "{} bytes", svg.len());
    let table = html.split("id=\"sites\"").nth(1).unwrap();
    let place = |name: &str| table.find(&format!("<th scope=\"row\">{name}")).unwrap();
    assert!(place("Site 07") < place("Site 08") && place("Site 31") < place("Site 32"));
    assert!(place("Site 50") < place("Zelkova"));
}

#[test]
fn few_sites_are_all_named_and_fewer_than_five_have_no_funnel() {
    let review = with_sites("retrieval_success", &alike(4));
    assert!(!check_page(&review).contains("id=\"sites\""));
    let mut sites = alike(5);
    for (place, site) in sites.iter_mut().enumerate() {
        site.0 = ["Alder", "Birch", "Cedar", "Dogwood", "Elm"][place].to_owned();
        site.1 += 8 * place as u64;
        site.2 = site.1 - 6;
    }
    let review = with_sites("retrieval_success", &sites);
    let html = check_page(&review);
    let svg = html.split("id=\"sites\"").nth(1).unwrap();
    // Each has room above the line of all sites.
    for site in ["Alder", "Birch", "Cedar", "Dogwood", "Elm"] {
        assert!(svg.contains(&format!(">{site}<")), "{site}");
    }
    assert!(html.contains("No site lies outside the limits"));
}

#[test]
fn widened_limits_are_not_said_to_hold_by_counting_alone() {
    let mut sites = alike(6);
    // Shares of 50 to 75 %, where counting gives a standard deviation of 2.4 points.
    for (place, site) in sites.iter_mut().enumerate() {
        (site.1, site.2) = (400, 200 + 20 * place as u64);
    }
    let html = check_page(&with_sites("retrieval_success", &sites));
    for part in [
        "outside widened 95% limits",
        "if they differ by counting and by the variance between sites",
    ] {
        assert!(html.contains(part), "{part}");
    }
    assert!(!html.contains("counting alone") && !html.contains("nothing but counting"));
}

#[test]
fn sites_that_never_differ_and_huge_ones_can_be_drawn() {
    let mut sites = alike(6);
    for site in &mut sites {
        site.2 = site.1;
    }
    let html = check_page(&with_sites("retrieval_success", &sites));
    assert!(html.contains("There are no limits where all cases came out alike."));
    sites[0].1 = 40_000_000;
    sites[0].2 = 30_000_000;
    let html = check_page(&with_sites("retrieval_success", &sites));
    assert!(html.contains("judged cases of the site (logarithmic axis)"));
    assert!(html.contains(">10,000,000<"));
}
