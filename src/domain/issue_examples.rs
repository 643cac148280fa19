//! One invented example for each kind of issue: what stands in an export, and what would stand
//! there, or in the mapping, without it. `check --explain` prints them.
//!
//! Hospitals, cases and words are those of the sample; separators are semicolons, times are written
//! day first.

use super::issue::IssueCode;

/// An example, line by line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IssueExample {
    /// What the export holds.
    pub before: &'static [&'static str],
    /// The same after somebody has seen to it; where nothing needs doing, how it is taken.
    pub after: &'static [&'static str],
}

/// The example of a kind.
#[expect(
    clippy::too_many_lines,
    reason = "a flat list, one entry for each kind"
)]
pub const fn example_of(code: IssueCode) -> IssueExample {
    let (before, after): (&[&str], &[&str]) = match code {
        IssueCode::WrongCellCount => (
            &["Case no.;Site;Object;Sharp", "E-1042;Alder;pin; open;Y"],
            &["Case no.;Site;Object;Sharp", "E-1042;Alder;\"pin; open\";Y"],
        ),
        IssueCode::MissingKey => (
            &["Case no.;Site;Reason for call", ";Birch;Food stuck"],
            &["Case no.;Site;Reason for call", "E-1043;Birch;Food stuck"],
        ),
        IssueCode::MissingPresentation => (
            &["Case no.;Site;Reason for call", "E-1044;Birch;Bolus"],
            &[
                "[cases.codes.presentation]",
                "\"Bolus\" = \"food_impaction\"",
            ],
        ),
        IssueCode::MissingCall => (
            &["Case no.;Paged;Scope in", "E-1045;;30.09.2026 23:50"],
            &[
                "Case no.;Paged;Scope in",
                "E-1045;30.09.2026 22:35;30.09.2026 23:50",
            ],
        ),
        IssueCode::RepeatedRow => (
            &["E-1046;Cedar;Food stuck", "E-1046;Cedar;Food stuck"],
            &["E-1046;Cedar;Food stuck"],
        ),
        IssueCode::ConflictingRow => (
            &[
                "E-1047;Alder;Food stuck;taken out",
                "E-1047;Alder;Food stuck;pushed to stomach",
            ],
            &[
                "E-1047;Alder;Food stuck;taken out",
                "E-1048;Alder;Food stuck;pushed to stomach",
            ],
        ),
        IssueCode::PassWithoutCase => (
            &[
                "cases:  E-1049;Birch;Food stuck",
                "passes: E-9001;1;net;out",
            ],
            &[
                "cases:  E-1049;Birch;Food stuck",
                "passes: E-1049;1;net;out",
            ],
        ),
        IssueCode::LongRow => (
            &[
                "E-1050;Cedar;\"Food stuck",
                "E-1051;Cedar;Food stuck",
                "... and ten more lines before the next quote",
            ],
            &["E-1050;Cedar;\"Food stuck\"", "E-1051;Cedar;Food stuck"],
        ),
        IssueCode::OutsidePeriod => (
            &["review --from 2026-01, and a row with the call on 31.12.2025 23:40"],
            &["review --from 2025-12, and the row is counted"],
        ),
        IssueCode::SummaryRow => (
            &["E-1052;Alder;Food stuck", "Total;87;"],
            &["E-1052;Alder;Food stuck"],
        ),
        IssueCode::SupersededRow => (
            &[
                "Case no.;Version;How it ended",
                "E-1053;1;could not get it",
                "E-1053;2;taken out",
            ],
            &["version 2 stands, version 1 is counted as set aside"],
        ),
        IssueCode::SuspectedRepeat => (
            &[
                "E-1054;Alder;30.09.2026 20:10;Food stuck;meat / food;61;F",
                "E-2054;Alder;30.09.2026 20:10;Food stuck;meat / food;61;F",
            ],
            &["E-1054;Alder;30.09.2026 20:10;Food stuck;meat / food;61;F"],
        ),
        IssueCode::CaseWithoutPass => (
            &[
                "cases:  E-1055;Birch;Food stuck;taken out",
                "passes: no row of E-1055",
            ],
            &[
                "cases:  E-1055;Birch;Food stuck;taken out",
                "passes: E-1055;1;snare;out",
            ],
        ),
        IssueCode::OutcomeAgainstPasses => (
            &[
                "cases:  E-1056;Cedar;could not get it",
                "passes: E-1056;1;net;out",
            ],
            &["cases:  E-1056;Cedar;taken out", "passes: E-1056;1;net;out"],
        ),
        IssueCode::ShortRow => (
            &["Case no.;Site;Object;Sharp", "E-1057;Alder;coin"],
            &["Case no.;Site;Object;Sharp", "E-1057;Alder;coin;"],
        ),
        IssueCode::UnplacedResult => (
            &["Case no.;Devices;Result", "E-1067;net, snare;out"],
            &[
                "Case no.;Device 1;Result 1;Device 2;Result 2",
                "E-1067;net;missed;snare;out",
            ],
        ),
        IssueCode::StaleVersion => (
            &[
                "Case no.;Version;Paged",
                "E-1068;1;30.09.2026 22:35",
                "E-1068;2;",
            ],
            &[
                "Case no.;Version;Paged",
                "E-1068;1;30.09.2026 22:35",
                "E-1068;2;30.09.2026 22:40",
            ],
        ),
        IssueCode::UnreadableBytes => (
            &["a file in Windows-1252 that is read as UTF-8"],
            &["[cases]", "encoding = \"windows-1252\""],
        ),
        IssueCode::UnknownWord => (
            &["Case no.;Object", "E-1058;steak"],
            &["[cases.codes.object_type]", "\"steak\" = \"food_bolus\""],
        ),
        IssueCode::NotATime => (
            &["Case no.;Scope in", "E-1059;31.09.2026 01:20"],
            &["Case no.;Scope in", "E-1059;01.10.2026 01:20"],
        ),
        IssueCode::SkippedHour => (
            &["Case no.;Scope in", "E-1060;08.03.2026 02:30"],
            &["Case no.;Scope in", "E-1060;08.03.2026 03:30"],
        ),
        IssueCode::NotAWholeNumber => (
            &["Case no.;Age", "E-1061;about 60"],
            &["Case no.;Age", "E-1061;60"],
        ),
        IssueCode::OutOfRange => (
            &["Case no.;Age", "E-1062;610"],
            &["Case no.;Age", "E-1062;61"],
        ),
        IssueCode::NotAMonth => (
            &["Case no.;Month", "E-1063;Sept 26"],
            &["Case no.;Month", "E-1063;2026-09"],
        ),
        IssueCode::RepeatedHour => (
            &["Paged;Scope in", "01.11.2026 00:50;01.11.2026 01:30"],
            &["01:30 came twice that night; the first is taken, 40 minutes after the call"],
        ),
        IssueCode::MissingSite => (
            &["Case no.;Site;Reason for call", "E-1064;;Food stuck"],
            &["[cases.constants]", "site = \"Alder\""],
        ),
        IssueCode::Placeholder => (
            &["Case no.;Airway ready", "E-1065;01.01.1900 00:00"],
            &["Case no.;Airway ready", "E-1065;"],
        ),
        IssueCode::SpreadsheetError => (
            &["Case no.;Scope out", "E-1066;#VALUE!"],
            &["Case no.;Scope out", "E-1066;30.09.2026 23:58"],
        ),
        IssueCode::NoFittingDay => (
            &["Paged;Scope in;Scope out", "30.09.2026 22:35;23:40;09:00"],
            &["Paged;Scope in;Scope out", "30.09.2026 22:35;23:40;23:59"],
        ),
        IssueCode::ScoreDiffers => (
            &[
                "Albumin g/dL;INR;Systolic;Age;Alert;AIMS65",
                "2.8;1.3;104;74;Y;1",
            ],
            &[
                "Albumin g/dL;INR;Systolic;Age;Alert;AIMS65",
                "2.8;1.3;104;74;Y;2",
            ],
        ),
        IssueCode::GradeOffScale => (
            &["Case no.;Scale;Grade", "E-1069;AGREE;moderate"],
            &["Case no.;Scale;Grade", "E-1069;ASGE lexicon;moderate"],
        ),
        IssueCode::WrongOrder => (
            &["Scope in;Scope out", "30.09.2026 23:50;30.09.2026 23:10"],
            &["Scope in;Scope out", "30.09.2026 23:10;30.09.2026 23:50"],
        ),
        IssueCode::UnusualLength => (
            &["Arrived;Paged", "30.09.2026 08:05;30.09.2026 22:35"],
            &["the same when the record confirms both times; else the right one"],
        ),
        IssueCode::ClockSkew => (
            &["Paged;Team complete", "30.09.2026 22:35;30.09.2026 22:33"],
            &["the same, and the clocks of pager and bedside set by one another"],
        ),
        IssueCode::PastMidnight => (
            &["Paged;Scope in", "30.09.2026 23:35;00:48"],
            &["Paged;Scope in", "30.09.2026 23:35;01.10.2026 00:48"],
        ),
        IssueCode::TwoMidnights => (
            &["Paged;Scope in;Scope out", "30.09.2026 23:35;00:48;00:20"],
            &["Paged;Scope in;Scope out", "30.09.2026 23:35;00:48;01:20"],
        ),
    };
    IssueExample { before, after }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_kind_has_an_example_of_its_own_that_changes_something() {
        let mut seen = BTreeSet::new();
        for &code in IssueCode::ALL {
            let example = example_of(code);
            assert!(example.before != example.after, "{}", code.code());
            assert!(seen.insert(example.before), "{}", code.code());
            for line in example.before.iter().chain(example.after) {
                assert!(!line.is_empty() && line.len() <= 76, "{line}");
            }
        }
        assert_eq!(seen.len(), IssueCode::ALL.len());
    }
}
