//! An invented review for the tests of pages: counts from a small seeded generator, limits from
//! simple formulas. The numbers are plausible and nothing more; no test relies on their values.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small invented numbers, all of them positive"
)]

use super::single::{quantile, share};
use crate::domain::accounting::Accounting;
use crate::domain::codes::Weekday;
use crate::domain::counts::{CountTables, EventsCount, Key, MinutesCount};
use crate::domain::exposure::StaffedWeek;
use crate::domain::issue::IssueCode;
use crate::domain::measure::{Better, Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::comparisons::Comparisons;
use crate::findings::curves::Curves;
use crate::findings::finding::{Finding, Findings, Method, Statistic, Unit};
use crate::findings::flow::{Flow, FlowResult, MeasureFlow};
use crate::findings::review::{Change, DataQuality, Headline, Review};
use crate::findings::signals::Signals;
use std::collections::BTreeMap;

/// A review of September 2026 with 24 months of records from three sites.
pub(crate) fn review() -> Review {
    with_months(24, &["Alder", "Birch", "Cedar"])
}

/// A review of September 2026 with that many months of records from these sites.
pub(crate) fn with_months(months: i32, sites: &[&str]) -> Review {
    let month = Month::new(2026, 9).expect("a month");
    let first_month = month.plus(1 - months);
    let mut maker = Maker {
        state: 20_260_901,
        findings: Vec::new(),
        counts: CountTables::default(),
    };
    let definitions = definitions();
    for definition in &definitions {
        maker.measure(definition, first_month, month, sites);
    }
    let Maker {
        findings, counts, ..
    } = maker;
    let findings = Findings::new(findings);
    let mut headlines: Vec<_> = definitions
        .iter()
        .zip(0_u32..)
        .map(|(definition, index)| headline(&findings, definition, month, index))
        .collect();
    if months == 1 {
        for headline in &mut headlines {
            headline.before = None;
            headline.change = Change::NotCompared;
        }
    }
    Review {
        site: None,
        to_look_at: Vec::new(),
        month,
        first_month,
        last_month: month,
        months_of_sites: Vec::new(),
        months_before: u32::try_from((months - 1).min(12)).expect("0 to 12"),
        window_start: "arrival at this hospital".to_owned(),
        units: Vec::new(),
        windows: Vec::new(),
        definitions,
        findings,
        before: Findings::default(),
        missing: Findings::default(),
        headlines,
        comparisons: Comparisons::default(),
        inputs: Vec::new(),
        curves: Curves::default(),
        funnels: Vec::new(),
        calls_by_hour: None,
        signals: Signals::default(),
        phases: Vec::new(),
        staffed_week: StaffedWeek::new(|day, hour| {
            day < Weekday::Saturday && (8..17).contains(&hour)
        }),
        targets: BTreeMap::new(),
        is_from_counts: false,
        shared: None,
        counts,
        flow: flow(),
        quality: quality(),
        level: 0.95,
        tool_version: "0.1.0",
        made_on: Some("2026-10-02".to_owned()),
    }
}

/// A review in which nothing was counted.
pub(crate) fn empty() -> Review {
    let mut review = with_months(1, &[]);
    review.findings = Findings::default();
    review.counts = CountTables::default();
    review.flow = Flow::default();
    review.quality = DataQuality::default();
    review.made_on = None;
    for headline in &mut review.headlines {
        headline.month = None;
        headline.before = None;
        headline.change = Change::NotCompared;
    }
    review
}

struct Maker {
    state: u64,
    findings: Vec<Finding>,
    counts: CountTables,
}

impl Maker {
    /// A number in 0 to 1, from a linear congruential generator.
    fn chance(&mut self) -> f64 {
        self.state = self
            .state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.state >> 33) as f64 / f64::from(1_u32 << 31)
    }

    fn measure(&mut self, definition: &Definition, first: Month, last: Month, sites: &[&str]) {
        let shifts = ["after_hours", "in_hours"];
        let objects = ["food_bolus", "fish_bone", "coin", "disc_battery", "dental"];
        let devices = ["forceps_rat", "snare", "net", "basket", "cap"];
        let urgencies = ["emergent", "not_recorded", "urgent"];
        for month in first.through(last) {
            // One month without any case, as a new service has.
            let is_gap = month.since(first) == 5;
            let cases = if is_gap {
                0
            } else {
                22 + (self.chance() * 26.0) as u64
            };
            self.group(definition, "all", "all", Some(month), cases);
        }
        let months = last.since(first) as u64 + 1;
        self.group(definition, "all", "all", None, 34 * months);
        for (by, groups) in [
            ("shift", &shifts[..]),
            ("site", sites),
            ("urgency", &urgencies),
            ("object_type", &objects),
            ("device", &devices),
            ("presentation", &["food_impaction", "foreign_body"]),
            ("obstruction", &["complete", "none", "partial"]),
        ] {
            for group in groups {
                let cases = (self.chance() * 20.0) as u64 * months + 3;
                self.group(definition, by, group, None, cases);
            }
        }
        if definition.kind == MeasureKind::ClusteredShare {
            for device in devices {
                for object in objects {
                    let cases = (self.chance() * self.chance() * 60.0) as u64;
                    let group = format!("{device}|{object}");
                    self.group(definition, "device+object_type", &group, None, cases);
                }
            }
        }
    }

    fn group(
        &mut self,
        definition: &Definition,
        by: &str,
        group: &str,
        month: Option<Month>,
        cases: u64,
    ) {
        let wanted = if definition.id == "adverse_event" {
            0.03
        } else {
            0.78
        };
        let made = match definition.kind {
            MeasureKind::Share => vec![share(self.hits(cases, wanted), cases)],
            MeasureKind::ClusteredShare => {
                let attempts = cases * 8 / 5;
                let pooled = share(self.hits(attempts, 0.62), attempts);
                vec![Finding {
                    attempts: Some(attempts),
                    cases,
                    method: Method::ClusteredRatio,
                    ..pooled
                }]
            }
            MeasureKind::Minutes => self.minutes(definition, by, group, month, cases),
            MeasureKind::Count => {
                let exposure_minutes = if month.is_some() {
                    3 * 30 * 1440
                } else {
                    3 * 730 * 1440
                };
                let key = key(definition, by, group, month);
                let count = EventsCount {
                    events: cases,
                    exposure_minutes,
                };
                self.counts.events.insert(key, count);
                let per = 30.0 * 1440.0 / exposure_minutes as f64;
                let spread = 1.96 * (cases as f64).sqrt();
                vec![Finding {
                    statistic: Statistic::Rate,
                    estimate: Some(cases as f64 * per),
                    low: Some((cases as f64 - spread).max(0.0) * per),
                    high: Some((cases as f64 + spread + 2.0) * per),
                    method: Method::Garwood,
                    unit: Unit::Per30SiteDays,
                    ..share(cases, cases)
                }]
            }
        };
        self.findings
            .extend(made.into_iter().map(|finding| Finding {
                measure: definition.id.clone(),
                kind: definition.kind,
                by: by.to_owned(),
                group: group.to_owned(),
                month,
                ..finding
            }));
    }

    fn hits(&mut self, cases: u64, wanted: f64) -> u64 {
        (0..cases).filter(|_| self.chance() < wanted).count() as u64
    }

    fn minutes(
        &mut self,
        definition: &Definition,
        by: &str,
        group: &str,
        month: Option<Month>,
        cases: u64,
    ) -> Vec<Finding> {
        let scale = if definition.id == "call_to_scope" {
            75.0
        } else {
            28.0
        };
        let mut minutes: Vec<i64> = (0..cases)
            .map(|_| {
                let normal: f64 = (0..12).map(|_| self.chance()).sum::<f64>() - 6.0;
                (scale * (0.55 * normal).exp()).round() as i64
            })
            .collect();
        minutes.sort_unstable();
        let mut count = MinutesCount::default();
        for (index, &minute) in minutes.iter().enumerate() {
            let reached = index % 17 != 3;
            *count.cases.entry((minute, reached)).or_default() += 1;
        }
        self.counts
            .minutes
            .insert(key(definition, by, group, month), count);
        let statistics = [
            Statistic::Median,
            Statistic::P25,
            Statistic::P75,
            Statistic::P90,
        ];
        statistics
            .map(|statistic| quantile(statistic, &minutes))
            .to_vec()
    }
}

