//! Tests of the PDF. What a reader finds in the file is read from its bytes before they are packed,
//! where tags and outline stand as plain text.

mod arithmetic;
mod reading;

use super::accessible;
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::page;
use crate::report::page::Page;
use crate::report::tests::invented;
use krilla::SerializeSettings;
use proptest::prelude::{ProptestConfig, proptest};
use reading::{count, latin, strings_after, text_of_pages};

/// The file under the rules of PDF/UA-1, with readable pages.
fn plain(pdf: &Page) -> Vec<u8> {
    pdf.written(SerializeSettings {
        configuration: accessible(),
        compress_content_streams: false,
        ..SerializeSettings::default()
    })
    .expect("keeps the rules of PDF/UA-1")
}

fn invented() -> Page {
    page(&invented::review())
}

fn small(heading: &str, blocks: Vec<Block>) -> Page {
    Page {
        title: "A title".to_owned(),
        lead: "A lead.".to_owned(),
        sections: vec![Section {
            id: "summary",
            heading: heading.to_owned(),
            blocks,
        }],
        tool_version: "0.1.0",
        made_on: None,
    }
}

fn blocks(pdf: &Page) -> impl Iterator<Item = &Block> {
    pdf.sections.iter().flat_map(|section| &section.blocks)
}

#[test]
fn every_block_has_its_tags() {
    let pdf = invented();
    let bytes = plain(&pdf);
    let file = latin(&bytes);
    let tag = |name: &str| count(&file, &format!("/S/{name}/P"));
    let figures = blocks(&pdf)
        .filter(|block| matches!(block, Block::Figure(_)))
        .count();
    assert!(figures > 10);
    assert_eq!(tag("Figure"), figures);
    assert_eq!(strings_after(&bytes, "/Alt").len(), figures);

    let tables: Vec<&Table> = blocks(&pdf)
        .filter_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        })
        .collect();
    let rows: usize = tables.iter().map(|table| table.rows.len()).sum();
    let columns: usize = tables.iter().map(|table| table.columns.len()).sum();
    let cells: usize = tables
        .iter()
        .map(|table| table.rows.len() * (table.columns.len() - 1))
        .sum();
    assert_eq!(tag("Table"), tables.len());
    assert_eq!(tag("THead"), tables.len());
    assert_eq!(tag("TR"), rows + tables.len());
    assert_eq!(tag("TH"), rows + columns);
    assert_eq!(count(&file, "/Scope/Column"), columns);
    assert_eq!(count(&file, "/Scope/Row"), rows);
    assert_eq!(tag("TD"), cells);

    let items: usize = blocks(&pdf)
        .map(|block| match block {
            Block::List(lines) => lines.len(),
            Block::Terms(terms) => terms.len(),
            _ => 0,
        })
        .sum();
    assert_eq!(tag("LI"), items);
    assert_eq!(tag("H1"), 1);
    // The contents have a heading too.
    assert_eq!(tag("H2"), pdf.sections.len() + 1);
    let subheadings = blocks(&pdf).filter(|block| matches!(block, Block::Heading(_)));
    assert_eq!(tag("H3"), subheadings.count());
    assert_eq!(tag("TOCI"), pdf.sections.len());
    assert_eq!(tag("Link"), pdf.sections.len() + 3);
    assert_eq!(count(&file, "/Subtype/Link"), pdf.sections.len() + 3);
}

#[test]
fn the_file_says_what_it_is() {
    let pdf = invented();
    let file = latin(&plain(&pdf));
    assert!(file.contains("/Lang(en-US)"));
    assert!(file.contains("/StructTreeRoot"));
    assert!(file.contains("/Marked true"));
    assert!(file.contains("/DisplayDocTitle true"));
    assert!(file.contains("/Creator(scopetally 0.1.0)"));
    assert!(file.contains("<pdfuaid:part>1</pdfuaid:part>"));
    assert!(file.contains("/CreationDate(D:20261002"));
    assert_eq!(count(&file, "/Type/FontDescriptor"), 2);
    assert_eq!(count(&file, "/FontFile"), 2, "both are embedded");
    assert!(file.contains("+LiberationSans-Bold") && file.contains("+LiberationSans/"));
    let undated = latin(&plain(&small("A heading", Vec::new())));
    assert!(!undated.contains("CreationDate") && !undated.contains("<xmp:CreateDate>"));
}

#[test]
fn the_outline_has_the_sections_in_their_order() {
    let pdf = invented();
    let file = plain(&pdf);
    let titles: Vec<String> = strings_after(&file, "/Title")
        .into_iter()
        .filter(|title| *title != pdf.title)
        .collect();
    let headings: Vec<&str> = pdf
        .sections
        .iter()
        .map(|section| section.heading.as_str())
        .collect();
    assert_eq!(titles, headings);
}

