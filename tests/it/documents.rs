//! README.md and DEVELOPERS.md say what the tool does: their lists are the lists of the code.

use crate::run::repository;
use scopetally::domain::fields::{CaseField, Field, Kind, Origin, PassField};
use scopetally::domain::issue::IssueCode;
use scopetally::findings::signals::ChartForm;

fn read(name: &str) -> String {
    std::fs::read_to_string(repository(name)).unwrap_or_else(|_| panic!("{name}"))
}

/// The lines of the fenced blocks of a Markdown text.
fn commands(markdown: &str) -> Vec<&str> {
    let blocks = markdown.split("```").skip(1).step_by(2);
    blocks
        .flat_map(str::lines)
        .filter(|line| line.starts_with("cargo "))
        .collect()
}

#[test]
fn the_gate_runs_the_two_commands_of_the_readme() {
    let readme = read("README.md");
    let commands = commands(&readme);
    assert_eq!(
        commands.len(),
        2,
        "one command runs the main job, one passes the tests"
    );
    assert!(commands[0].contains("review") && commands[1] == "cargo test");
    let gate = read(".ci/run");
    for command in commands {
        assert!(gate.lines().any(|line| line == command), "{command}");
    }
}

#[test]
fn the_readme_lists_every_form_of_chart() {
    let codes = ChartForm::ALL.map(|form| format!("`{}`", form.code()));
    let (last, others) = codes.split_last().expect("there are forms");
    let listed = format!("the form of chart: {} or {last} |", others.join(", "));
    assert!(read("README.md").contains(&listed), "{listed}");
}

#[test]
fn the_readme_lists_every_issue_code_field_and_measure() {
    let readme = read("README.md");
    for issue in IssueCode::ALL {
        let row = format!(
            "| {} | {} | {} |",
            issue.code(),
            issue.summary(),
            issue.effect().sentence()
        );
        assert!(readme.contains(&row), "{row}");
    }
    let of_cases = CaseField::ALL
        .iter()
        .filter(|field| field.origin() != Origin::Derived)
        .map(|field| field.name());
    for name in of_cases.chain(PassField::ALL.iter().map(|field| field.name())) {
        assert!(readme.contains(&format!("`{name}`")), "{name}");
    }
    let kinds = CaseField::ALL
        .iter()
        .map(|field| (field.origin(), field.kind()))
        .chain(
            PassField::ALL
                .iter()
                .map(|field| (field.origin(), field.kind())),
        );
    for (origin, kind) in kinds {
        let (Origin::Export, Kind::Code(list)) = (origin, kind) else {
            continue;
        };
        for word in list.words {
            assert!(
                readme.contains(&format!("`{}`", word.code)),
                "{}",
                word.code
            );
        }
    }
    for measure in scopetally::measure::built_in() {
        let row = format!(
            "| `{}` | {} | {} |",
            measure.id,
            measure.kind.code(),
            measure.question
        );
        assert!(readme.contains(&row), "{row}");
    }
}

#[test]
fn the_table_of_integration_tests_is_the_directory() {
    let developers = read("DEVELOPERS.md");
    let (_, below) = developers.split_once("\n## Tests\n").expect("a section");
    let section = below.split("\n## ").next().expect("its text");
    let first_cells = section
        .lines()
        .filter(|line| line.starts_with("| `"))
        .filter_map(|line| line.split(" | ").next());
    let mut listed: Vec<_> = first_cells
        .flat_map(|cell| cell.split('`').skip(1).step_by(2))
        .filter_map(|path| path.rsplit('/').next())
        .map(str::to_owned)
        .collect();
    listed.sort_unstable();
    let directory = std::fs::read_dir(repository("tests/it")).expect("a directory");
    let mut files: Vec<_> = directory
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "rs"))
        .filter_map(|path| path.file_name()?.to_str().map(str::to_owned))
        .collect();
    files.sort_unstable();
    assert_eq!(listed, files);
}

#[test]
fn every_dependency_has_its_reason() {
    let developers = read("DEVELOPERS.md");
    let manifest = read("Cargo.toml");
    let mut is_dependency = false;
    let mut count = 0;
    for line in manifest.lines() {
        if line.starts_with('[') {
            is_dependency = line.ends_with("dependencies]");
        } else if let (true, Some((name, _))) = (is_dependency, line.split_once(" = ")) {
            assert!(developers.contains(&format!("| `{name}` |")), "{name}");
            count += 1;
        }
    }
    assert!(count > 10);
}