fn key(definition: &Definition, by: &str, group: &str, month: Option<Month>) -> Key {
    Key {
        measure: definition.id.clone(),
        version: definition.version,
        by: by.to_owned(),
        group: group.to_owned(),
        month,
    }
}

fn headline(findings: &Findings, definition: &Definition, month: Month, index: u32) -> Headline {
    let statistic = crate::report::series::main_statistic(definition.kind);
    let scale = if definition.kind == MeasureKind::Minutes {
        60.0
    } else {
        0.4
    };
    let change = match index % 5 {
        0 => Change::Difference {
            estimate: 0.3 * scale,
            low: 0.1 * scale,
            high: 0.5 * scale,
        },
        1 => Change::Difference {
            estimate: 0.1 * scale,
            low: -0.2 * scale,
            high: 0.35 * scale,
        },
        2 => Change::Difference {
            estimate: -0.2 * scale,
            low: -0.4 * scale,
            high: -0.01 * scale,
        },
        3 => Change::TooFewCases { needed: 40 },
        _ => Change::NotCompared,
    };
    Headline {
        measure: definition.id.clone(),
        month: findings
            .overall(&definition.id, Some(month), statistic)
            .cloned(),
        before: findings.overall(&definition.id, None, statistic).cloned(),
        change,
    }
}

