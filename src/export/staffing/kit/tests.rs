use super::*;
use crate::domain::duty::item_counts::KitTask;
use crate::export::table::Format;
use crate::findings::staffing::kit::HeldOutShare;
use std::collections::BTreeMap;

fn list(items: &[&str], events: u64) -> ListShare {
    ListShare {
        items: items
            .iter()
            .map(|code| CartItem::named(code).unwrap())
            .collect(),
        tally: Tally::new(events, 8).unwrap().unwrap(),
        interval: Interval {
            low: 0.25,
            high: 0.875,
        },
    }
}

fn kit() -> Kit {
    let held_out = HeldOutShare {
        tally: Tally::new(6, 8).unwrap().unwrap(),
        interval: Interval {
            low: 0.5,
            high: 0.75,
        },
        parts: 2,
    };
    Kit {
        today: None,
        level: 0.95,
        lacks_passes: false,
        groups: vec![KitOfCases {
            site: None,
            task: KitTask::Object,
            endings: BTreeMap::from([(CaseEnding::FinishedThere, 8), (CaseEnding::CalledOff, 3)]),
            blank_aids: 0,
            today: Some(list(&[], 2)),
            every: None,
            gains: vec![ItemGain {
                item: CartItem::Overtube,
                is_carried: Some(false),
                finished: 5,
                gain: 4,
            }],
            best: vec![list(&["net", "hood"], 6)],
            smallest: vec![SmallestList {
                goal: 950,
                list: None,
                lacking: Vec::new(),
                held_out: Some(held_out),
            }],
        }],
    }
}

fn csv(table: Result<Table, TableError>) -> String {
    String::from_utf8(table.unwrap().encode(Format::Csv).unwrap()).unwrap()
}

#[test]
fn lists_stand_with_what_they_cover_and_a_goal_out_of_reach_has_none() {
    assert_eq!(
        csv(kit_lists_table(&kit())),
        "site,task,list,goal,items,length,covered,cases,share,low,high,held_out_share,held_out_low,\
         held_out_high\n\
         all,object,today,,,0,2,8,0.25,0.25,0.875,,,\n\
         all,object,best_of_its_length,,net+hood,2,6,8,0.75,0.25,0.875,,,\n\
         all,object,smallest_for_goal,0.95,,,,,,,,0.75,0.5,0.75\n"
    );
}

#[test]
fn items_and_endings_have_rows_of_their_own() {
    assert_eq!(
        csv(kit_items_table(&kit())),
        "site,task,item,carried,finished,gain\nall,object,overtube,no,5,4\n"
    );
    assert_eq!(
        csv(kit_cases_table(&kit())),
        "site,task,ending,judged,cases\n\
         all,object,finished,true,8\n\
         all,object,called_off,false,3\n"
    );
}
