use super::*;
use crate::domain::measure::MeasureKind;
use crate::export::findings::tests::share;
use crate::export::headlines::tests::review;
use crate::export::table::Format;
use crate::findings::comparisons::devices::{
    DeviceComparison, DeviceComparisons, HomogeneityTest, Ranged, StratumComparison,
};
use crate::findings::comparisons::drawn::DrawnShare;
use crate::findings::comparisons::{Comparisons, Difference};
use crate::findings::finding::Findings;

fn raw(measure: &str, by: &str, group: &str) -> Finding {
    Finding {
        measure: measure.to_owned(),
        by: by.to_owned(),
        month: None,
        low: Some(0.25),
        ..share(group)
    }
}

fn counted(events: u64, cases: u64) -> Counted {
    Counted { events, cases }
}

fn device(name: &str, pooled: Result<PooledComparison, NotPooled>) -> DeviceComparison {
    DeviceComparison {
        device: name.to_owned(),
        strata: vec![StratumComparison {
            object_type: "coin".to_owned(),
            first: counted(3, 4),
            second: counted(8, 16),
            difference: Some(Difference {
                estimate: 0.25,
                low: -0.5,
                high: 0.75,
            }),
        }],
        compared: [counted(6, 8), counted(9, 18)],
        informative: [counted(3, 4), counted(8, 16)],
        homogeneity: Some(HomogeneityTest {
            chi_square: 1.0,
            p: 0.5,
        }),
        pooled,
        balance: Vec::new(),
    }
}

fn table() -> String {
    const FIRST: &str = "first_device_success";
    let interval = |low, high| Some(Interval { low, high });
    let pooled = PooledComparison {
        difference: Ranged {
            estimate: 0.125,
            interval: interval(-0.25, 0.5),
            family_interval: interval(-0.5, 0.75),
        },
        odds_ratio: Some(Ranged {
            estimate: f64::INFINITY,
            interval: interval(1.5, f64::INFINITY),
            family_interval: None,
        }),
        odds_ratio_method: ComparisonMethod::ConditionalOddsRatio,
        p: Some(0.0625),
        adjusted_p: Some(0.125),
    };
    let comparisons = Comparisons {
        drawn: vec![DrawnShare {
            measure: FIRST.to_owned(),
            by: "device+object_type".to_owned(),
            group: "net|coin".to_owned(),
            raw: counted(3, 4),
            estimate: 0.625,
            interval: interval(0.375, 0.875),
            method: ComparisonMethod::BetaBinomial,
            devices: 2,
        }],
        devices: Some(DeviceComparisons {
            measure: FIRST.to_owned(),
            devices: vec![
                device("snare", Err(NotPooled::NotHomogeneous)),
                device("net", Ok(pooled)),
            ],
            level: 0.95,
            family_level: 0.975,
            without_object_type: 0,
            rigid: 0,
        }),
        ..Comparisons::default()
    };
    let findings = vec![
        raw(FIRST, "device", "net"),
        raw(FIRST, "device", "snare"),
        raw(FIRST, "device+object_type", "net|coin"),
        Finding {
            suppressed: true,
            ..raw(FIRST, "device+object_type", "snare|coin")
        },
        Finding {
            kind: MeasureKind::ClusteredShare,
            attempts: Some(7),
            ..raw("device_success", "device", "net")
        },
    ];
    let review = Review {
        comparisons,
        findings: Findings::new(findings),
        ..review(Vec::new())
    };
    let csv = devices_table(&review).unwrap().encode(Format::Csv).unwrap();
    String::from_utf8(csv).unwrap()
}

#[test]
fn raw_drawn_and_difference_stand_side_by_side_and_nothing_beside_a_share_that_is_withheld() {
    assert_eq!(
        table(),
        "measure,device,object_type,events,cases,raw,raw_low,raw_high,raw_method,\
         drawn,drawn_low,drawn_high,drawn_method,\
         compared_events,compared_cases,others_events,others_cases,\
         difference,difference_low,difference_high,difference_method,together_low,together_high,\
         odds_ratio,odds_ratio_low,odds_ratio_high,p,adjusted_p,homogeneity_p,odds_ratio_method,\
         why_none,level\n\
         first_device_success,snare,all,3,4,0.75,0.25,1,wilson,,,,,6,8,9,18,\
         ,,,,,,,,,,,0.5,,object_types_disagree,0.95\n\
         first_device_success,snare,coin,,,,,,wilson,,,,,,,,,,,,,,,,,,,,,,,0.95\n\
         first_device_success,net,all,3,4,0.75,0.25,1,wilson,,,,,6,8,9,18,\
         0.125,-0.25,0.5,mantel_haenszel_sato,-0.5,0.75,inf,1.5,inf,0.0625,0.125,0.5,\
         exact_conditional,,0.95\n\
         first_device_success,net,coin,3,4,0.75,0.25,1,wilson,0.625,0.375,0.875,beta_binomial,3,4,8,16,\
         0.25,-0.5,0.75,newcombe,,,,,,,,,,,0.95\n\
         device_success,net,all,3,7,0.75,0.25,1,wilson,,,,,,,,,,,,,,,,,,,,,,,0.95\n"
    );
}