fn quality() -> DataQuality {
    DataQuality {
        cases: Accounting {
            read: 841,
            accepted: 816,
            set_aside: 19,
            duplicates: 6,
        },
        passes: Some(Accounting {
            read: 1320,
            accepted: 1309,
            set_aside: 11,
            duplicates: 0,
        }),
        issues: BTreeMap::from([
            ((IssueCode::MissingCall, "called_at", ""), 14),
            ((IssueCode::RepeatedRow, "", ""), 6),
            ((IssueCode::UnknownWord, "object_type", ""), 31),
            ((IssueCode::WrongOrder, "called_at", "scope_in_at"), 9),
        ]),
        completeness: vec![
            ("called_at", 816),
            ("scope_in_at", 790),
            ("overtube", 512),
            ("sharp", 0),
        ],
        ..DataQuality::default()
    }
}

/// Two measures are enough to see the table; the invented counts are too loose to add up.
fn flow() -> Flow {
    let measure =
        |measure: &str, [not_of_population, eligible, excluded]: [u64; 3], result| MeasureFlow {
            measure: measure.to_owned(),
            title: measure.replace('_', " "),
            not_of_population,
            population: eligible + excluded,
            eligible,
            excluded,
            result,
        };
    Flow {
        cases: quality().cases,
        passes: quality().passes,
        counted: quality().cases.accepted,
        measures: vec![
            measure("call_to_scope", [0, 790, 26], FlowResult::Reached(772)),
            measure(
                "device_success",
                [300, 500, 16],
                FlowResult::Passes {
                    judged: 1301,
                    hit: 402,
                },
            ),
        ],
    }
}

fn definitions() -> Vec<Definition> {
    use Better::{Higher, Lower, Neither};
    use MeasureKind::{ClusteredShare, Count, Minutes, Share};
    [
        ("call_to_scope", Minutes, "Call to scope", Lower),
        ("arrival_to_scope", Minutes, "Arrival to scope", Lower),
        ("call_to_team", Minutes, "Call to team", Lower),
        ("call_to_cart", Minutes, "Call to cart", Lower),
        ("scope_in_to_out", Minutes, "Scope in to scope out", Neither),
        (
            "scoped_within_window",
            Share,
            "Scoped within the window",
            Higher,
        ),
        ("retrieval_success", Share, "Object retrieved", Higher),
        (
            "first_device_success",
            Share,
            "Out with the first device",
            Higher,
        ),
        (
            "device_success",
            ClusteredShare,
            "Pass brought the object out",
            Higher,
        ),
        ("overtube_used", Share, "Overtube used", Neither),
        (
            "overtube_used_sharp",
            Share,
            "Overtube used for a sharp object",
            Higher,
        ),
        ("airway_secured", Share, "Airway secured by a tube", Neither),
        ("adverse_event", Share, "Adverse event", Lower),
        ("calls", Count, "Calls", Neither),
    ]
    .map(|(id, kind, title, better)| Definition {
        id: id.to_owned(),
        version: 1,
        kind,
        title: title.to_owned(),
        question: format!("{title}: what do the records show?"),
        eligible: "call time and the end recorded, in order".to_owned(),
        hit: "as the title says".to_owned(),
        better,
        source: "common practice, no source".to_owned(),
        sql: String::new(),
    })
    .to_vec()
}