#[test]
fn pages_are_numbered_and_the_contents_name_them() {
    let pdf = invented();
    let pages = text_of_pages(&plain(&pdf));
    for (index, page) in pages.iter().enumerate() {
        let number = format!("Page {} of {}", index + 1, pages.len());
        assert!(page.ends_with(&number), "{number}");
    }
    assert!(pages[0].contains(&pdf.sections[0].heading));
    let contents = pages
        .iter()
        .position(|page| page.starts_with("Contents"))
        .expect("a page of contents");
    assert!(
        pages[..contents]
            .concat()
            .contains("the files below tables/")
    );
    assert!(pages[contents + 1].starts_with(&pdf.sections[1].heading));
    let mut rest = pages[contents].as_str();
    for section in &pdf.sections {
        let (_, after) = rest
            .split_once(&section.heading)
            .expect("is in the contents");
        let digits: String = after
            .trim_start()
            .chars()
            .take_while(char::is_ascii_digit)
            .collect();
        let number: usize = digits.parse().expect("a page");
        assert!(pages[number - 1].contains(&section.heading), "{number}");
        rest = after;
    }
}

/// A first section of this many lines, which `small` gives a page of its own.
fn first_section(lines: usize) -> Vec<String> {
    let blocks = vec![Block::List(vec![
        "A sentence of the list.".to_owned();
        lines
    ])];
    text_of_pages(&plain(&small("First", blocks)))
}

#[test]
fn a_first_section_that_is_a_little_too_high_is_set_closer() {
    // A line takes 13.2 and 2.4 points at first and 8.06 times 1.29 and 1 at the closest, of 682.
    for lines in [30, 45, 52] {
        let pages = first_section(lines);
        assert_eq!(count(&pages[0], "A sentence"), lines);
        assert!(pages[1].starts_with("Contents"), "{lines}");
    }
    // One much too high is not pressed: it goes on at the ordinary size.
    let pages = first_section(100);
    let on_first = count(&pages[0], "A sentence");
    assert!((35..43).contains(&on_first), "{on_first}");
    assert!(pages[1].starts_with("A sentence"));
}

#[test]
fn a_heading_and_its_introduction_stand_on_the_page_of_their_chart() {
    let pdf = invented();
    let figure = blocks(&pdf)
        .find(|block| matches!(block, Block::Figure(_)))
        .expect("a chart");
    for lines in 25..45 {
        let mut blocks = vec![Block::List(vec!["filler".to_owned(); lines])];
        blocks.push(Block::Heading("The chart below".to_owned()));
        blocks.push(Block::Text("It shows something. ".repeat(10)));
        blocks.push(figure.clone());
        let mut document = small("First", Vec::new());
        document.sections.push(Section {
            id: "second",
            heading: "Second".to_owned(),
            blocks,
        });
        let file = plain(&document);
        let pages = text_of_pages(&file);
        let page = pages.iter().find(|page| page.contains("The chart below"));
        let page = page.expect("is there");
        let Block::Figure(figure) = figure else {
            unreachable!()
        };
        let caption: String = figure.caption.chars().take(30).collect();
        assert!(
            page.contains("It shows something") && page.contains(&caption),
            "{lines}"
        );
    }
}

#[test]
fn the_same_review_gives_the_same_bytes() {
    assert!(invented().pdf() == invented().pdf());
}

#[test]
fn packing_changes_no_object() {
    let pdf = invented();
    let whole = pdf
        .written(SerializeSettings {
            configuration: accessible(),
            ..SerializeSettings::default()
        })
        .expect("keeps the rules");
    let packed = pdf.pdf().expect("is written");
    assert!(packed.keeps_rules);
    let packed = packed.bytes;
    assert!(packed.len() * 10 < whole.len() * 8);
    assert_eq!(reading::objects(&packed), reading::objects_by_table(&whole));
}

#[test]
fn what_is_no_pdf_is_not_packed() {
    for bytes in [
        &b""[..],
        b"startxref\n",
        b"startxref\n0\n%%EOF",
        b"xref\n0 9\nstartxref\n0\n%%EOF",
    ] {
        assert_eq!(super::packed::packed(bytes), None);
    }
}

#[test]
fn a_review_without_a_case_has_its_pages() {
    let pages = text_of_pages(&plain(&page(&invented::empty())));
    assert!(pages.len() > 2);
}

