use super::*;
use crate::domain::codes::Urgency;
use crate::domain::file_facts::{FileFacts, TimeForm};
use crate::domain::issue::Source;
use crate::domain::measure::{Better, MeasureKind};
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};

#[test]
fn lists_the_facts_in_a_fixed_order() {
    let definition = Definition {
        id: "overtube_used".to_owned(),
        version: 3,
        kind: MeasureKind::Share,
        title: String::new(),
        question: String::new(),
        eligible: String::new(),
        hit: String::new(),
        better: Better::Higher,
        source: String::new(),
        sql: "abc".to_owned(),
    };
    let cases = Accounting {
        read: 5,
        accepted: 3,
        set_aside: 1,
        duplicates: 1,
    };
    let month = |text: &str| text.parse::<Month>().unwrap();
    let manifest = Manifest {
        command: "review".to_owned(),
        month: Some(month("2026-09")),
        period: Some(Period {
            first: month("2025-09"),
            last: month("2026-09"),
            sites: vec![PeriodOfSite {
                site: "Cedar".to_owned(),
                first: month("2026-01"),
                last: month("2026-09"),
                has_gaps: true,
            }],
        }),
        options: BTreeMap::from([
            ("threads".to_owned(), "2".to_owned()),
            ("level".to_owned(), "0.95".to_owned()),
        ]),
        inputs: vec![Input::read("cases", "export.csv", &b""[..]).unwrap()],
        exports: vec!["ab".to_owned()],
        mapping_sha256: None,
        measures: vec![Measure::from(&definition)],
        accounting: Some(RowsRead {
            cases: cases.into(),
            passes: None,
            passes_in_cases: None,
        }),
        flow: vec![Flow::from(&MeasureFlow {
            measure: "overtube_used".to_owned(),
            title: "Overtube used".to_owned(),
            not_of_population: 0,
            population: 3,
            eligible: 2,
            excluded: 1,
            result: FlowResult::Hit(1),
        })],
        issues: issue_tallies(&BTreeMap::from([(
            (IssueCode::WrongOrder, "called_at", "team_at"),
            2,
        )])),
        window_start: "the call".to_owned(),
        windows: vec![Window::from(&GuidelineWindow {
            id: "child_battery".to_owned(),
            applies_to: "children; disc battery".to_owned(),
            urgency: Urgency::Emergent,
            length: Some(WindowLength {
                minutes: 120,
                is_inclusive: false,
            }),
            preferred_minutes: Some(60),
            clock_start: ClockStart::NotStated,
            source: "ESPGHAN 2021".to_owned(),
            status: "verified".to_owned(),
            note: String::new(),
            choice: WindowChoice::SwitchedOn,
        })],
        limits_crossed: vec!["more than 2 % of rows were set aside".to_owned()],
        made_on: Some("2026-10-01".to_owned()),
        outputs: vec!["report.html".to_owned()],
    };
    let json = manifest.to_json();
    assert_eq!(json, EXPECTED.replace("VERSION", env!("CARGO_PKG_VERSION")));
    let outputs = outputs_if_ours(json.as_bytes()).unwrap();
    assert_eq!(outputs, BTreeSet::from(["report.html".to_owned()]));
}

const EXPECTED: &str = r#"{
  "tool": "scopetally",
  "version": "VERSION",
  "format": 1,
  "command": "review",
  "month": "2026-09",
  "period": {
    "first": "2025-09",
    "last": "2026-09",
    "sites": [
      {
        "site": "Cedar",
        "first": "2026-01",
        "last": "2026-09",
        "has_gaps": true
      }
    ]
  },
  "options": {
    "level": "0.95",
    "threads": "2"
  },
  "inputs": [
    {
      "role": "cases",
      "file": "export.csv",
      "bytes": 0,
      "sha256": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
      "read_as": null
    }
  ],
  "exports": [
    "ab"
  ],
  "mapping_sha256": null,
  "measures": [
    {
      "id": "overtube_used",
      "version": 3,
      "sha256": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    }
  ],
  "accounting": {
    "cases": {
      "read": 5,
      "accepted": 3,
      "set_aside": 1,
      "duplicates": 1,
      "balances": true
    },
    "passes": null,
    "passes_in_cases": null
  },
  "flow": [
    {
      "measure": "overtube_used",
      "unit": "cases",
      "not_of_population": 0,
      "population": 3,
      "eligible": 2,
      "excluded": 1,
      "judged_passes": null,
      "hit": 1,
      "reached": null
    }
  ],
  "issues": [
    {
      "code": "T01",
      "field": "called_at",
      "other_field": "team_at",
      "count": 2
    }
  ],
  "window_start": "the call",
  "windows": [
    {
      "id": "child_battery",
      "choice": "switched_on",
      "urgency": "emergent",
      "longest_minutes": 119,
      "preferred_minutes": 60,
      "clock_start": "not_stated",
      "source": "ESPGHAN 2021",
      "status": "verified"
    }
  ],
  "limits_crossed": [
    "more than 2 % of rows were set aside"
  ],
  "made_on": "2026-10-01",
  "outputs": [
    "report.html"
  ]
}
"#;

#[test]
fn a_run_of_another_tool_is_not_ours() {
    for text in [
        "",
        "[]",
        "{}",
        r#"{"tool": "other"}"#,
        r#"{"tool": 1}"#,
        "scopetally",
    ] {
        assert_eq!(outputs_if_ours(text.as_bytes()), None, "{text}");
    }
    let later_version = br#"{"format": 9, "tool": "scopetally", "news": []}"#;
    assert_eq!(outputs_if_ours(later_version), Some(BTreeSet::new()));
}

#[test]
fn how_a_file_was_read_stands_beside_it() {
    let facts = FileFacts {
        source: Source::Cases,
        bytes: 84,
        sha256: Some("00".to_owned()),
        packing: "gzip",
        encoding: "windows-1252",
        encoding_from: "given",
        separator: '\t',
        separator_from: "sep line",
        line_ends: "CRLF",
        header_line: 2,
        lines_before_header: 1,
        header_rows: 1,
        columns: 5,
        columns_mapped: 3,
        columns_dropped: 1,
        times: vec![TimeForm {
            field: "called_at",
            format: "%d.%m.%Y %H:%M".to_owned(),
            is_proved: true,
        }],
        decimal_mark: ',',
        rows: Accounting {
            read: 5,
            accepted: 3,
            set_aside: 1,
            duplicates: 1,
        },
    };
    let json = serde_json::to_string(&ReadAs::from(&facts)).unwrap();
    assert_eq!(
        json,
        r#"{"packing":"gzip","encoding":"windows-1252","encoding_from":"given","separator":"\t","separator_from":"sep line","line_ends":"CRLF","header_line":2,"lines_before_header":1,"header_rows":1,"columns":5,"columns_mapped":3,"columns_dropped":1,"times":[{"field":"called_at","format":"%d.%m.%Y %H:%M","format_from":"cells"}],"decimal_mark":",","rows":{"read":5,"accepted":3,"set_aside":1,"duplicates":1,"balances":true}}"#
    );
}
