//! `sharing.md`: by which rules numbers are withheld from tables that were made to be passed on, and
//! how many are left.

use super::content::{Block, Section, Table};
use super::{format, markdown, papers};
use crate::domain::counts::ALL;
use crate::domain::fields::dimension_label;
use crate::findings::shared::{Shared, SplitShown};

/// The document. It tells no count of cases.
pub fn sharing(shared: &Shared) -> String {
    let sections = [
        section("rules", "What is withheld", rules(shared)),
        section("left", "What is left", left(shared)),
        section(
            "limits",
            "What this does not protect",
            LIMITS.map(text).into(),
        ),
    ];
    markdown::document(
        "Tables to be passed on",
        "By which rules numbers are withheld from these tables, and how much is left of them.",
        sections.iter(),
    )
}

fn section(id: &'static str, heading: &str, blocks: Vec<Block>) -> Section {
    Section {
        id,
        heading: heading.to_owned(),
        blocks,
    }
}

fn text(words: &str) -> Block {
    Block::Text(words.to_owned())
}

fn rules(shared: &Shared) -> Vec<Block> {
    let Some(rules) = shared.review.shared else {
        return Vec::new();
    };
    let most = format::whole(rules.threshold.saturating_sub(1));
    let unjudged = if rules.tells_unjudged {
        "Numbers of cases that could not be judged are told also where they are small: they say what \
         was not written down, and nothing of what these cases are or came to."
    } else {
        "This holds for cases that could not be judged, too."
    };
    let lines = [
        format!(
            "A count of 1 to {most} is not told. As many others are withheld with it as it takes that \
             no such count can be worked out from sums, differences, percentages or intervals of what \
             is told: by all that is told, each could be {} or more. {unjudged}",
            format::whole(rules.threshold)
        ),
        "Zero is told, and so is everything that need not be withheld.".to_owned(),
        format!(
            "A time is told only where at least {} cases took as long or longer, and as many as long or \
             shorter; the same holds for both of its limits.",
            format::whole(rules.threshold)
        ),
        "Every number that is told was made a second time from the told counts alone and came to the \
         same: it gives nothing away that these do not, and it is that of all cases."
            .to_owned(),
        "A finding whose numbers are withheld has true in the column suppressed. Tables in which most rows \
         hold a small count are withheld as a whole, with every row and every absence of a row. So is one \
         of several splits that go around in a circle, as shifts of sites, presentations of shifts and \
         sites of presentations do, where a count in them is withheld: together they say more than their \
         sums."
            .to_owned(),
        "No file names a case, a day or an age beyond its band. The month is the smallest unit of \
         time, for all cases together only. Curves over time show single waits and are left out."
            .to_owned(),
    ];
    vec![Block::List(lines.into())]
}

fn left(shared: &Shared) -> Vec<Block> {
    let mut table = Table::new(
        "Findings by split: with and without their numbers, and measures of which the split is \
         withheld as a whole",
        &["Split", "Told", "Withheld", "Measures withheld"],
    );
    for split in &shared.splits {
        table.push(vec![
            name(split).into(),
            format::whole(split.told).into(),
            format::whole(split.suppressed).into(),
            format::whole(split.measures_withheld).into(),
        ]);
    }
    let mut blocks = vec![Block::Table(table)];
    if shared.mix.is_none() {
        blocks.push(text(
            "The case mix is withheld: the cases of its groups would give a small count away.",
        ));
    }
    let mix = shared.mix.as_ref();
    blocks.extend(mix.and_then(|mix| Some(Block::Text(papers::withheld(&shared.review, mix)?))));
    if shared.comparisons_withheld > 0 {
        blocks.push(Block::Text(format!(
            "Of comparisons, {} told and {} withheld: told is what comes to the same from the told counts \
             alone.",
            format::counted(shared.comparisons_told, "number is", "numbers are"),
            format::counted(shared.comparisons_withheld, "is", "are"),
        )));
    }
    blocks
}

/// `site and sex`; `all cases, by month`.
fn name(split: &SplitShown) -> String {
    let dimensions: Vec<&str> = split.by.split('+').map(dimension_label).collect();
    let name = if split.by == ALL {
        "all cases".to_owned()
    } else {
        dimensions.join(" and ")
    };
    if split.is_monthly {
        format!("{name}, by month")
    } else {
        name
    }
}

const LIMITS: [&str; 4] = [
    "Who knows these rules knows more of what is withheld: two counts that are withheld for each other \
     and add up to a small number are both small. And where all other groups are told to have no case, the \
     few that are withheld belong to the one that is left.",
    "Other releases about the same cases: two tables of which one covers a month more tell that month \
     by their difference. The list of releases keeps a second release of the same months from being \
     made, as long as it is the only list for these records.",
    "What somebody knows of single cases from elsewhere, and what the definitions of measures that \
     were added by hand say about each other.",
    "Whether the law, the ethics board and the agreements of the sites allow the release: that is for \
     those who answer for the records.",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::shared::ShareRules;
    use crate::report::tests::invented;

    #[test]
    fn the_rules_are_those_that_were_used_and_no_count_of_cases_is_told() {
        let mut review = invented::review();
        review.shared = Some(ShareRules {
            threshold: 6,
            tells_unjudged: true,
        });
        let split = |by: &str, is_monthly, told| SplitShown {
            by: by.to_owned(),
            is_monthly,
            told,
            suppressed: 7,
            measures_withheld: 2,
        };
        let document = sharing(&Shared {
            review,
            mix: None,
            splits: vec![split("all", true, 3), split("device+object_type", false, 4)],
            comparisons_told: 0,
            comparisons_withheld: 3,
        });
        assert!(
            document.contains("A count of 1 to 5 is not told."),
            "{document}"
        );
        assert!(document.contains("at least 6 cases took as long or longer"));
        assert!(document.contains("also where they are small"));
        assert!(document.contains("| all cases, by month | 3 | 7 | 2 |"));
        assert!(document.contains("| device and object type | 4 | 7 | 2 |"));
        assert!(document.contains("The case mix is withheld"));
        assert!(document.contains("Of comparisons, 0 numbers are told and 3 are withheld"));
    }
}