#[test]
fn a_document_without_sections_is_one_page() {
    let mut pdf = small("", Vec::new());
    pdf.sections.clear();
    let file = pdf.pdf().expect("is written");
    assert!(file.keeps_rules && !file.bytes.is_empty());
}

#[test]
fn letters_that_the_typeface_lacks_become_question_marks_and_stay_in_the_outline() {
    let name = "St\u{1f3e5} \u{4e2d}\u{0}\u{feff}\u{202e}\u{fffe} ok\u{a0}1";
    let pdf = small(name, vec![Block::Text(name.to_owned())]);
    let file = plain(&pdf);
    let pages = text_of_pages(&file);
    assert!(pages[0].contains("St? ????? ok 1"), "{}", pages[0]);
    assert!(
        strings_after(&file, "/Title")
            .contains(&"St\u{1f3e5} \u{4e2d}\u{feff}\u{202e} ok 1".to_owned())
    );
}

#[test]
fn a_word_of_200_letters_is_broken_and_stays_on_the_paper() {
    let name = "W".repeat(200);
    let mut table = Table::new(name.clone(), &["a", "b"]);
    table.columns[1].clone_from(&name);
    let cell = Cell {
        text: name.clone(),
        details: vec![name.clone()],
    };
    table.rows.push(vec![cell.clone(), cell]);
    let pdf = small(
        &name,
        vec![Block::Table(table), Block::List(vec![name.clone()])],
    );
    let pages = text_of_pages(&plain(&pdf)).concat();
    // The heading, its line of the contents, caption, head, four texts of the row, list.
    assert_eq!(count(&pages, "W"), 200 * (1 + 1 + 1 + 1 + 4 + 1));
}

#[test]
fn a_row_higher_than_a_page_goes_on_over_pages() {
    let mut table = Table::new("Long", &["a", "b"]);
    table.push(vec!["name".into(), "word ".repeat(6000).into()]);
    table.push(vec!["next".into(), "end".into()]);
    let file = plain(&small("A heading", vec![Block::Table(table)]));
    let pages = text_of_pages(&file);
    assert_eq!(count(&pages.concat(), "word"), 6000);
    assert!(pages.len() > 4);
    assert_eq!(count(&latin(&file), "/S/TR/P"), 3, "a cut row is one row");
}

#[test]
fn the_head_of_a_table_stands_on_each_of_its_pages_and_is_read_once() {
    let mut table = Table::new("Long", &["first column", "second"]);
    for row in 0..200 {
        table.push(vec![format!("row {row}").into(), "1".into()]);
    }
    let file = plain(&small("A heading", vec![Block::Table(table)]));
    let pages = text_of_pages(&file);
    let with_rows = pages.iter().filter(|page| page.contains("row 1"));
    assert!(
        pages
            .iter()
            .filter(|page| page.contains("first column"))
            .count()
            > 3
    );
    assert!(with_rows.clone().all(|page| page.contains("first column")));
    assert_eq!(count(&latin(&file), "/Scope/Column"), 2);
}

#[test]
fn a_chart_higher_than_a_page_is_drawn_smaller() {
    let mut figure: Figure = blocks(&invented())
        .find_map(|block| match block {
            Block::Figure(figure) if figure.stem.contains("object_type") => {
                Some((**figure).clone())
            }
            _ => None,
        })
        .expect("a chart of rows");
    if let crate::report::chart::Plot::Rows(lines) = &mut figure.chart.plot {
        while lines.len() < 300 {
            lines.extend_from_within(..);
        }
    }
    let file = plain(&small("A heading", vec![Block::Figure(Box::new(figure))]));
    let bounds = reading::numbers_after(&latin(&file), "/BBox[");
    assert_eq!(bounds.len(), 4);
    assert!(
        bounds[1] > super::piece::TOP && bounds[3] < super::piece::PAGE.1 - super::piece::TOP + 1.0
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_text_keeps_the_rules(text in ".{0,40}", control in "\\PC{0,5}[\\x00-\\x1f]{0,5}") {
        let text = format!("{text}{control}");
        let mut table = Table::new(text.clone(), &["a", "b"]);
        table.columns[1].clone_from(&text);
        table.push(vec![text.clone().into(), Cell { text: text.clone(), details: vec![text.clone()] }]);
        let mut pdf = small(&text, vec![
            Block::Text(text.clone()),
            Block::Caution(text.clone()),
            Block::Heading(text.clone()),
            Block::List(vec![text.clone()]),
            Block::Terms(vec![(text.clone(), vec![text.clone()])]),
            Block::Table(table),
        ]);
        pdf.title = format!("T{text}");
        pdf.lead = text;
        plain(&pdf);
    }
}
